"""Shipped faces against the fonts' own tables and another program's shaping.

font_metrics.csv: advances of the table hmtx and bounds of the outlines, as fontTools 4.68 reads them from the
published packages: Cinzel of PyPI fontpkg-cinzel 2.0 (Copyright 2020 The Cinzel Project Authors) at weight
700, Saira Stencil One of npm @fontsource/saira-stencil-one 5.3.0 (Copyright 2019 The Saira Stencil Project
Authors); EMS Readability from the attributes of EMSReadability.svg in npm hersheytext 2.0.0. In units of
1000 to the em.
"""

import csv
from pathlib import Path

import pytest

from pixel2make.lettering.faces import FACES, face, licence_text

ROWS = list(csv.DictReader(Path(__file__).with_name("font_metrics.csv").read_text("utf-8").splitlines()))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['face']} {row['char']}")
def test_advance_and_bounds_are_the_fonts_own(row):
    glyph = face(row["face"]).glyphs[row["char"]]
    assert glyph.advance == float(row["advance"])
    bounds = [float(row[side]) for side in ("left", "bottom", "right", "top")]
    assert glyph.shape.bounds == pytest.approx(bounds, abs=1)


SHAPED = {
    "engraved": [600, 614, 629, 579, 717, 747],
    "stencil": [647, 623, 642, 536, 687, 674],
}
"""Advances of "AVATAR", ligatures off, shaped by HarfBuzz (uharfbuzz) from the same files. All 5329 pairs of
letters, digits and common marks agreed when the faces were made."""


@pytest.mark.parametrize("key", SHAPED)
def test_kerning_is_that_of_harfbuzz(key):
    chosen = face(key)
    pairs = zip("AVATAR", "VATAR ", strict=True)
    kerned = [chosen.glyphs[a].advance + (chosen.kerning.between(a, b) if b != " " else 0) for a, b in pairs]
    assert kerned == SHAPED[key]


@pytest.mark.parametrize("key", FACES)
def test_licence_and_copyright_go_along(key):
    """SIL Open Font License 1.1, condition 2: each copy contains the copyright notice and the licence."""
    text = licence_text(key)
    assert "Copyright" in text
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
    assert "PERMISSION & CONDITIONS" in text
    assert "SIL Open Font License 1.1" in face(key).origin


def test_no_shipped_name_is_a_reserved_one():
    """Condition 3: a changed version does not use a reserved font name; 'Source' is the one reserved here."""
    assert not any("Source" in face(key).name for key in FACES)
