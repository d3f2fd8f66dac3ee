"""PDF prints measured by an independent renderer, their text and fonts read by an independent library."""

import io
import itertools

import numpy as np
import pypdf
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pixel2make.errors import PackError
from pixel2make.pack.pens import DrawingBuilder
from pixel2make.pack.pens.pdf import pdf_bytes
from pixel2make.pack.pens.tiles import MARGIN_MM, OVERLAP_MM, papers_mm, tile

DPI = 200
MM = DPI / 25.4

# ISO 216 (A4, A3) and ANSI/ASME Y14.1 (Letter 8.5 x 11 in, Tabloid 11 x 17 in), exact in mm.
PUBLISHED = {"A4": (210, 297), "A3": (297, 420), "Letter": (215.9, 279.4), "Tabloid": (279.4, 431.8)}


def rendered(data, page=0):
    """Grey picture of a page, 0 black to 255 white."""
    return np.asarray(pypdfium2.PdfDocument(data)[page].render(scale=DPI / 72).to_pil().convert("L"), float)


def framed(width, height, *, size=(190.0, 260.0), is_sheet=False):
    page = DrawingBuilder(*size, "Frame", is_sheet=is_sheet)
    page.rectangle("cut", 10, 20, width, height)
    return page.build()


def dark_span(picture, axis):
    """First and last row or column with ink, in pixels, line widths taken off."""
    where = np.flatnonzero((picture < 128).any(axis=axis))
    return where[0], where[-1] + 1


@pytest.mark.parametrize("paper", PUBLISHED)
def test_pages_have_the_published_size_of_the_paper(paper):
    page = pypdfium2.PdfDocument(pdf_bytes(framed(50, 60, size=(100, 100)), paper))[0]
    assert sorted(v * 25.4 / 72 for v in page.get_size()) == pytest.approx(PUBLISHED[paper], abs=0.01)


def test_a_sheet_keeps_its_own_size_and_measures_true():
    data = pdf_bytes(framed(150.0, 200.0, size=(420.0, 297.0), is_sheet=True), "A4")
    picture = rendered(data)
    assert picture.shape == pytest.approx((297 * MM, 420 * MM), abs=1.5)
    left, right = dark_span(picture, 0)
    top, foot = dark_span(picture, 1)
    line = 0.5  # of a cut line, ISO 128-2 wide
    assert (right - left) / MM - line == pytest.approx(150.0, abs=0.3)
    assert (foot - top) / MM - line == pytest.approx(200.0, abs=0.3)
    assert left / MM + line / 2 == pytest.approx(10.0, abs=0.2)


def test_the_bar_on_every_tile_measures_100_mm():
    data = pdf_bytes(framed(300.0, 350.0, size=(330.0, 400.0)), "A4")
    document = pypdfium2.PdfDocument(data)
    assert len(document) == 1 + 4
    for page in range(1, 5):
        picture = rendered(data, page)
        foot = picture[-round((MARGIN_MM + 3.8) * MM) : -round((MARGIN_MM + 3.2) * MM)]
        columns = np.flatnonzero((foot < 140).any(axis=0))
        runs = np.split(columns, np.flatnonzero(np.diff(columns) > 1) + 1)
        longest = max(len(run) for run in runs)
        assert longest / MM == pytest.approx(100.25, abs=0.3)  # the line and its two half ticks


def test_tiles_put_together_are_the_whole_page():
    page = DrawingBuilder(400.0, 330.0, "Hatch")
    for i in range(1, 40):
        page.line("visible", (10.0 * i, 0.0), (400.0 - 10.0 * i, 330.0))
        page.circle("detail", (200.0, 165.0), 4.0 * i)
    drawing = page.build()
    whole = rendered(pdf_bytes(page_as_sheet(page), "A4"))
    data, tiling = pdf_bytes(drawing, "A4"), tile(400.0, 330.0, "A4")
    for number, each in enumerate(tiling.tiles, 1):
        picture = rendered(data, number)
        # Well inside the joins, clear of the cut marks.
        inset = OVERLAP_MM + 1
        x0, y0 = (each.x_mm + inset) * MM, (each.y_mm + inset) * MM
        rows = round((min(each.y_mm + tiling.window_mm[1], 330.0) - inset - each.y_mm - inset) * MM)
        columns = round((min(each.x_mm + tiling.window_mm[0], 400.0) - inset - each.x_mm - inset) * MM)
        shown = picture[round((MARGIN_MM + inset) * MM) :, round((MARGIN_MM + inset) * MM) :][:rows, :columns]
        wanted = whole[round(y0) :, round(x0) :][:rows, :columns]
        assert shown.shape == wanted.shape
        assert (wanted < 128).any()
        # A pixel's shift at most: every dark pixel of one has a dark one beside it in the other.
        assert not ((wanted < 60) & ~spread(shown < 200)).any()
        assert not ((shown < 60) & ~spread(wanted < 200)).any()


def page_as_sheet(page):
    sheet = DrawingBuilder(page.width_mm, page.height_mm, page.title, list(page.paths), is_sheet=True)
    return sheet.build()


def spread(mask):
    from scipy.ndimage import binary_dilation

    return binary_dilation(mask, np.ones((3, 3)))


@given(
    st.floats(20, 1500),
    st.floats(20, 1500),
    st.sampled_from(sorted(papers_mm())),
)
def test_tiles_cover_every_page_and_overlap_by_the_stated_width(width, height, paper):
    found = tile(width, height, paper)
    assert len(found.tiles) == found.columns * found.rows
    xs, ys = sorted({t.x_mm for t in found.tiles}), sorted({t.y_mm for t in found.tiles})
    assert xs[0] == ys[0] == 0
    assert xs[-1] + found.window_mm[0] >= width - 1e-6
    assert ys[-1] + found.window_mm[1] >= height - 1e-6
    for starts, window in ((xs, found.window_mm[0]), (ys, found.window_mm[1])):
        for first, second in itertools.pairwise(starts):
            assert first + window - second == pytest.approx(OVERLAP_MM)
    # One sheet fewer a side would not do.
    if found.columns > 1:
        assert xs[-2] + found.window_mm[0] < width
    if found.rows > 1:
        assert ys[-2] + found.window_mm[1] < height


def test_two_tiles_of_the_worked_case():
    # ceil((453.2 - 10) / (287 - 10)) = 2 along the paper's long side: common practice (arithmetic).
    found = tile(453.2, 150.0, "A4")
    assert (found.columns, found.rows) == (2, 1)


def test_every_font_is_embedded_and_the_lettering_is_text():
    page = DrawingBuilder(120, 80, "Lettering")
    page.text("Front board 300 × 205.5 mm ± 0.5°", (10, 20), 3.5)
    page.text("upright", (60, 70), 2.5, is_upward=True)
    reader = pypdf.PdfReader(io.BytesIO(pdf_bytes(page.build(), "A4")))
    text = reader.pages[0].extract_text()
    assert "print at 100 %" in text
    form = reader.pages[0]["/Resources"]["/XObject"]
    fonts = {**reader.pages[0]["/Resources"]["/Font"]}
    for each in form.values():
        fonts.update(each.get_object()["/Resources"].get("/Font", {}))
    assert fonts
    for font in fonts.values():
        descriptor = font.get_object()["/FontDescriptor"]
        assert "/FontFile2" in descriptor
        assert "Barlow" in descriptor["/FontName"]
    shown = pypdfium2.PdfDocument(pdf_bytes(page.build(), "A4"))[0].get_textpage().get_text_range()
    assert "Front board 300 × 205.5 mm ± 0.5°" in shown


def test_capitals_are_as_high_as_the_lettering_says():
    page = DrawingBuilder(120, 80, "", is_sheet=True)
    page.text("HHH", (10, 50), 20.0)
    top, foot = dark_span(rendered(pdf_bytes(page.build(), "A4")), 1)
    assert (foot - top) / MM == pytest.approx(20.0, abs=0.2)
    assert foot / MM == pytest.approx(50.0, abs=0.2)


def test_the_viewer_is_asked_not_to_scale_and_no_day_is_told():
    data = pdf_bytes(framed(50, 60), "A4")
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert data == pdf_bytes(framed(50, 60), "A4")


def test_an_unknown_paper_is_refused_with_those_that_would_do():
    with pytest.raises(PackError, match="no paper 'A9'; A4, A3"):
        tile(100, 100, "A9")


@pytest.mark.parametrize(("units", "bar_mm", "words"), [("mm", 100.0, "100 mm"), ("in", 101.6, "4 in")])
def test_a_tile_has_a_bar_in_the_units_of_the_maker(units, bar_mm, words):
    """4 in are 101.6 mm (international inch, 1959); the bar is measured in the page's own lines."""
    data = pdf_bytes(framed(50, 60, size=(100, 100)), "A4", units)
    text = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()
    assert f"{words}: measure this bar" in text
    page = pypdf.PdfReader(io.BytesIO(data)).pages[0]
    lines, at = [], (0.0, 0.0)
    for operands, operator in pypdf.generic.ContentStream(page.get_contents(), None).operations:
        if operator == b"m":
            at = tuple(map(float, operands))
        elif operator == b"l":
            end = tuple(map(float, operands))
            lines.append(abs(end[0] - at[0]))
            at = end
    assert any(length == pytest.approx(bar_mm, abs=0.01) for length in lines)
