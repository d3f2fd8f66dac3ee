"""The cover layout: true size, lettering and shapes in their places, a stencil in one piece."""

import dataclasses
import io
import struct
import xml.etree.ElementTree as ET
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.ops import unary_union

from pixel2make.errors import DesignError
from pixel2make.lettering.faces import FACES, face
from pixel2make.lettering.model import Line
from pixel2make.lettering.setting import fit_lines
from pixel2make.pack.cover_checks import cover_findings
from pixel2make.pack.cover_layout import cover_layout, cover_layout_files, cover_stencil
from pixel2make.pack.cover_place import cover_of, largest_rectangle, title_places
from pixel2make.pack.cover_png import picture_size, png_bytes
from pixel2make.pack.cover_title import set_stencil, set_title
from pixel2make.pack.pens import Drawing, DrawingBuilder
from tests.pack.catalogue import SIZES, book, svg_files

WORDS = {"title": "The Lamplighters of Saltglass Harbour", "byline": "Orla Fenwick"}
NAMES = st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghij 0123456789&", min_size=1, max_size=30).filter(
    lambda text: text.strip()
)


def areas_of(drawing: Drawing, purpose: str, *, solid: bool | None = None, tinted: bool | None = None):
    """Even-odd area of every path of a purpose."""
    found = []
    for path in drawing.paths:
        if path.purpose != purpose or (solid is not None and path.is_solid != solid):
            continue
        if tinted is not None and bool(path.tint) != tinted:
            continue
        shape = Polygon()
        for line in path.lines:
            shape = shape.symmetric_difference(Polygon(line))
        found.append(shape)
    return found


@pytest.mark.parametrize("name", SIZES)
def test_the_page_is_the_cover(name):
    design = book(**SIZES[name])
    drawing = cover_layout(design, **WORDS)
    size = design.dimension("cover_width").value_mm, design.dimension("cover_height").value_mm
    assert (drawing.width_mm, drawing.height_mm) == size
    root = ET.fromstring(svg_files(cover_layout_files(design, **WORDS))["cover/layout.svg"])
    assert root.get("width") == f"{size[0]:g}mm"
    assert root.get("viewBox") == f"0 0 {size[0]:g} {size[1]:g}"
    (outline,) = areas_of(drawing, "visible")
    assert outline.bounds == pytest.approx((0, 0, *size))


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(sorted(set(SIZES) - {"metre"})), NAMES, st.sampled_from(FACES))
def test_any_title_stands_inside_the_title_area(name, title, face):
    design = book(**SIZES[name])
    drawn = [a.outline for a in design.areas if a.feature == "title_area"]
    cover = cover_of(design)
    found = set_title(cover, title, None, None, face)
    place = drawn[0] if drawn else cover.board.difference(unary_union([a.outline for a in design.areas]))
    assert place.buffer(1e-6).covers(found.lettering.outline)
    assert found.place.is_drawn == bool(drawn)


def test_the_margin_of_the_title_area_is_a_tenth_of_its_shorter_side():
    """Common practice; the title area of the hand-made book is 106 by 30 mm."""
    (place,) = title_places(cover_of(book()))
    assert place.area_mm == pytest.approx((53, 36, 106, 30))
    assert place.box_mm == pytest.approx((56, 39, 100, 24))


def test_without_a_title_area_the_title_stands_in_the_upper_third():
    """Common practice, and said so in a finding."""
    design = book(**SIZES["bare"])
    found = set_title(cover_of(design), "Tally", None, None, "engraved")
    assert found.lettering.bounds[3] <= 300 / 3
    assert [f.code for f in cover_findings(design, title="Tally")].count("title-place") == 1
    assert not any(f.code == "title-place" for f in cover_findings(book(), title="Tally"))


def with_emblem(design, outline):
    emblem = next(area for area in design.areas if area.feature == "emblem")
    return dataclasses.replace(design, areas=(dataclasses.replace(emblem, outline=MultiPolygon([outline])),))


@settings(max_examples=20, deadline=None)
@given(st.floats(20, 150), st.floats(10, 200), st.floats(20, 60), st.floats(20, 90))
def test_no_strip_beside_above_or_below_an_emblem_gives_much_larger_letters(x, y, width, height):
    """The four strips around an emblem, each no higher than a third of the cover, are tried by hand."""
    cover = cover_of(with_emblem(book(clasps=0, radius=0.0), box(x, y, x + width, y + height)))
    found = set_title(cover, "Saltglass Tides", None, None, "engraved")
    assert not box(x, y, x + width, y + height).intersects(found.lettering.outline)
    x0, y0, x1, y1 = cover.board.bounds
    edge = 0.12 * (x1 - x0)
    for left, top, right, low in (
        (x0, y0, x1, y),
        (x0, y + height, x1, y1),
        (x0, y0, x, y1),
        (x + width, y0, x1, y1),
    ):
        wide, high = right - left - 2 * edge, min(low - top, 100) - 2 * edge
        if min(wide, high) > 5:
            strip = fit_lines([Line("Saltglass Tides")], face("engraved"), box_mm=(wide, high))
            assert found.lettering.capital_mm >= 0.7 * strip.capital_mm


def test_below_an_emblem_in_the_upper_half_the_title_stands_in_the_middle():
    cover = cover_of(with_emblem(book(clasps=0), box(90, 30, 140, 150)))
    found = set_title(cover, "Saltglass Tides", None, None, "engraved")
    left, top, right, _ = found.lettering.bounds
    assert top > 150 and (left + right) / 2 == pytest.approx(sum(cover.board.bounds[::2]) / 2)


def test_areas_stand_where_the_design_has_them():
    design = book()
    drawn = areas_of(cover_layout(design, **WORDS), "detail", tinted=True)
    for area, shape in zip(design.areas, drawn, strict=True):
        assert shape.symmetric_difference(area.outline).area < 1e-6, area.name


def test_lettering_is_drawn_as_it_was_set():
    design = book()
    found = set_title(cover_of(design), WORDS["title"], None, WORDS["byline"], "engraved")
    drawn = unary_union(areas_of(cover_layout(design, **WORDS), "detail", solid=True))
    assert drawn.symmetric_difference(found.lettering.outline).area < 1e-6


def test_mirrored_is_the_layout_from_behind():
    """x' = width - x; what is written at the bar stays readable."""
    design = book()
    plain, turned = (cover_layout(design, **WORDS, is_mirrored=flag) for flag in (False, True))
    for purpose in ("visible", "detail", "hidden", "mark"):
        for a, b in zip(areas_of(plain, purpose), areas_of(turned, purpose), strict=True):
            x0, y0, x1, y1 = a.bounds
            assert b.bounds == pytest.approx((212 - x1, y0, 212 - x0, y1), abs=1e-9)
            assert b.area == pytest.approx(a.area)


@settings(max_examples=20, deadline=None)
@given(NAMES, st.none() | NAMES)
def test_the_stencil_stays_in_one_piece(title, subtitle):
    design = book()
    drawing = cover_stencil(design, title=title, subtitle=subtitle)
    told = {f.code: f for f in cover_findings(design, title=title, subtitle=subtitle)}
    assert (drawing is None) == ("thin-bridge" in told and told["thin-bridge"].subject == "title")
    if drawing is None:
        assert told["thin-bridge"].measured_mm < told["thin-bridge"].limit_mm
        return
    openings = unary_union(areas_of(drawing, "cut"))
    assert openings.area > 0
    parts = list(getattr(openings, "geoms", [openings]))
    assert all(a.distance(b) >= 0.98 for a, b in combinations(parts, 2))
    sheet = cover_of(design).outline.difference(openings)
    assert sheet.geom_type == "Polygon"


def test_bar_is_a_hundred_millimetres_and_touches_nothing():
    for name, length in (("usual", 100), ("palm", 20)):
        drawing = cover_layout(book(**SIZES[name]), **WORDS)
        lines = [line for path in drawing.paths if path.purpose == "print" for line in path.lines]
        assert max(line.length for line in lines) == pytest.approx(length)
        taken = unary_union([*areas_of(drawing, "detail"), *areas_of(drawing, "hidden")])
        assert not any(line.intersects(taken) for line in lines)


def test_a_bar_in_inches_is_four_of_them():
    design = book()
    design = dataclasses.replace(design, taken={**design.taken, "units": "in"})
    lines = [p for path in cover_layout(design, **WORDS).paths if path.purpose == "print" for p in path.lines]
    assert max(line.length for line in lines) == pytest.approx(4 * 25.4)


@pytest.mark.parametrize("name", ["usual", "palm", "wide"])
def test_picture_has_300_dots_an_inch(name):
    """PNG (ISO/IEC 15948), chunk pHYs: pixels per metre; 300 / 0.0254 m = 11811."""
    design = book(**SIZES[name])
    data = svg_files(cover_layout_files(design, **WORDS))["cover/layout.png"]
    width, height = (design.dimension(f"cover_{side}").value_mm for side in ("width", "height"))
    image = Image.open(io.BytesIO(data))
    assert image.size == (round(width * 300 / 25.4), round(height * 300 / 25.4))
    at = data.index(b"pHYs") + 4
    assert struct.unpack(">IIB", data[at : at + 9]) == (11811, 11811, 1)


def test_picture_shows_the_shapes_at_their_places():
    """A tint of 30 x 20 mm with a hole of 10 x 10 mm: counted pixels are its area to the pixel edge."""
    page = DrawingBuilder(60.0, 40.0)
    page.polygon("print", box(10, 10, 40, 30).difference(box(20, 15, 30, 25)), tint="#804020")
    image = np.asarray(Image.open(io.BytesIO(png_bytes(page.build()))).convert("RGB"))
    rows, columns = np.nonzero((image == (128, 64, 32)).all(axis=2) | (image != 255).any(axis=2))
    scale = 300 / 25.4
    assert len(rows) / scale**2 == pytest.approx(500, rel=0.03)
    assert (columns.min() / scale, rows.min() / scale) == pytest.approx((10, 10), abs=0.2)
    assert ((columns.max() + 1) / scale, (rows.max() + 1) / scale) == pytest.approx((40, 30), abs=0.2)
    assert (image[round(20 * scale), round(25 * scale)] == 255).all()
    assert picture_size(page.build()) == (709, 472)


def test_svg_and_picture_agree():
    """resvg draws the SVG file; both pictures are dark at the same places."""
    resvg_py = pytest.importorskip("resvg_py")
    files = svg_files(cover_layout_files(book(**SIZES["palm"]), **WORDS))
    svg = resvg_py.svg_to_bytes(svg_string=files["cover/layout.svg"].decode(), dpi=300)
    ours, theirs = (
        np.asarray(Image.open(io.BytesIO(bytes(data))).convert("L"), float)
        for data in (files["cover/layout.png"], svg)
    )
    height, width = (min(a, b) for a, b in zip(ours.shape, theirs.shape, strict=True))
    assert abs(ours.shape[0] - theirs.shape[0]) <= 1
    away = np.abs(ours[:height, :width] - theirs[:height, :width]) > 100
    assert away.mean() < 0.01


def test_files_and_the_same_bytes_again():
    first, second = (svg_files(cover_layout_files(book(), **WORDS)) for _ in range(2))
    assert first == second
    assert sorted(first) == [
        "cover/layout.png",
        "cover/layout.svg",
        "cover/layout_mirrored.svg",
        "cover/spine.svg",
        "cover/stencil.svg",
    ]
    assert sorted(svg_files(cover_layout_files(book(), title=None))) == [
        n for n in sorted(first) if "layout" in n
    ]


def test_bridges_too_wide_for_the_letters_are_told_with_the_size_that_would_do():
    """Common practice: webs of a cut sheet below 1 mm are fragile."""
    small, words = book(**SIZES["palm"]), {"title": WORDS["title"]}
    (told,) = [f for f in cover_findings(small, **words) if f.code == "thin-bridge"]
    assert "no stencil" in told.sentence and told.measured_mm < told.limit_mm
    assert "cover/stencil" not in cover_layout_files(small, **words)
    grown = 1.02 * told.limit_mm / told.measured_mm
    sides = ("cover_width", "cover_height", "book_thickness")
    large = book(*(grown * small.dimension(side).value_mm for side in sides))
    assert cover_stencil(large, **words) is not None


def test_a_byline_that_bridges_would_cover_is_left_out_alone():
    found, lines = set_stencil(cover_of(book()), WORDS["title"], None, WORDS["byline"])
    assert [line.line.name for line in lines if line.lost] == ["byline"]
    openings = unary_union(areas_of(cover_stencil(book(), **WORDS), "cut"))
    byline = unary_union([glyph.shape for glyph in found.lettering.glyphs[-1]])
    assert openings.intersection(byline).area == 0
    (told,) = [f for f in cover_findings(book(), **WORDS) if f.code == "thin-bridge"]
    assert told.subject == "byline" and "left out" in told.sentence


def test_unusable_words_are_one_line_each():
    with pytest.raises(DesignError, match="give a title too"):
        cover_layout(book(), title=None, byline="Orla Fenwick")
    with pytest.raises(DesignError, match="the face engraved has no Ж"):
        cover_layout(book(), title="Ж")
    with pytest.raises(DesignError, match="empty"):
        cover_layout(book(), title=" ")


def test_a_line_feed_ends_a_line():
    found = set_title(cover_of(book()), "Tides\nof the salt coast", None, None, "engraved")
    assert [line.text for line in found.lettering.lines] == ["Tides", "of the salt coast"]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(*[st.integers(0, 9)] * 2, *[st.integers(1, 6)] * 2), min_size=1, max_size=6))
def test_largest_rectangle_against_trying_all(parts):
    region = unary_union([box(x, y, x + w, y + h) for x, y, w, h in parts])
    x, y, width, height = largest_rectangle(region)
    assert region.buffer(1e-6).covers(box(x, y, x + width, y + height))
    cells = np.zeros((15, 15), int)
    for left, top, w, h in parts:
        cells[top : top + h, left : left + w] = 1
    sums = np.pad(cells.cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    best = 0
    for i in range(15):
        for k in range(i + 1, 16):
            for m in range(15):
                for n in range(m + 1, 16):
                    area = (k - i) * (n - m)
                    if area > best and sums[k, n] - sums[i, n] - sums[k, m] + sums[i, m] == area:
                        best = area
    assert width * height == pytest.approx(best, rel=1e-5)
    assert isinstance(region, Polygon | MultiPolygon)
