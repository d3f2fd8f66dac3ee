"""The proof back to pixels: high for what was read well, lower as soon as the design is wrong."""

from dataclasses import replace

import jsonschema
import numpy as np
import pytest
import shapely

from demo_sprites.make import FOLDER
from pixel2make import api
from pixel2make.pack.proof.faithfulness import compared, faithfulness, faithfulness_json
from pixel2make.pack.proof.redraw import BACKGROUND, redrawn
from pixel2make.pack.spec import schema
from tests.pack.catalogue import book

LEAST_SAME, LEAST_SILHOUETTE = 0.75, 0.95
"""Floors for our own sprites, common practice: three pixels of four are what they were drawn as, and about
one in four of those along the outline is off at most: a square of 20 pixels has 76 of its 400 there."""

SPRITES = sorted(path.stem for path in FOLDER.glob("*.png"))

_readings: dict[str, object] = {}


def design_of(name, **choices):
    if name not in _readings:
        _readings[name] = api.interpret(api.segment(api.load_sprite(FOLDER / f"{name}.png")))
    return api.dimension(_readings[name], size_mm=300.0, choices=choices)


@pytest.mark.parametrize("name", SPRITES)
def test_every_demo_sprite_comes_back(name):
    found = faithfulness(design_of(name))
    assert found.same_feature >= LEAST_SAME
    assert found.silhouette >= LEAST_SILHOUETTE


@pytest.mark.parametrize("name", ["saltglass_ledger", "tidewardens_rule", "lamplighters_accounts"])
def test_the_outline_is_that_of_the_drawn_box(name):
    """The hull of the box's eight drawn corners, filled by another library."""
    design = design_of(name)
    design = replace(design, areas=(), clasps=(), parts=tuple(p for p in design.parts if p.is_cut))
    design = replace(design, parts=tuple(p for p in design.parts if not p.name.startswith("strap")))
    view = design.reading.view
    front = np.array(view.cover_corners_px)
    hull = shapely.convex_hull(shapely.MultiPoint(np.concatenate([front, front + view.thickness_px])))
    rows, columns = design.reading.regions.sprite.shape
    ys, xs = np.mgrid[0:rows, 0:columns] + 0.5
    wanted = shapely.contains_xy(hull, xs.ravel(), ys.ravel()).reshape(rows, columns)
    again = redrawn(design)
    made = np.array(again.words)[again.label] != BACKGROUND
    wanted = np.pad(wanted, again.margin)
    # Boards stand beyond the leaves, so the object is a little smaller than its box, never larger.
    assert not (made & ~wanted).sum() > 0.02 * wanted.sum()
    assert (made & wanted).sum() >= 0.93 * wanted.sum()


def test_a_flat_cover_of_one_colour_comes_back_whole():
    """A rectangle of 10 x 16 pixels as a book of 187.5 x 300 mm, each pixel 18.75 mm: nothing to lose."""
    design = replace(book(187.5, 300.0, 45.0, clasps=0, radius=0.0), areas=())
    found = faithfulness(design)
    assert (found.pixels, found.same_feature, found.silhouette) == (160, 1.0, 1.0)
    assert found.color_difference == 0.0


def test_a_cover_that_is_a_fifth_too_wide_shows_as_one():
    """12 columns for 10: 16 rows by 2 columns are made and not drawn, and 10/12 of both overlap."""
    found = faithfulness(replace(book(225.0, 300.0, 45.0, clasps=0, radius=0.0), areas=()))
    assert found.silhouette == pytest.approx(10 / 12)
    assert found.same_feature == pytest.approx(10 / 12)


@pytest.mark.parametrize("name", SPRITES)
def test_wrong_proportions_lower_the_figures(name):
    design = design_of(name)
    wide = tuple(
        replace(d, value_mm=1.35 * d.value_mm, high_mm=1.35 * d.high_mm)
        if d.name in ("cover_width", "board_width")
        else d
        for d in design.dimensions
    )
    good, bad = faithfulness(design), faithfulness(replace(design, dimensions=wide))
    assert bad.silhouette < good.silhouette - 0.05
    assert bad.same_feature < good.same_feature - 0.05


@pytest.mark.parametrize("name", ["cullet_primer", "furnace_book", "gullwatch_songs", "saltglass_ledger"])
def test_a_missing_emblem_lowers_the_figures(name):
    design = design_of(name)
    without = replace(design, areas=tuple(a for a in design.areas if a.feature != "emblem"))
    good, bad = faithfulness(design), faithfulness(without)
    emblem = next(fit for fit in good.features if fit.feature == "emblem")
    assert emblem.same >= 0.8
    assert next(fit for fit in bad.features if fit.feature == "emblem").same == 0.0
    # A pixel on its edge may well show another area once the emblem is gone, but no more than a few do.
    lost = emblem.pixels * emblem.same / good.pixels
    assert bad.same_feature == pytest.approx(good.same_feature - lost, abs=0.1 * lost)


def test_a_thickness_of_the_makers_own_shows():
    drawn, thick = design_of("lamplighters_accounts"), design_of("lamplighters_accounts", thickness="40mm")
    assert faithfulness(thick).silhouette < faithfulness(drawn).silhouette - 0.1


def test_every_pixel_is_counted_once():
    comparison = compared(design_of("saltglass_ledger"))
    sets = (comparison.same, comparison.other, comparison.missing, comparison.added, comparison.line)
    assert np.stack(sets).sum(axis=0).max() == 1
    assert sum(int(each.sum()) for each in sets[:4]) == faithfulness(design_of("saltglass_ledger")).pixels


def test_the_figures_fit_the_schema():
    found = faithfulness_json(design_of("saltglass_ledger"))
    jsonschema.validate(found, schema()["properties"]["faithfulness"])
