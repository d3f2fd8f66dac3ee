"""Lettering on the spine: inside its place, clear of bands, running the way that was asked for."""

import dataclasses

import pytest
from shapely.geometry import Polygon
from shapely.ops import unary_union

from pixel2make.design.model import Design
from pixel2make.pack.cover_carving import carving_findings, cover_carving
from pixel2make.pack.spine_layout import spine_findings, spine_layout
from tests.pack.catalogue import SIZES, book, chosen

TITLE, BYLINE = "Saltglass Harbour", "Orla Fenwick"


def with_bands(design: Design, *places: float, width: float = 8.0) -> Design:
    lengths = [chosen(f"band_{k}_from_head", at) for k, at in enumerate(places, 1)]
    return dataclasses.replace(design, dimensions=(*design.dimensions, *lengths, chosen("band_width", width)))


def answered(design: Design, **taken: str | float) -> Design:
    return dataclasses.replace(design, taken={**design.taken, **taken})


def letters(drawing):
    """The glyphs, which alone are solid."""
    found = []
    for path in drawing.paths:
        if path.is_solid:
            shape = Polygon()
            for line in path.lines:
                shape = shape.symmetric_difference(Polygon(line))
            found.append(shape)
    return found


def place(drawing):
    (mark,) = [path for path in drawing.paths if path.purpose == "mark"]
    return Polygon(mark.lines[0])


@pytest.mark.parametrize("size", sorted(SIZES))
@pytest.mark.parametrize("direction", ["usual", "down", "up", "across"])
def test_lettering_stands_inside_its_place_on_the_spine(size, direction):
    design = answered(book(**SIZES[size]), spine_lettering=direction)
    drawing = spine_layout(design, title=TITLE, byline=BYLINE)
    if drawing is None:
        (finding,) = spine_findings(design, title=TITLE, byline=BYLINE)
        assert finding.code == "spine-too-narrow" and finding.measured_mm < finding.limit_mm
        return
    left_out = list(spine_findings(design, title=TITLE, byline=BYLINE))
    assert [finding.subject for finding in left_out] in ([], ["spine_byline"])
    assert len(letters(drawing)) == len((TITLE + ("" if left_out else BYLINE)).replace(" ", ""))
    inked = unary_union(letters(drawing))
    assert not inked.is_empty and place(drawing).buffer(1e-6).covers(inked)
    thickness = design.dimension("book_thickness").value_mm
    assert drawing.width_mm == pytest.approx(thickness) or "spine_piece_width" in {
        d.name for d in design.dimensions
    }


def test_down_reads_from_head_to_tail_and_up_the_other_way():
    """ISO 6357: a spine title reads from top to bottom. The T's bar tells where its top is."""
    design = book(**SIZES["metre"])
    for direction, first_above, bar_right in (("down", True, True), ("up", False, False)):
        glyphs = letters(spine_layout(answered(design, spine_lettering=direction), title="TIM"))
        assert (glyphs[0].centroid.y < glyphs[-1].centroid.y) == first_above
        x0, _, x1, _ = glyphs[0].bounds
        assert (glyphs[0].centroid.x > (x0 + x1) / 2) == bar_right


def test_between_bands_the_title_stands_across_the_second_panel():
    design = with_bands(book(**SIZES["metre"]), 200, 400, 600, 800)
    drawing = spine_layout(design, title=TITLE)
    x0, y0, x1, y1 = unary_union(letters(drawing)).bounds
    assert y0 > 204 and y1 < 396 and x0 > 0 and x1 < drawing.width_mm


def test_a_narrow_spine_is_told_with_the_size_that_would_do():
    thin = book(**SIZES["palm"])
    thin = dataclasses.replace(
        thin,
        dimensions=tuple(
            dataclasses.replace(d, value_mm=2.0, low_mm=1.0, high_mm=3.0)
            if d.name in ("book_thickness", "spine_piece_width")
            else d
            for d in thin.dimensions
        ),
    )
    assert spine_layout(thin, title=TITLE) is None
    (finding,) = spine_findings(thin, title=TITLE)
    assert "times as large would do" in finding.sentence


def test_no_lettering_where_none_is_wanted():
    design = answered(book(), spine_lettering="none")
    assert spine_layout(design, title=TITLE) is None and not list(spine_findings(design, title=TITLE))


def test_grooves_stand_inside_the_title_area_or_the_size_that_would_do_is_told():
    for tool in (0.3, 1.0, 4.0):
        design = answered(book(), carving_tool=tool)
        words = {"title": "Salt", "face": "engraved"}
        drawing = cover_carving(design, **words)
        told = list(carving_findings(design, **words))
        assert (drawing is None) == bool(told)
        if drawing is not None:
            grooves = [path for path in drawing.paths if path.purpose == "engrave"]
            assert len(grooves) == 4
