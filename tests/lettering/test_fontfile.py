"""Font files made by fontTools for the test, with known outlines, read back."""

import sys

import pytest

from pixel2make.errors import DesignError
from pixel2make.lettering.faces import face_for
from pixel2make.lettering.fontfile import read_font_file
from pixel2make.lettering.setting import set_lines

fontTools = pytest.importorskip("fontTools")


def square(pen, x0, y0, x1, y1):
    pen.moveTo((x0, y0))
    for point in ((x0, y1), (x1, y1), (x1, y0)):
        pen.lineTo(point)
    pen.closePath()


def glyph(*squares, curve=False):
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    pen = TTGlyphPen(None)
    for corners in squares:
        square(pen, *corners)
    if curve:
        pen.moveTo((0, 0))
        pen.qCurveTo((0, 400), (400, 400), (400, 0))
        pen.closePath()
    return pen.glyph()


FEATURES = """
languagesystem DFLT dflt;
languagesystem latn dflt;
@ROUND = [A B];
feature kern {
  pos A V -120;
  pos @ROUND @ROUND -30;
} kern;
"""


@pytest.fixture
def font_file(tmp_path):
    from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
    from fontTools.fontBuilder import FontBuilder

    shapes = {
        ".notdef": glyph(),
        "space": glyph(),
        "A": glyph((0, 0, 400, 700), (300, 300, 600, 500)),
        "B": glyph((0, 0, 400, 700), (350, 200, 150, 500)),
        "V": glyph(curve=True),
        "H": glyph((50, 0, 550, 640)),
    }
    left = {"H": 50}
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(list(shapes))
    builder.setupCharacterMap({ord(name): name for name in "ABVH"} | {32: "space"})
    builder.setupGlyf(shapes)
    builder.setupHorizontalMetrics({name: (600 + 10 * i, left.get(name, 0)) for i, name in enumerate(shapes)})
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Squares", "styleName": "Regular", "fullName": "Squares Regular"})
    builder.setupOS2()
    builder.setupPost()
    addOpenTypeFeaturesFromString(builder.font, FEATURES)
    path = tmp_path / "squares.ttf"
    builder.save(path)
    return path


def test_overlapping_contours_join_and_counters_stay_open(font_file):
    face = read_font_file(font_file, "ABH")
    assert face.glyphs["A"].shape.area == 400 * 700 + 200 * 200
    assert face.glyphs["B"].shape.area == 400 * 700 - 200 * 300
    assert len(face.glyphs["B"].shape.interiors) == 1


def test_curves_keep_their_area(font_file):
    """fontTools integrates the area under the curves exactly."""
    from fontTools.pens.areaPen import AreaPen
    from fontTools.ttLib import TTFont

    outlines = TTFont(font_file).getGlyphSet()
    pen = AreaPen(outlines)
    outlines["V"].draw(pen)
    assert read_font_file(font_file, "V").glyphs["V"].shape.area == pytest.approx(abs(pen.value), rel=0.005)


def test_advances_kerning_and_capital_height(font_file):
    face = read_font_file(font_file, "ABVH ")
    assert [face.glyphs[char].advance for char in " ABVH"] == [610, 620, 630, 640, 650]
    assert face.capital_height == 640
    kern = face.kerning.between
    assert [kern("A", "V"), kern("A", "B"), kern("B", "A"), kern("V", "A")] == [-120, -30, -30, 0]


def test_a_font_reads_as_its_own_tables_say(font_file):
    from fontTools.ttLib import TTFont

    font = TTFont(font_file)
    face = read_font_file(font_file, "ABVHzé")
    assert set(face.glyphs) == set("ABVH")
    for char, read in face.glyphs.items():
        record = font["glyf"][char]
        assert read.advance == font["hmtx"][char][0]
        assert read.shape.bounds == pytest.approx((record.xMin, record.yMin, record.xMax, record.yMax), abs=1)


def test_the_makers_font_sets_lines(font_file):
    lettering = set_lines(["AB"], face_for(font_file, "AB"), box_mm=(100, 50))
    # A is 600 wide, B begins at its advance less the kern of 30 and is 400 wide: 990 by 700 units.
    assert lettering.bounds == pytest.approx((50 - 50 * 990 / 1400, 0, 50 + 50 * 990 / 1400, 50), abs=1e-6)
    assert lettering.face.origin == "the maker's own font file squares.ttf"


def test_no_file_a_text_file_and_no_fonttools_are_one_line_each(tmp_path, monkeypatch):
    with pytest.raises(DesignError, match="there is no such font file"):
        read_font_file(tmp_path / "none.ttf", "A")
    broken = tmp_path / "broken.otf"
    broken.write_text("no font at all")
    with pytest.raises(DesignError, match=r"broken\.otf: cannot be read as a font"):
        read_font_file(broken, "A")
    monkeypatch.setitem(sys.modules, "fontTools.ttLib", None)
    with pytest.raises(DesignError, match=r"needs the package fonttools; install it") as error:
        read_font_file(broken, "A")
    assert "\n" not in str(error.value)
