"""Drawings and instructions of clasps: nothing touches, bars and patterns measure true, both units."""

import io
import re
from itertools import pairwise

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from pixel2make.design import dimension
from pixel2make.geometry.pieces import Sheet
from pixel2make.kinds.book.build import BookBuild
from pixel2make.pack.clasp import clasp_files
from pixel2make.pack.clasp_flat import _hole_measures, flat_page
from pixel2make.pack.drawing import overlaps
from pixel2make.pack.pens import Drawing
from pixel2make.pack.pens.dxf import dxf_bytes
from pixel2make.quantity import length_digits
from tests.design import catalogue
from tests.pack.clasps import FORMS, gauge_of, site_of

KIND = BookBuild()
forms = pytest.mark.parametrize("form", FORMS)


def files_of(form, size, units):
    book = catalogue.book(*catalogue.CLASP, thickness=(12.0, 0.0))
    choices = {"clasp_form": form, "units": units}
    return clasp_files(dimension(book, KIND, size_mm=size, choices=choices))


@forms
@pytest.mark.parametrize(("size", "units"), [(80, "mm"), (300, "in"), (900, "mm")])
def test_nothing_touches_on_any_page(form, size, units):
    files = files_of(form, size, units)
    drawings = {path: d for path, d in files.items() if isinstance(d, Drawing)}
    assert len(drawings) >= 3
    assert {path: found for path, d in drawings.items() if (found := overlaps(d))} == {}


@forms
@pytest.mark.parametrize(("units", "length"), [("mm", 100.0), ("in", 4 * 25.4)])
def test_a_pattern_is_at_true_size_with_bars_of_a_round_length(form, units, length):
    """Read back from the DXF file by a library of the format: as large as the flat piece."""
    mechanism = FORMS[form](site_of(box(0, 0, 40, 24)), gauge_of("sheet"))
    for piece in mechanism.pieces:
        if not isinstance(piece.shape, Sheet):
            continue
        drawing = flat_page(piece, (), units)
        document = ezdxf.read(io.StringIO(dxf_bytes(drawing).decode()))
        points = [p for e in document.modelspace().query('LWPOLYLINE[layer=="cut"]') for p in e.get_points()]
        wide, tall = (max(p[i] for p in points) - min(p[i] for p in points) for i in (0, 1))
        assert (wide, tall) == pytest.approx(piece.shape.flat().size_mm, abs=1e-3)
        bars = [
            e.get_points() for e in document.modelspace().query('LWPOLYLINE[layer=="print"]') if len(e) == 2
        ]
        across = [abs(b[0] - a[0]) for a, b in bars if abs(a[1] - b[1]) < 1e-6]
        along = [abs(b[1] - a[1]) for a, b in bars if abs(a[0] - b[0]) < 1e-6]
        assert max(across) == pytest.approx(length) and max(along) == pytest.approx(length)


@forms
def test_instructions_in_inches_have_no_millimetres_left(form):
    """But for stresses in MPa, whose formulas are in N and mm, and the answer that the program reads."""
    text = files_of(form, 300.0, "in")["clasp/clasp-1.txt"].decode()
    said = [line for line in text.splitlines() if "formula" not in line and "print_clearance" not in line]
    assert not [line for line in said if re.search(r"\d mm\b", line)]
    assert "Sizes in inches" in text
    assert re.search(r"\d/\d+ in\b", text)


@forms
def test_instructions_name_every_piece_its_cautions_and_existing_files(form):
    files = files_of(form, 300.0, "mm")
    text = files["clasp/clasp-1.txt"].decode()
    for word in ("deburr", "tongs", "nitrile", "MPa", "escutcheon pins", "fit-coupon"):
        assert word in text
    for name in re.findall(r"clasp-1_\w+", text):
        assert f"clasp/{name}" in files
    assert max(map(len, text.splitlines())) <= 130


def test_the_coupons_answer_is_asked_for_once():
    book = catalogue.book(*catalogue.CLASP)
    design = dimension(book, KIND, size_mm=300, choices={"print_clearance": "0.3mm"})
    text = clasp_files(design)["clasp/clasp-1.txt"].decode()
    assert "answer of 0.3 mm" in text
    assert "Print fit-coupon" not in text


@pytest.mark.parametrize(("projection", "is_head_above"), [("first_angle", False), ("third_angle", True)])
def test_the_view_from_the_head_stands_where_the_projection_has_it(projection, is_head_above):
    """ISO 5456-2:1996: seen from above, below the front view by first angle, above it by third."""
    book = catalogue.book(*catalogue.CLASP, thickness=(12.0, 0.0))
    design = dimension(book, KIND, size_mm=200, choices={"clasp_form": "pin_strap", "projection": projection})
    clasp = design.clasps[0]
    drawing = clasp_files(design)["clasp/clasp-1_drawing"]
    texts = {text.value: text.at[1] for text in drawing.texts}
    on_cover = texts[length_digits(clasp.width.value_mm)]
    lines = [line.bounds for p in drawing.paths if p.purpose == "detail" for line in p.lines]
    # the book's own thickness is drawn from the head alone: both covers as level lines
    foot = drawing.height_mm - 60.0  # of the views: below it are notes and the title block
    levels = [b[1] for b in lines if b[3] - b[1] < 1e-6 and b[2] - b[0] > 5 and b[1] < foot]
    assert levels
    assert all((level < on_cover) == is_head_above for level in levels)


@given(st.lists(st.tuples(st.integers(2, 38), st.integers(2, 22)), min_size=1, max_size=6, unique=True))
@settings(max_examples=40)
def test_edge_distances_and_pitches_lead_to_every_hole(spots):
    """ISO 129-1: a chain of dimensions from one edge places each column and row once, without a gap."""
    pattern = [(float(x), float(y)) for x, y in spots]
    found = list(_hole_measures(pattern, "mm", (0.0, 0.0, 40.0, 24.0)))
    for is_vertical, edge in ((False, 40.0), (True, 0.0)):
        axis = 1 if is_vertical else 0
        ends = sorted(m.span for m in found if m.is_vertical == is_vertical)
        assert all(a[1] == b[0] for a, b in pairwise(ends))
        assert edge in (ends[0][0], ends[-1][1])
        far = max(abs(spot[axis] - edge) for spot in pattern)
        assert ends[-1][1] - ends[0][0] == pytest.approx(far)
        # read back as a maker would: from the edge on, pitch by pitch, every column or row is reached
        at, reached = edge, []
        for low, high in ends if is_vertical else reversed(ends):
            label = next(m.label for m in found if m.is_vertical == is_vertical and m.span == (low, high))
            times, pitch = re.fullmatch(r"(?:(\d+) x )?([\d.]+).*", label).groups()
            for _ in range(int(times or 1)):
                at += float(pitch) * (1 if is_vertical else -1)
                reached.append(round(at, 1))
        assert sorted(reached) == sorted({round(spot[axis], 1) for spot in pattern})
