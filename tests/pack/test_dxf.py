"""DXF files read back by the library of the format and measured with shapely."""

import io
import itertools
import math
import os
import subprocess
import sys

import ezdxf
from ezdxf import recover
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from pixel2make.pack.pens import LINES, DrawingBuilder
from pixel2make.pack.pens.dxf import CHORD_MM, dxf_bytes


def read(data):
    document, auditor = recover.read(io.BytesIO(data))
    assert not auditor.errors
    assert not auditor.fixes
    assert not document.audit().errors
    return document


def everything():
    page = DrawingBuilder(200, 150, "Everything")
    for i, purpose in enumerate(LINES):
        page.line(purpose, (5, 5 + i * 5), (100, 5 + i * 5))
    page.polygon("cut", box(110, 20, 160, 80).difference(box(120, 30, 140, 50)), tint="#c0ffee")
    page.circle("engrave", (150, 110), 20)
    page.arrowhead((10, 120), (1, 0), 3)
    page.dot((30, 120))
    page.text("Front board × 2", (10, 140), 3.5)
    page.text("upward", (190, 140), 2.5, "middle", is_upward=True)
    return page.build()


def test_a_file_is_sound_and_says_millimetres():
    document = read(dxf_bytes(everything()))
    assert document.dxfversion == "AC1024"  # R2010
    assert document.header["$INSUNITS"] == 4  # millimetres, DXF reference
    assert document.header["$MEASUREMENT"] == 1


def test_every_entity_lies_on_a_layer_that_the_file_defines():
    document = read(dxf_bytes(everything()))
    used = {entity.dxf.layer for entity in document.modelspace()}
    assert used == {*LINES, "lettering"}
    for name in used:
        assert document.layers.has_entry(name)


def test_layers_differ_without_their_colour():
    document = read(dxf_bytes(everything()))
    looks = {}
    for name in ("cut", "score", "engrave", "mark"):
        layer = document.layers.get(name)
        pattern = document.linetypes.get(layer.dxf.linetype)
        looks[name] = (layer.dxf.lineweight, tuple(round(v, 6) for v in pattern.simplified_line_pattern()))
    assert len(set(looks.values())) == len(looks)
    assert looks["cut"][0] == 50  # hundredths of a millimetre: 0.5 wide line of ISO 128-2


def test_lettering_stands_where_it_was_put():
    document = read(dxf_bytes(everything()))
    first, second = document.modelspace().query("TEXT")
    assert (first.dxf.text, first.dxf.height) == ("Front board × 2", 3.5)
    assert tuple(first.dxf.insert)[:2] == (10, 10)
    assert second.dxf.rotation == 90


polygons = st.lists(st.tuples(st.floats(0, 300), st.floats(0, 300)), min_size=3, max_size=3).filter(
    lambda p: (
        Polygon(p).area > 1 and min(math.dist(a, b) for a, b in zip(p, p[1:] + p[:1], strict=True)) > 0.1
    )
)


@given(polygons)
def test_areas_come_back_as_drawn(points):
    page = DrawingBuilder(300, 300)
    page.polygon("cut", Polygon(points))
    (line,) = read(dxf_bytes(page.build())).modelspace().query("LWPOLYLINE")
    assert line.closed
    back = Polygon([(x, 300 - y) for x, y in line.get_points("xy")])
    assert back.symmetric_difference(Polygon(points)).area < 1e-6 * Polygon(points).length + 1e-9


@given(st.floats(0.5, 400))
def test_chords_leave_a_circle_by_no_more_than_said(radius):
    page = DrawingBuilder(1000, 1000)
    page.circle("cut", (500, 500), radius)
    (line,) = read(dxf_bytes(page.build())).modelspace().query("LWPOLYLINE")
    points = [(x - 500, y - 500) for x, y in line.get_points("xy")]
    # The four cubics themselves leave the circle by 0.03 % of the radius at most.
    allowed = CHORD_MM + 3e-4 * radius
    for (x0, y0), (x1, y1) in zip(points, points[1:] + points[:1], strict=True):
        assert abs(math.hypot((x0 + x1) / 2, (y0 + y1) / 2) - radius) <= allowed
    assert all(math.dist(a, b) > 1e-6 for a, b in itertools.pairwise(points))


def test_the_same_drawing_gives_the_same_bytes():
    assert dxf_bytes(everything()) == dxf_bytes(everything())
    assert ezdxf.options.write_fixed_meta_data_for_testing is False


def test_the_same_bytes_from_one_run_to_the_next():
    """Within one run a set keeps its order; the next run hashes its words otherwise."""
    program = (
        "import hashlib, sys\n"
        "from pixel2make.pack.pens import DrawingBuilder\n"
        "from pixel2make.pack.pens.dxf import dxf_bytes\n"
        "page = DrawingBuilder(50, 50, 'page')\n"
        "page.line('cut', (0, 0), (10, 10))\n"
        "page.text('a', (5, 5), 3)\n"
        "print(hashlib.sha256(dxf_bytes(page.build())).hexdigest())"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", program],
            env={**os.environ, "PYTHONHASHSEED": str(seed)},
            capture_output=True,
            check=True,
        ).stdout
        for seed in range(1, 5)
    }
    assert len(found) == 1
