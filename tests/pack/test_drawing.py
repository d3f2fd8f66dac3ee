"""The general arrangement: standards of technical drawing, and a layout in which nothing touches."""

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, box

from pixel2make import api
from pixel2make.errors import DesignError
from pixel2make.pack.drawing import general_arrangement, overlaps
from pixel2make.pack.drawing.arrangement import NAME_HEIGHT_MM
from pixel2make.pack.drawing.dimension_line import Linear, linear
from pixel2make.pack.drawing.layout import Layout
from pixel2make.pack.drawing.sheet import SCALES, SHEETS, fit_text
from pixel2make.pack.drawing.table import millimetres
from pixel2make.pack.pens import Drawing, DrawingBuilder, svg_bytes, text_width_mm
from tests.pack.catalogue import SIZES, book

DEMO = Path(__file__).parent.parent.parent / "demo_sprites"
CAPTION = re.compile(r"^\d+:\d+$")


def scale_of(drawing: Drawing) -> float:
    one, two = next(t.value for t in drawing.texts if CAPTION.match(t.value)).split(":")
    return int(one) / int(two)


def dimension_labels(drawing: Drawing) -> list:
    """Lettering of dimensions: numbers that stand outside of the tables and the title block."""
    size = 2.5 if drawing.height_mm > drawing.width_mm else NAME_HEIGHT_MM
    return [
        t
        for t in drawing.texts
        if re.match(r"^R?\d", t.value) and t.height_mm == size and t.anchor == "middle"
    ]


def arrow_tips(drawing: Drawing) -> list[tuple[float, float]]:
    return [p.contours[0][0] for p in drawing.paths if p.purpose == "dimension" and p.is_solid]


@pytest.mark.parametrize(
    ("name", "size"),
    # ISO 5457:1999, table of trimmed sheets and drawing spaces
    [("A4", (180, 277)), ("A3", (390, 277)), ("A2", (564, 400)), ("A1", (811, 574)), ("A0", (1159, 821))],
)
def test_drawing_space(name, size):
    x0, y0, x1, y1 = SHEETS[name].space
    assert (x1 - x0, y1 - y0) == size
    assert (x0, y0) == (20, 10)


def test_scales_are_those_of_iso_5455():
    assert SCALES == (50, 20, 10, 5, 2, 1, 1 / 2, 1 / 5, 1 / 10, 1 / 20, 1 / 50)


@pytest.mark.parametrize("name", sorted(SIZES))
def test_nothing_touches_on_books_of_every_kind(name):
    assert overlaps(general_arrangement(book(**SIZES[name]))) == []


@settings(max_examples=25, deadline=None)
@given(
    st.floats(30, 900),
    st.floats(0.4, 2.2),
    st.floats(0.03, 1.2),
    st.integers(0, 3),
    st.floats(0, 0.1),
    st.integers(0, 50),
)
def test_nothing_touches_whatever_the_size(height, ratio, thick, clasps, rounding, extra):
    design = book(
        height * ratio,
        height,
        max(6.0, height * thick),
        clasps=clasps,
        radius=height * min(ratio, 1) * rounding,
        extra_dimensions=extra,
    )
    drawing = general_arrangement(design)
    assert overlaps(drawing) == []
    labels = {t.value for t in dimension_labels(drawing)}
    for name in ("cover_width", "cover_height", "book_thickness"):
        assert millimetres(design.dimension(name).value_mm) in labels


@pytest.mark.parametrize("name", sorted(SIZES))
def test_every_dimension_measures_what_it_says(name):
    drawing = general_arrangement(book(**SIZES[name]))
    scale, tips = scale_of(drawing), arrow_tips(drawing)
    spans = {
        millimetres(math.dist(a, b) / scale)
        for a, b in combinations(tips, 2)
        if min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 1e-6
    }
    labels = [t.value for t in dimension_labels(drawing) if not t.value.startswith("R")]
    assert labels and set(labels) <= spans


def test_lettering_reads_from_the_bottom_or_from_the_right_and_is_legible():
    # ISO 129-1 for the direction, ISO 3098 for heights; common practice asks for 2.5 at least on dimensions.
    drawing = general_arrangement(book())
    for text in dimension_labels(drawing):
        assert text.height_mm >= 2.5
    assert any(t.is_upward for t in drawing.texts)
    assert min(t.height_mm for t in drawing.texts) >= 1.8


def test_dimension_lines_keep_their_distance():
    # common practice: 10 mm from the outline, then every 7 mm
    new, levels = lambda: DrawingBuilder(300, 300), []
    for page in linear(new, Linear("40", (100, 100), (140, 100), False, 1, 100.0), 3.5, tracks=3):
        line = next(p for p in page.paths if p.purpose == "dimension" and not p.is_solid)
        levels.append(line.contours[0][0][1])
        ends = [p.contours[0] for p in page.paths if p.purpose == "extension"]
        # the extension line begins off the outline and ends 2 mm past the dimension line
        assert all(e[0][1] > 100 and e[1][1] == levels[-1] + 2 for e in ends)
        text = page.texts[0]
        assert text.bounds[3] < levels[-1]
    assert levels == [110, 117, 124]


def test_small_dimensions_have_their_arrows_outside():
    new = lambda: DrawingBuilder(300, 300)  # noqa: E731
    page = next(iter(linear(new, Linear("3", (100, 100), (103, 100), False, 1, 100.0), 3.5)))
    arrows = [p.contours[0] for p in page.paths if p.is_solid]
    assert [a[0][0] for a in arrows] == [100, 103]
    assert max(x for x, _ in arrows[0]) == 100 and min(x for x, _ in arrows[1]) == 103
    assert page.texts[0].bounds[0] > 103 or page.texts[0].bounds[2] < 100


def arranged(projection: str) -> Drawing:
    return general_arrangement(replace(book(), taken={"projection": projection}))


def names_of(drawing: Drawing) -> dict[str, tuple[float, float]]:
    return {t.value: t.at for t in drawing.texts if t.value in {"Front", "Fore-edge", "Head"}}


def test_views_stand_as_iso_5456_2_has_them():
    # ISO 5456-2. First angle: the view from the right on the left, the view from above below. Third angle:
    # the view from the right on the right, the view from above above.
    first, third = (names_of(arranged(p)) for p in ("first_angle", "third_angle"))
    assert first["Fore-edge"][0] < first["Front"][0] and first["Head"][1] > first["Front"][1]
    assert third["Fore-edge"][0] > third["Front"][0] and third["Head"][1] < third["Front"][1]


@pytest.mark.parametrize(("projection", "is_small_end_near"), [("first_angle", False), ("third_angle", True)])
def test_the_symbol_follows_its_own_rule(projection, is_small_end_near):
    # ISO 5456-2: the symbol shows a cone's stump and its view from the left, in which the small end is seen.
    # First angle puts that view on the right, away from the small end; third angle on the left, next to it.
    drawing = arranged(projection)
    caption = next(t for t in drawing.texts if t.value == "Projection")
    near = box(caption.at[0], caption.at[1], caption.at[0] + 30, caption.at[1] + 7)
    shapes = [c for p in drawing.paths if p.purpose == "detail" for c in p.contours]
    own = [np.array(c) for c in shapes if len(c) >= 5 and near.contains(LineString(c))]
    cone = next(c for c in own if len(c) == 5)
    rings = [c for c in own if len(c) > 5]
    middles = {float((ring[:, 0].min() + ring[:, 0].max()) / 2) for ring in rings}
    assert len(rings) == 2 and np.ptp(list(middles)) < 1e-6
    heights = {float(x): float(np.ptp(cone[np.isclose(cone[:, 0], x), 1])) for x in np.unique(cone[:, 0])}
    assert sorted(heights.values()) == pytest.approx(sorted(float(np.ptp(ring[:, 1])) for ring in rings))
    small, large = sorted(heights, key=lambda x: heights[x])
    middle = middles.pop()
    assert (abs(middle - small) < abs(middle - large)) is is_small_end_near


def test_views_stand_level_and_plumb():
    # ISO 5456-2: orthographic views of one object are aligned with each other.
    for projection in ("first_angle", "third_angle"):
        names = names_of(arranged(projection))
        assert names["Head"][0] == pytest.approx(names["Front"][0], abs=0.5)


def real(structure: str, height: str) -> Drawing:
    design = api.measure(
        api.open_source(DEMO / "tidewardens_rule.png"),
        size=("height", height),
        choices={"structure": structure},
    )
    return general_arrangement(design)


@pytest.mark.parametrize(("structure", "height"), [("case", "90mm"), ("laced", "300mm")])
def test_the_section_is_marked_on_the_front(structure, height):
    # ISO 128-3: two wide strokes at one level, arrows along the view, the same letter at both.
    drawing = real(structure, height)
    strokes = [p.contours[0] for p in drawing.paths if p.purpose == "cutting_plane" and not p.is_solid]
    arrows = [p.contours[0] for p in drawing.paths if p.purpose == "cutting_plane" and p.is_solid]
    letters = [t for t in drawing.texts if t.value == "A" and t.height_mm > NAME_HEIGHT_MM]
    assert len(strokes) == len(arrows) == len(letters) == 2
    assert len({y for stroke in strokes for _, y in stroke}) == 1
    # the section shows the front board on top, so it is seen from the tail: arrows point up the page
    assert all(arrow[0][1] < min(y for _, y in arrow[1:3]) for arrow in arrows)
    assert overlaps(drawing) == []


def test_title_block_has_the_required_fields():
    # ISO 7200:2004: legal owner, identification number, date of issue, sheet number, title, approval
    # person, creator, document type; at most 180 wide
    drawing = general_arrangement(book())
    texts = {t.value for t in drawing.texts}
    fields = {"Legal owner", "Identification number", "Date of issue", "Sheet", "Title", "Approved by"}
    assert fields | {"Created by", "Document type", "All dimensions in mm"} <= texts
    assert "ISO 2768-1 c" in texts
    captions = [t for t in drawing.texts if t.value in fields]
    assert min(t.at[0] for t in captions) >= drawing.width_mm - 10 - 180


@pytest.mark.parametrize("name", sorted(SIZES))
def test_sheet_and_scale_are_of_the_series(name):
    # ISO 5457 for sheets, ISO 5455 for scales; a cover is drawn 80 mm long or more.
    drawing = general_arrangement(book(**SIZES[name]))
    scale = scale_of(drawing)
    assert (drawing.width_mm, drawing.height_mm) in {(s.width_mm, s.height_mm) for s in SHEETS.values()}
    assert scale in SCALES
    sizes = (book(**SIZES[name]).dimension(edge).value_mm for edge in ("cover_width", "cover_height"))
    assert max(sizes) * scale >= 80


def test_measured_values_show_their_interval_and_origin():
    drawing = general_arrangement(book())
    rows = {t.value for t in drawing.texts}
    assert {"198.8 to 225.2", "sprite", "maker"} <= rows


def test_a_long_list_says_what_it_leaves_out():
    drawing = general_arrangement(book(extra_dimensions=80))
    shown = sum(t.value.startswith("extra length") for t in drawing.texts)
    more = next(t.value for t in drawing.texts if t.value.endswith("more in spec.json"))
    hidden = int(re.search(r"\d+", more).group())
    cell_names = [t for t in drawing.texts if t.value in {"sprite", "rule", "stock", "maker"}]
    assert shown > 20 and len(cell_names) + hidden == 90


def test_a_house_sized_book_is_refused_in_one_line():
    with pytest.raises(DesignError, match=r"^a book of .* fits no drawing sheet up to A0"):
        general_arrangement(book(150e3, 200e3, 9e3))


def test_same_design_same_bytes():
    one, two = (svg_bytes(general_arrangement(book())) for _ in range(2))
    assert one == two
    ET.fromstring(one)


class TestOverlaps:
    """The judge must find what is wrong, or its silence is worth nothing."""

    def page(self) -> DrawingBuilder:
        return DrawingBuilder(100, 100)

    def test_text_on_text(self):
        page = self.page()
        page.text("one", (10, 20), 5)
        page.text("two", (14, 21), 5)
        assert overlaps(page.build()) == ["text 'one' touches text 'two'"]

    def test_text_on_line(self):
        page = self.page()
        page.text("one", (10, 20), 5)
        page.line("visible", (0, 18), (50, 18))
        assert overlaps(page.build()) == ["text 'one' touches a visible line"]

    def test_leaving_the_page(self):
        page = self.page()
        page.text("one", (95, 20), 5)
        page.line("cut", (50, 50), (50, 101))
        assert overlaps(page.build()) == ["text 'one' leaves the page", "cut line leaves the page"]

    def test_dimension_lines_that_cross(self):
        page = self.page()
        page.line("dimension", (10, 50), (90, 50))
        page.line("dimension", (50, 10), (50, 90))
        assert overlaps(page.build()) == ["dimension lines cross"]

    def test_dimension_line_on_an_edge(self):
        page = self.page()
        page.line("dimension", (10, 50), (90, 50))
        page.rectangle("visible", 20, 50, 30, 30)
        assert overlaps(page.build()) == ["a dimension line runs on a visible line"]

    def test_text_above_its_own_dimension_line(self):
        pages = linear(self.page, Linear("50", (20, 40), (70, 40), False, 1, 40.0), 3.5)
        assert overlaps(next(iter(pages)).build()) == []


@given(st.lists(st.tuples(*[st.integers(0, 200).map(float)] * 4), min_size=1, max_size=8))
def test_layout_judges_lettering_against_lines_as_shapely_does(lines):
    page = DrawingBuilder(200, 200)
    for x0, y0, x1, y1 in lines:
        page.line("visible", (x0, y0), (x1, y1))
    layout = Layout(page, (0.0, 0.0, 200.0, 200.0))
    fragment = layout.fragment()
    text = fragment.text("ABC", (100.0, 100.0), 5.0, "middle")
    # mitred, as the layout grows its boxes
    aired = text.box.buffer(0.3, join_style="mitre")
    expected = not any(aired.intersects(line) for path in page.paths for line in path.lines)
    assert layout.is_free(fragment.build()) is expected


def test_long_entries_are_set_smaller_then_cut():
    value, height = fit_text("a name that is far too long for the field", 30.0, 5.0)
    assert height == 1.8 and value.endswith("…")
    assert text_width_mm(value, height) <= 30.0


def test_views_are_drawn_to_scale_in_a_picture():
    from tests.pack.test_pens import picture

    drawing = general_arrangement(book(clasps=0, emblem=False, title=False))
    grey = picture(drawing)
    cover = max(
        (p for p in drawing.paths if p.purpose == "visible" and len(p.contours) == 1),
        key=lambda p: np.ptp(np.array(p.contours[0]), axis=0).prod(),
    )
    outline = np.array(cover.contours[0])
    (x0, y0), (x1, _) = outline.min(axis=0), outline.max(axis=0)
    level = int((y0 + 75 * 0.5 + 20) * 10)
    dark = np.flatnonzero(grey[level, int(x0 * 10) - 20 : int(x1 * 10) + 20] < 128)
    # 212 mm at 1:2 on a picture of ten pixels to the millimetre
    assert dark.max() - dark.min() + 1 == pytest.approx((212 / 2 + 0.5) * 10, abs=2)


def test_bands_and_bevels_are_seen_where_the_design_has_them():
    """On the front view bands stand out behind the spine at their places; at the fore-edge boards slope."""
    from dataclasses import replace

    from pixel2make.pack.drawing.view import fore_edge_view, front_view
    from tests.pack.catalogue import book, chosen

    plain = book(clasps=0, radius=0.0)
    lengths = {"band_1_from_head": 60.0, "band_2_from_head": 130.0, "band_width": 6.0, "band_rise": 3.0}
    lengths |= {"bevel_width": 9.0, "bevel_depth": 1.2}
    design = replace(plain, dimensions=(*plain.dimensions, *(chosen(n, mm) for n, mm in lengths.items())))
    front = front_view(design)
    ribs = [shape.bounds for purpose, shape in front.shapes if shape.bounds[0] < -1e-9]
    assert sorted((b[1] + b[3]) / 2 for b in ribs) == pytest.approx([60.0, 130.0])
    assert [b[0] for b in ribs] == pytest.approx([-3.0, -3.0])
    assert front.bounds[0] == pytest.approx(-3.0)
    height = design.dimension("cover_height").value_mm
    sloped = [line for _, shape in fore_edge_view(design).shapes for line in getattr(shape, "geoms", [shape])]
    corners = {(round(x, 6), round(y, 6)) for line in sloped for x, y in getattr(line, "coords", ())}
    assert {(0.0, 9.0), (1.2, 0.0), (1.2, round(height, 6)), (0.0, round(height - 9.0, 6))} <= corners
