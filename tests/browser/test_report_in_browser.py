"""The report in a real browser: quiet, offline, in bounds, accessible, and whole on paper.

Runs where Debian's chromium and chromium-driver are installed. The accessibility check wants the file
axe.min.js of the npm package axe-core, named by the environment variable AXE_CORE.
"""

import base64
import io
import os
import re
import shutil
from pathlib import Path

import pypdfium2
import pytest

from pixel2make import api
from tests.needs import needs

DEMO = Path(__file__).parent.parent.parent / "demo_sprites"
CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
AXE = os.environ.get("AXE_CORE", "")
WIDTHS = (360, 1280)
PAPERS_IN = {"A4": (8.27, 11.69), "Letter": (8.5, 11.0)}
"""ISO 216 and ANSI/ASME Y14.1, size A."""
AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]

BUILDS = {
    "metric": ("saltglass_ledger", {}),
    "inches": ("ferry_tally", {"units": "in"}),
}


@pytest.fixture(scope="module", params=sorted(BUILDS))
def pack(request, tmp_path_factory):
    name, choices = BUILDS[request.param]
    out = tmp_path_factory.mktemp("packs") / request.param
    cover = api.CoverText("Ledger of the Outer Mole") if request.param == "metric" else None
    source = api.open_source(DEMO / f"{name}.png")
    return api.build_pack(source, out=out, size=("height", "240mm"), choices=choices, cover=cover)


@pytest.fixture(scope="module")
def browser():
    needs(CHROMIUM and DRIVER, "Debian packages chromium and chromium-driver")
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = CHROMIUM
    for argument in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    driver = webdriver.Chrome(options=options, service=Service(DRIVER))
    driver.set_page_load_timeout(120)
    yield driver
    driver.quit()


def opened(browser, pack, width=1280, scheme="light"):
    metrics = {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": width < 500}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    media = {"features": [{"name": "prefers-color-scheme", "value": scheme}]}
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", media)
    browser.get((pack.folder / "index.html").resolve().as_uri())
    return browser


def squashed(text: str) -> str:
    """Letters and digits alone, so that line breaks do not count."""
    return re.sub(r"[\W_]+", "", text)


def test_no_message_and_no_request(browser, pack):
    import json

    for kind in ("browser", "performance"):
        browser.get_log(kind)
    opened(browser, pack)
    assert browser.get_log("browser") == []
    events = [json.loads(entry["message"])["message"] for entry in browser.get_log("performance")]
    asked = [e["params"]["request"]["url"] for e in events if e["method"] == "Network.requestWillBeSent"]
    page = (pack.folder / "index.html").resolve().as_uri()
    assert page in asked
    assert [url for url in asked if url != page and not url.startswith("data:")] == []


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_sticks_out_sideways(browser, pack, width):
    opened(browser, pack, width)
    script = """
    const out = [];
    const room = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth > room) out.push("page " + document.documentElement.scrollWidth);
    for (const e of document.querySelectorAll("body *")) {
      if (e.closest(".scroll") && !e.matches(".scroll")) continue;
      if (e.closest("svg") && !e.matches("svg")) continue;
      if (e.matches(".skip, .visually-hidden")) continue;
      const r = e.getBoundingClientRect();
      if (r.width && (r.right > room + 0.5 || r.left < -0.5)) out.push(e.outerHTML.slice(0, 90) + r.right);
    }
    return out;
    """
    assert browser.execute_script(script) == []


def test_what_scrolls_can_be_reached_by_the_keyboard(browser, pack):
    # WCAG 2.2, success criterion 2.1.1; technique G202.
    opened(browser, pack, 360)
    script = """
    return [...document.querySelectorAll("body *")]
      .filter(e => /auto|scroll/.test(getComputedStyle(e).overflowX) && e.scrollWidth > e.clientWidth + 1)
      .map(e => [e.tabIndex, e.getAttribute("role"), e.getAttribute("aria-label") || ""]);
    """
    found = browser.execute_script(script)
    assert found
    assert all(index == 0 and role == "region" and name for index, role, name in found)


def test_the_first_tab_offers_to_skip_to_the_content(browser, pack):
    # WCAG 2.2, success criterion 2.4.1; technique G1.
    from selenium.webdriver.common.by import By
    from selenium.webdriver.common.keys import Keys

    opened(browser, pack)
    browser.find_element(By.TAG_NAME, "body").send_keys(Keys.TAB)
    link = browser.switch_to.active_element
    assert link.get_attribute("class") == "skip"
    assert link.is_displayed()
    link.send_keys(Keys.ENTER)
    assert browser.execute_script("return document.activeElement.tagName") == "MAIN"


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (1280, "dark"), (360, "light")])
def test_axe_finds_no_violation(browser, pack, width, scheme):
    needs(Path(AXE).is_file(), "npm package axe-core, its axe.min.js named by AXE_CORE")
    opened(browser, pack, width, scheme)
    browser.execute_script(Path(AXE).read_text("utf-8"))
    script = """
    const done = arguments[arguments.length - 1];
    axe.run(document, {runOnly: {type: "tag", values: arguments[0]}}).then(
      r => done(r.violations.map(v => [v.id, v.nodes.slice(0, 3).map(n => n.html.slice(0, 160))])));
    """
    browser.set_script_timeout(120)
    assert browser.execute_async_script(script, AXE_TAGS) == []


@pytest.mark.parametrize("paper", sorted(PAPERS_IN))
def test_every_table_is_whole_on_paper(browser, pack, paper):
    opened(browser, pack)
    width, height = PAPERS_IN[paper]
    options = {"paperWidth": width, "paperHeight": height, "printBackground": True}
    content = browser.execute_cdp_cmd("Page.printToPDF", options)["data"]
    document = pypdfium2.PdfDocument(io.BytesIO(base64.b64decode(content)))
    text = ""
    for page in document:
        page_width, page_height = page.get_size()
        layer = page.get_textpage()
        text += layer.get_text_range() + "\n"
        for i in range(layer.count_chars()):
            left, bottom, right, top = layer.get_charbox(i)
            assert -0.5 <= left <= right <= page_width + 0.5, layer.get_text_range(max(0, i - 20), 40)
            assert -0.5 <= bottom <= top <= page_height + 0.5
    printed = squashed(text)
    for dimension in pack.design.dimensions:
        if dimension.name != "px_mm":
            assert squashed(dimension.name.replace("_", "")) in printed
        assert squashed(dimension.source) in printed or pack.design.units == "in"
    for step in pack.design.steps:
        assert squashed(step.name) in printed


def test_the_head_of_a_long_table_stands_on_every_page_that_it_runs_over(browser, pack):
    opened(browser, pack)
    content = browser.execute_cdp_cmd("Page.printToPDF", {"paperWidth": 8.27, "paperHeight": 11.69})["data"]
    document = pypdfium2.PdfDocument(io.BytesIO(base64.b64decode(content)))
    pages = [squashed(page.get_textpage().get_text_range()) for page in document]
    rules = {
        squashed(d.rule) for d in pack.design.dimensions if len(d.rule) > 20 and not re.search(r"\d", d.rule)
    }
    over = [page for page in pages if sum(rule in page for rule in rules) > 2]
    assert len(over) >= 2
    assert all("ruleandsource" in page for page in over)
