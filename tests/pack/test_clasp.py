"""The files of the clasps, as a maker opens them."""

import io
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
import trimesh
from PIL import Image
from shapely.geometry import box

from pixel2make.pack.clasp import clasp_files, clasp_paths
from pixel2make.pack.clasp_pages import clasp_drawing, flat_page
from pixel2make.pack.meshes.flat import flat_pattern
from pixel2make.pack.pens import Drawing
from tests.pack.clasps import OUTLINES, clasp_of, design_of

SVG = "{http://www.w3.org/2000/svg}"
DPI = 254  # ten pixels a millimetre

every_outline = pytest.mark.parametrize("plate", OUTLINES.values(), ids=OUTLINES)
sizes = pytest.mark.parametrize("factor", [0.3, 1.0, 4.0, 12.0])


def size_mm(svg: bytes) -> tuple[float, float]:
    root = ET.fromstring(svg)
    return float(root.attrib["width"].removesuffix("mm")), float(root.attrib["height"].removesuffix("mm"))


def rendered(svg: bytes, *groups: str) -> np.ndarray:
    """Darkness of the named groups alone, by resvg, an independent renderer."""
    import resvg_py

    root = ET.fromstring(svg)
    for child in list(root):
        if child.attrib.get("id") not in (*groups, "paper"):
            root.remove(child)
    png = resvg_py.svg_to_bytes(svg_string=ET.tostring(root, encoding="unicode"), dpi=DPI)
    return 255 - np.array(Image.open(io.BytesIO(bytes(png))).convert("L"))


def test_every_clasp_gets_its_files_and_the_paths_agree():
    design = design_of(clasp_of(OUTLINES["rectangle"]), clasp_of(OUTLINES["stairs"], name="clasp-2"))
    files = clasp_files(design)
    assert sorted(files) == sorted(
        f"clasp/clasp-{n}{e}" for n in (1, 2) for e in (".stl", "_drawing.svg", "_flat.svg", ".txt")
    )
    assert clasp_paths(design) == {
        name: tuple(path for path in files if path.startswith(f"clasp/{name}"))
        for name in ("clasp-1", "clasp-2")
    }


def test_no_clasps_no_files():
    assert clasp_files(design_of()) == {}
    assert clasp_paths(design_of()) == {}


def test_same_design_same_bytes():
    design = design_of(clasp_of(OUTLINES["window"]))
    assert clasp_files(design) == clasp_files(design)


@every_outline
def test_stl_is_closed_in_another_library(plate):
    data = clasp_files(design_of(clasp_of(plate)))["clasp/clasp-1.stl"]
    mesh = trimesh.load_mesh(io.BytesIO(data), file_type="stl")
    assert mesh.is_volume
    assert mesh.bounds[0] == pytest.approx([0, 0, 0], abs=1e-6)


def test_what_is_too_small_to_bend_has_no_pattern_and_says_why():
    design = design_of(clasp_of(box(0, 0, 0.7, 0.7)))
    files = clasp_files(design)
    assert "clasp/clasp-1_flat.svg" not in files
    assert files.keys() == set(clasp_paths(design)["clasp-1"])
    text = " ".join(files["clasp/clasp-1.txt"].decode().split())
    assert "No flat pattern" in text and "0.7 mm long ends inside the bend of radius 0.8 mm" in text


@sizes
def test_check_bars_are_100_mm_on_the_rendered_page(factor):
    """The bars measured in pixels at 254 dpi: CSS and SVG count 25.4 mm an inch."""
    plate = box(0, 0, 18 * factor, 12 * factor)
    svg = clasp_files(design_of(clasp_of(plate, span=20 * factor)))["clasp/clasp-1_flat.svg"]
    page = rendered(svg, "print") > 40
    width, height = size_mm(svg)
    assert page.shape == pytest.approx((height * 10, width * 10), abs=1)
    across = max(_longest_run(row) for row in page)
    upwards = max(_longest_run(column) for column in page.T)
    assert across / 10 == pytest.approx(100.0, abs=0.3)
    assert upwards / 10 == pytest.approx(100.0, abs=0.3)


def _longest_run(line: np.ndarray) -> int:
    edges = np.diff(np.concatenate(([0], line.astype(int), [0])))
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    return int((ends - starts).max(initial=0))


def test_flat_pattern_is_true_to_size_on_the_rendered_page():
    """U bracket of the arithmetic: 59.919 mm flat and 12 mm wide, measured at 254 dpi."""
    svg = clasp_files(design_of(clasp_of(box(0, 0, 17.2, 12), span=25.2)))["clasp/clasp-1_flat.svg"]
    cut = rendered(svg, "cut") > 40
    rows, columns = np.flatnonzero(cut.any(axis=1)), np.flatnonzero(cut.any(axis=0))
    stroke = 0.5
    assert (columns[-1] + 1 - columns[0]) / 10 == pytest.approx(59.919 + stroke, abs=0.2)
    assert (rows[-1] + 1 - rows[0]) / 10 == pytest.approx(12.0 + stroke, abs=0.2)


def lettering(page: Drawing) -> list[str]:
    return [text.value for text in page.texts]


def test_drawing_shows_every_size():
    values = lettering(clasp_drawing(clasp_of(OUTLINES["stairs"], span=26.8, wall=2.0)))
    for wanted in ("9", "8", "7", "26.8", "2", "30.8", "11"):
        assert wanted in values, wanted


def test_flat_page_shows_the_bends():
    clasp = clasp_of(box(0, 0, 17.2, 12), span=25.2)
    values = lettering(flat_page(clasp, flat_pattern(clasp)))
    words = " ".join(values)
    assert {"59.9", "12"} <= set(values)
    for wanted in (
        "90°",
        "inside radius 0.8",
        "K = 0.4",
        "bend allowance 1.76",
        "Flat 59.92",
        "18 + 26.8 + 18",
    ):
        assert wanted in words, wanted
    assert values.count("100 mm") == 2


@every_outline
@sizes
def test_pages_hold_everything_and_every_dimension_finds_its_place(plate, factor):
    from shapely.affinity import scale

    large = scale(plate, factor, factor, origin=(0, 0))
    clasp = clasp_of(large, span=20.0 * factor)
    pages = [clasp_drawing(clasp)]
    if large.bounds[2] > 0.9:
        pages.append(flat_page(clasp, flat_pattern(clasp)))
    for page in pages:
        area = box(0, 0, page.width_mm, page.height_mm)
        assert all(area.contains(line) for path in page.paths for line in path.lines)
        assert all(area.contains(text.box) for text in page.texts)
    arrows = [sum(p.purpose == "dimension" and p.is_solid for p in page.paths) for page in pages]
    assert arrows[0] >= 2 * 6  # reach, width, span, wall, depth, length
    # two bend lines, length, width; on a pattern shorter than its lettering the notes say one of them
    assert all(count >= 2 * (4 if large.bounds[2] > 6 else 3) for count in arrows[1:])
    assert len(arrows) == 1 or any("Bend lines" in value for value in lettering(pages[1]))


def test_a_clasp_longer_than_any_sheet_gets_a_roll():
    clasp = clasp_of(box(0, 0, 500, 60), span=400)
    svg = clasp_files(design_of(clasp))["clasp/clasp-1_flat.svg"]
    assert size_mm(svg)[0] > 1400


def test_text_gives_volume_cautions_and_sizes():
    clasp = clasp_of(OUTLINES["rectangle"], span=26.8, wall=2.0)
    text = " ".join(clasp_files(design_of(clasp))["clasp/clasp-1.txt"].decode().split())
    assert "Solid volume 1.6 cm3" in text  # 1603.2 mm3: 2 x 18 x 12 x 2 and 2 x 12 x 30.8
    assert "needs no support" in text
    for caution in ("swarf", "sharp edges", "Soldered", "resin", "data sheet"):
        assert caution in text, caution
    assert re.search(r"clear width between the plates 26\.8 chosen for a test", text)


def test_text_says_where_support_is_needed_and_what_is_too_short_to_bend():
    files = clasp_files(design_of(clasp_of(OUTLINES["hammer"])))
    assert "let the slicer put support there" in " ".join(files["clasp/clasp-1.txt"].decode().split())
    short = clasp_files(design_of(clasp_of(box(0, 0, 1.9, 6))))["clasp/clasp-1.txt"].decode()
    assert "below 2.8 mm a brake has nothing to hold" in " ".join(short.split())
