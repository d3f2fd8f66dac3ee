"""What the spec says of jigs, masses and purchases, against the files a maker uses."""

import csv
import io
from itertools import pairwise

import ezdxf
import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.pack.formats import written
from pixel2make.pack.sewing_template import sewing_files
from pixel2make.pack.shopping import shopping_files
from pixel2make.pack.spec import schema, spec
from tests.design.catalogue import furnished


def design_of(size=300, **choices):
    return dimension(furnished(), kinds.find("book"), size_mm=size, choices=choices)


def spec_of(size=300, **choices):
    return spec(design_of(size, **choices), part_files={})


@settings(max_examples=15, deadline=None)
@given(st.floats(160, 900), st.sampled_from(["case", "laced"]), st.sampled_from(["left", "trimmed"]))
def test_stations_of_a_jig_add_up_to_its_height(size, structure, edges):
    """Statement of a closed chain of dimensions, ISO 129-1: the parts of a length add up to it."""
    (template,) = spec_of(size, structure=structure, edges=edges)["templates"]
    holes, height = template["holes"], template["size_mm"]["height"]
    gaps = [hole["from_hole_above_mm"] for hole in holes[1:]]
    assert holes[0]["from_hole_above_mm"] is None
    assert holes[0]["from_upper_end_mm"] + sum(gaps) + holes[-1]["from_lower_end_mm"] == pytest.approx(
        height, abs=0.002 * len(holes)
    )
    for above, below in pairwise(holes):
        assert below["from_upper_end_mm"] > above["from_upper_end_mm"]


@pytest.mark.parametrize("structure", ["case", "laced"])
def test_the_spec_has_the_holes_that_the_jig_is_drawn_with(structure):
    """Read back from the DXF by another library: as many holes, as far from the head, as wide."""
    design = design_of(structure=structure)
    (template,) = spec(design, part_files={})["templates"]
    text = written(sewing_files(design), paper="A4")["sewing/template.dxf"].decode()
    document = ezdxf.read(io.StringIO(text.replace("\r\n", "\n")))
    # Holes are closed polylines; the box round one is as wide as the hole.
    holes = [[y for _, y in e.get_points("xy")] for e in document.modelspace() if e.dxf.layer == "engrave"]
    found = sorted((((max(ys) + min(ys)) / 2, max(ys) - min(ys)) for ys in holes), reverse=True)
    assert len(found) == len(template["holes"])
    assert "sewing/template.dxf" in template["files"]
    for (y, width), hole in zip(found, template["holes"], strict=True):
        below = hole["from_upper_end_mm"] - template["holes"][0]["from_upper_end_mm"]
        assert found[0][0] - y == pytest.approx(below, abs=0.002)
        assert width == pytest.approx(hole["diameter_mm"], abs=0.001)


def test_masses_of_the_parts_are_the_whole():
    """Conservation of mass."""
    found = spec_of()
    masses = {row["name"]: row["g"] for row in found["mass"]["parts"]}
    assert sum(masses.values()) == pytest.approx(found["mass"]["total_g"], abs=0.001 * len(masses))
    assert set(masses) == {part["name"] for part in found["parts"]}


def test_what_to_buy_stands_in_the_spec_as_on_the_list():
    """RFC 4180, read by the standard library."""
    design = design_of()
    rows = list(csv.DictReader(io.StringIO(shopping_files(design)["shopping.csv"].decode(), newline="")))
    materials = spec(design, part_files={})["materials"]
    assert [(r["item"], float(r["buy"]), r["unit"]) for r in rows] == [
        (m["name"], m["buy"], m["buy_unit"]) for m in materials
    ]


def test_the_schema_refuses_a_jig_without_its_distances():
    """JSON Schema draft 2020-12, by another library."""
    found = spec_of()
    jsonschema.validate(found, schema(), cls=jsonschema.Draft202012Validator)
    del found["templates"][0]["holes"][0]["from_upper_end_mm"]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(found, schema(), cls=jsonschema.Draft202012Validator)
