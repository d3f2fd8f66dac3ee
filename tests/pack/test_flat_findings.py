"""What the stencils and leaf run into stands among the design's findings and warnings."""

import dataclasses

from shapely.geometry import Point, box

from pixel2make.design.model import Area
from pixel2make.pack.flat_findings import with_flat_findings
from pixel2make.pack.stencils import stencil_files
from tests.pack.catalogue import book, svg_files


def design_with(outline, treatment="painted", **taken):
    area = Area("emblem-1", "emblem", "cover", treatment, "#d8b040", outline, "")
    return dataclasses.replace(book(), areas=(area,), taken=taken)


def codes(design):
    return {finding.code for finding in with_flat_findings(design).findings}


NARROW = box(20, 20, 60, 60).union(box(60, 30, 100, 30.8))


def test_a_strip_too_narrow_for_the_tool_is_a_warning_with_its_place():
    design = with_flat_findings(design_with(NARROW))
    (finding,) = [f for f in design.findings if f.code == "narrow-place"]
    assert finding.sentence in design.warnings and "y 30.4 mm" in finding.sentence


def test_the_tool_decides():
    """Common practice: a knife makes 1 mm, a laser 0.5 mm, a brush 1.5 mm."""
    assert "narrow-place" not in codes(design_with(NARROW, area_tool="laser"))
    assert "narrow-place" not in codes(design_with(NARROW, stencil_sheet="film_laser"))
    assert {"narrow-place", "sharp-corner"} <= codes(design_with(NARROW, area_tool="brush"))


def test_narrow_gilding_reaches_the_design():
    assert "narrow-gilding" in codes(design_with(NARROW, "gilded"))
    assert "narrow-gilding" not in codes(design_with(NARROW))


def test_a_strip_too_narrow_to_gild_is_told_once_though_it_is_too_narrow_to_cut_as_well():
    design = with_flat_findings(design_with(NARROW, "gilded"))
    told = [f for f in design.findings if f.code.startswith("narrow")]
    assert [(f.code, f.subject) for f in told] == [("narrow-gilding", "emblem-1")]


def test_a_fragile_web_reaches_the_design():
    pair = box(20, 20, 60, 60).union(box(60.7, 20, 100, 60))
    assert "fragile-web" in codes(design_with(pair))


def test_nothing_is_said_twice_and_a_sound_area_says_nothing():
    once = with_flat_findings(design_with(NARROW))
    assert with_flat_findings(once).findings == once.findings
    assert not codes(design_with(Point(100, 100).buffer(30)))


def test_answers_about_sheets_reach_the_files():
    ring = Point(100, 100).buffer(30).difference(Point(100, 100).buffer(15))
    assert b"bridges of 2.5" in svg_files(stencil_files(design_with(ring)))["stencils/emblem-1.svg"]
    film = svg_files(stencil_files(design_with(ring, stencil_sheet="masking_film")))["stencils/emblem-1.svg"]
    assert b"lay each on by itself" in film
