"""Masks: true size on paper, areas that agree, crosses that fit one way only."""

import io
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from PIL import Image
from shapely.geometry import box

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.pack.masks import face_size_mm, mask_paths, masks
from tests.design.catalogue import CORNERS, EMBLEM, TITLE, book
from tests.pack.catalogue import svg_files

DPI = 254  # ten pixels a millimetre


def design_of(*marks, height=200.0):
    return dimension(book(*marks), kinds.find("book"), given="height", size_mm=height)


def rendered(svg: bytes, *groups: str) -> np.ndarray:
    """Ink of the named groups alone, drawn by resvg, an independent renderer."""
    import resvg_py

    root = ET.fromstring(svg)
    for child in list(root):
        if child.attrib.get("id") not in (*groups, "paper"):
            root.remove(child)
    png = resvg_py.svg_to_bytes(svg_string=ET.tostring(root, encoding="unicode"), dpi=DPI)
    return 255 - np.array(Image.open(io.BytesIO(bytes(png))).convert("L"))


@pytest.fixture(scope="module")
def files():
    return svg_files(masks(design_of(EMBLEM, TITLE, *CORNERS)))


def test_areas_of_one_kind_share_a_sheet_and_the_paths_agree(files):
    paths = mask_paths(design_of(EMBLEM, TITLE, *CORNERS))
    assert {f"{path}.svg" for where in paths.values() for path in where} == set(files)
    assert len({paths[name][0] for name in paths if name.startswith("corner_piece")}) == 1


def test_no_areas_no_masks():
    assert svg_files(masks(design_of())) == {}


def test_the_bars_measure_100_mm_in_a_rendered_picture(files):
    """CSS Values and Units Level 3: 1 mm is 96 / 25.4 px; at 254 dpi a millimetre is ten pixels."""
    for svg in files.values():
        ink = rendered(svg, "print")[20:-20, 20:-20] > 60  # without the sheet's own edge
        assert longest_run(ink) == pytest.approx(1000, abs=3)
        assert longest_run(ink.T) == pytest.approx(1000, abs=3)


def longest_run(ink):
    """Pixels of the longest unbroken line of ink along a row."""
    best = 0
    for row in ink:
        edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
        best = max([best, *(edges[1::2] - edges[::2])])
    return int(best)


def test_the_cut_line_encloses_the_area_in_the_rendered_picture(files):
    design = design_of(EMBLEM, TITLE, *CORNERS)
    area = next(a for a in design.areas if a.feature == "emblem")
    ink = rendered(files[f"{mask_paths(design)[area.name][0]}.svg"], "cut") > 60
    rows, columns = np.flatnonzero(ink.any(1)), np.flatnonzero(ink.any(0))
    x0, y0, x1, y1 = area.outline.bounds
    # Half a line's width on each side is ink, too.
    assert (columns[-1] - columns[0]) / 10 == pytest.approx(x1 - x0 + 0.5, abs=0.2)
    assert (rows[-1] - rows[0]) / 10 == pytest.approx(y1 - y0 + 0.5, abs=0.2)


@pytest.mark.parametrize("height", [70.0, 200.0, 1000.0])
def test_cut_lines_stay_on_the_sheet(height):
    design = design_of(EMBLEM, TITLE, *CORNERS, height=height)
    width, tall = face_size_mm(design, "cover")
    for area in design.areas:
        assert box(-1e-6, -1e-6, width + 1e-6, tall + 1e-6).covers(area.outline)
    for svg in svg_files(masks(design)).values():
        root = ET.fromstring(svg)
        _, _, page_width, page_height = map(float, root.attrib["viewBox"].split())
        assert min(page_width, page_height) > 120, "room for the 100 mm bars"


def test_same_design_same_bytes(files):
    assert svg_files(masks(design_of(EMBLEM, TITLE, *CORNERS))) == files
