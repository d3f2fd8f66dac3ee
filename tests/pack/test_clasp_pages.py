"""Drawings and instructions of clasps: nothing touches, bars and patterns measure true, both units."""

import io
import re

import ezdxf
import pytest
from shapely.geometry import box

from pixel2make.design import dimension
from pixel2make.geometry.pieces import Sheet
from pixel2make.kinds.book.build import BookBuild
from pixel2make.pack.clasp import clasp_files
from pixel2make.pack.clasp_flat import flat_page
from pixel2make.pack.drawing import overlaps
from pixel2make.pack.pens import Drawing
from pixel2make.pack.pens.dxf import dxf_bytes
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
