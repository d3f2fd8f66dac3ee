"""What a tool cannot make is put right, neighbours give way, and the change is told."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, box

from pixel2make.design import dimension
from pixel2make.design.finishing import AREA_TOOLS, tool_limits
from pixel2make.design.model import Area
from pixel2make.design.repair import Grid, repaired_areas
from pixel2make.geometry.narrow import narrow_places
from pixel2make.kinds.book.build import BookBuild
from pixel2make.pack.flat_findings import with_flat_findings
from tests.design import catalogue


def area(name, outline):
    return Area(name, "emblem", "cover", "painted", "#345c96", outline, "")


def test_what_is_sound_stays_untouched():
    sound = area("emblem-1", Point(30, 30).buffer(20, 64))
    assert repaired_areas([sound], "brush", {}) == (sound,)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.25, 3), st.sampled_from(AREA_TOOLS))
def test_a_neck_gets_the_width_that_the_tool_makes(width, tool):
    """Common practice: knife 1.0, laser 0.5, printer 0.8, brush 1.5 mm."""
    neck = box(0, 0, 20, 20).union(box(20, 9, 40, 9 + width)).union(box(40, 0, 60, 20))
    (made,) = repaired_areas([area("emblem-1", neck)], tool, {})
    least, _ = tool_limits(tool)
    assert narrow_places(made.outline, 0.97 * least) == []
    assert bool(made.repairs) == (width < 0.97 * least) or tool in ("laser", "printer", "brush")
    if "widened" in made.repairs:
        assert f"widened to {least:g} mm" in made.repairs and f"for a {tool}" in made.repairs


def test_rounding_leaves_no_place_narrower_than_the_tool_makes():
    """Two pixels joined by a square of 1.5 mm: a brush's radius of 0.75 mm would round that away."""
    pair = box(0, 0, 10, 10).union(box(10, 10, 20, 20)).union(box(9.25, 9.25, 10.75, 10.75))
    (made,) = repaired_areas([area("emblem-1", pair)], "brush", {})
    assert "rounded to 0.75 mm" in made.repairs
    assert narrow_places(made.outline, 1.45) == []


def test_a_larger_neighbour_gives_way_and_nothing_overlaps():
    line = box(20, 29.8, 80, 30.2)
    panel = box(0, 0, 100, 60).difference(line)
    made = {a.name: a for a in repaired_areas([area("panel-1", panel), area("line-1", line)], "knife", {})}
    assert made["line-1"].outline.intersection(made["panel-1"].outline).area == pytest.approx(0, abs=1e-9)
    together = made["line-1"].outline.area + made["panel-1"].outline.area
    assert together == pytest.approx(6000, abs=1e-6), "no gap either"
    assert "gives way to a neighbour" in made["panel-1"].repairs


def test_pixel_centres_that_change_sides_are_counted():
    """A row of pixels of 0.4 mm widened to 1 mm takes the centres of both rows beside it."""
    grid = Grid(tuple(((i + 0.5) * 0.4, (j + 0.5) * 0.4) for i in range(50) for j in range(11)))
    row = box(0, 5 * 0.4, 20, 6 * 0.4)
    (made,) = repaired_areas([area("line-1", row)], "knife", {"cover": grid})
    assert "100 pixel centres change sides" in made.repairs
    wide = Grid(tuple((i + 0.5, j + 0.5) for i in range(20) for j in range(11)))
    (made,) = repaired_areas([area("line-1", box(0, 5.1, 20, 5.9))], "knife", {"cover": wide})
    assert "every pixel's centre stays on its side" in made.repairs


def test_a_maker_asks_for_repairs_and_is_told():
    """A border one pixel wide on a book of 30 rows and 40 mm is 1.33 mm; a brush makes 1.5 mm."""
    reading = catalogue.book(
        catalogue.Mark("border-1", "cover", catalogue.rectangle(0.1, 0.5, 0.9, 0.53), catalogue.GOLD)
    )
    plain = with_flat_findings(dimension(reading, BookBuild(), size_mm=40, choices={"area_tool": "brush"}))
    # What is gilded is told once, by the stricter limit of leaf.
    assert {"narrow-place", "narrow-gilding"} & {f.code for f in plain.findings}
    mended = with_flat_findings(
        dimension(reading, BookBuild(), size_mm=40, choices={"area_tool": "brush", "repair": "yes"})
    )
    (told,) = [f for f in mended.findings if f.code == "repaired"]
    assert told.sentence in mended.warnings and "for a brush" in told.sentence
    assert "narrow-place" not in {f.code for f in mended.findings}
