"""index.html: valid HTML by an independent parser, complete, true, and without anything to fetch."""

import base64
import re
from itertools import pairwise
from pathlib import Path
from urllib.parse import unquote

import html5lib
import pytest

from pixel2make import api
from pixel2make.pack.report import INDEX
from pixel2make.pack.report.markup import join, tag

DEMO = Path(__file__).parent.parent.parent / "demo_sprites"
SPRITES = sorted(DEMO.glob("*.png"))
MOST_BYTES = 1_500_000
XHTML, SVG = "{http://www.w3.org/1999/xhtml}", "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def pack():
    source = api.open_source(DEMO / "saltglass_ledger.png")
    design = api.measure(source, size=("height", "300mm"))
    return design, api.export(design)


@pytest.fixture(scope="module")
def page(pack):
    return pack[1][INDEX].decode()


@pytest.fixture(scope="module")
def tree(page):
    # WHATWG HTML Living Standard, chapter 13.2: in strict mode the parser raises at the first parse error.
    return html5lib.HTMLParser(strict=True).parse(page)


def words(element) -> str:
    return " ".join("".join(element.itertext()).split())


def test_the_page_has_no_parse_error(tree):
    assert tree.find(f"{XHTML}body") is not None


def test_the_parser_does_find_errors():
    with pytest.raises(html5lib.html5parser.ParseError):
        html5lib.HTMLParser(strict=True).parse("<!DOCTYPE html><title>x</title><p><table></p></table>")


def test_ids_are_unique_and_every_link_inside_leads_somewhere(tree):
    ids = [e.get("id") for e in tree.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    inside = [e.get("href")[1:] for e in tree.iter(f"{XHTML}a") if e.get("href").startswith("#")]
    assert inside
    assert set(inside) <= set(ids)
    labels = [e.get("for") for e in tree.iter(f"{XHTML}label")]
    assert labels
    assert set(labels) <= set(ids)


def test_it_links_every_file_of_the_pack_and_nothing_else(pack, tree):
    hrefs = {unquote(e.get("href")) for e in tree.iter(f"{XHTML}a") if not e.get("href").startswith("#")}
    assert set(pack[1]) - {INDEX} <= hrefs
    assert hrefs <= {*pack[1], "MANIFEST.sha256"}


def test_nothing_is_fetched_and_nothing_runs(page, tree):
    for element in tree.iter():
        for name in ("src", "href", "{http://www.w3.org/1999/xlink}href"):
            value = element.get(name, "")
            if element.tag in {f"{XHTML}img", f"{SVG}image", f"{XHTML}link"}:
                assert not value or value.startswith("data:")
    assert not list(tree.iter(f"{XHTML}script"))
    assert "@import" not in page
    assert not re.search(r"url\((?!#)", page)


def test_the_file_stays_small(page):
    assert len(page.encode()) < MOST_BYTES


def test_same_input_same_bytes(pack, page):
    assert api.export(pack[0])[INDEX].decode() == page


def test_headings_go_down_one_level_at_a_time(tree):
    # WCAG 2.2, technique G141: organising a page using headings.
    levels = [int(e.tag[-1]) for e in tree.iter() if re.fullmatch(r"\{.*\}h[1-6]", str(e.tag))]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))


def test_every_table_has_a_caption_and_scopes(tree):
    # WCAG 2.2, techniques H39 and H63.
    tables = list(tree.iter(f"{XHTML}table"))
    assert len(tables) >= 6
    for table in tables:
        assert words(table.find(f"{XHTML}caption"))
        assert all(th.get("scope") in {"col", "row"} for th in table.iter(f"{XHTML}th"))
        for row in table.find(f"{XHTML}tbody"):
            assert next(cell.tag for cell in row) == f"{XHTML}th"


def test_every_dimension_stands_there_with_interval_and_origin(pack, tree):
    table = next(t for t in tree.iter(f"{XHTML}table") if t.get("class") == "dimensions")
    rows = {words(row[0]): [words(cell) for cell in row] for row in table.find(f"{XHTML}tbody")}
    assert len(rows) == len(pack[0].dimensions)
    for dimension in pack[0].dimensions:
        name = {"px_mm": "one native pixel"}.get(dimension.name, dimension.name.replace("_", " "))
        cells = rows[name]
        assert float(cells[1]) == pytest.approx(dimension.value_mm, abs=0.051)
        if dimension.low_mm < dimension.high_mm - 0.11:
            low, high = (float(v) for v in cells[2].split(" to "))
            assert low == pytest.approx(dimension.low_mm, abs=0.051)
            assert high == pytest.approx(dimension.high_mm, abs=0.051)
        assert cells[4].endswith(dimension.origin)
        assert dimension.source in cells[5]


def test_warnings_and_cautions_come_before_everything_else(pack, page):
    first = page.index("<figure")
    assert pack[0].warnings
    for sentence in (*pack[0].warnings, *(c for step in pack[0].steps for c in step.cautions)):
        shown = sentence.partition(":")[2].strip() or sentence
        assert 0 < page.index(str(join(shown))) < first


def test_steps_can_be_ticked_off(pack, tree):
    boxes = [e for e in tree.iter(f"{XHTML}input") if e.get("type") == "checkbox"]
    assert len(boxes) == len(pack[0].steps)


def test_the_sprite_is_there_pixel_by_pixel(pack, tree):
    import io

    import numpy as np
    from PIL import Image

    image = next(e for e in tree.iter(f"{XHTML}img") if e.get("alt", "").startswith("The sprite"))
    shown = np.asarray(Image.open(io.BytesIO(base64.b64decode(image.get("src").partition(",")[2]))))
    rgba = pack[0].reading.regions.sprite.rgba
    drawn = np.argwhere(~pack[0].reading.regions.sprite.background)
    (y0, x0), (y1, x1) = np.maximum(drawn.min(0) - 1, 0), drawn.max(0) + 2
    assert np.array_equal(shown, rgba[y0:y1, x0:x1])


def test_text_is_escaped_once():
    assert join("<b>&", tag("i", '"')) == '&lt;b&gt;&amp;<i>"</i>'
    assert tag("a", href='x"y&') == '<a href="x&quot;y&amp;"></a>'


@pytest.mark.parametrize("sprite", SPRITES, ids=lambda p: p.stem)
def test_every_demo_sprite_has_a_page_without_parse_errors(sprite):
    design = api.measure(api.open_source(sprite), size=("height", "240mm"))
    files = api.export(design, sections=("drawing",))
    html5lib.HTMLParser(strict=True).parse(files[INDEX].decode())
