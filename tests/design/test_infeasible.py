"""What cannot be done is found with its numbers, and what the finding advises does away with it."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.kinds.book.block import paper_stock
from tests.design import catalogue
from tests.design.catalogue import GOLD, Mark, rectangle

KIND = kinds.find("book")


def found(reading, size, code, **choices):
    design = dimension(reading, KIND, size_mm=size, choices=choices)
    return next((f for f in design.findings if f.code == code), None)


def advised(sentence, key):
    """The answer that a sentence advises for a choice."""
    return re.search(rf"\b{key} ([\w.]+?)(?:[.,]? |[.,;]?$|[,;])", sentence)[1]


@settings(max_examples=15, deadline=None)
@given(st.floats(620, 1100), st.sampled_from(["A2", "A3", "A4", "B1"]))
def test_a_leaf_larger_than_its_stock(size, stock):
    """ISO 216 sheets: the advice is a stock from which a folded sheet does come, or a size that does."""
    code = "folio-larger-than-stock"
    finding = found(catalogue.plain(), size, code, paper_stock=stock)
    if finding is None:
        return
    sheet = paper_stock(stock)
    assert finding.measured_mm > finding.limit_mm
    assert finding.limit_mm in (sheet.along_mm, sheet.across_mm)
    if "choose paper_stock" in finding.sentence:
        other = advised(finding.sentence, "paper_stock")
        assert found(catalogue.plain(), size, code, paper_stock=other) is None
    else:
        share = int(re.search(r"below (\d+)%", finding.sentence)[1]) / 100
        assert found(catalogue.plain(), size * share, code, paper_stock=stock) is None


def test_the_makers_own_sheets_of_paper_are_taken():
    """US book paper of 23 x 35 in (584.2 x 889 mm): four folded sheets of 210 x 290 out of the one way."""
    reading = catalogue.plain()
    assert found(reading, 300, "folio-larger-than-stock", stock="paper=23x35in") is None
    finding = found(reading, 300, "folio-larger-than-stock", stock="paper=8.5x11in")
    assert "215.9 x 279.4 mm" in finding.sentence
    assert finding.source == "the maker"
    design = dimension(reading, KIND, size_mm=300, choices={"stock": "paper=23x35in"})
    paper = next(m for m in design.materials if m.name.startswith("text paper"))
    values = {d.name: d.value_mm for d in design.dimensions}
    fit = int(584.2 // values["sheet_width"]) * int(889 // values["sheet_height"])
    assert f"{fit} folded sheets out of one" in paper.origin


@pytest.mark.parametrize("square", ["0.5mm", "12mm"])
def test_an_odd_square(square):
    finding = found(catalogue.plain(), 300, "odd-square", square=square)
    assert found(catalogue.plain(), 300, "odd-square", square=advised(finding.sentence, "square")) is None


def test_a_clasp_wider_than_the_block():
    """29 of 30 pixels at 300 mm are 290 mm: wider than leaves of 293 less a bold square's."""
    wide = catalogue.book(Mark("clasp-1", "cover", rectangle(0.9, 0.02, 1, 0.99), GOLD))
    code = "clasp-wider-than-block"
    finding = found(wide, 300, code, square="8mm")
    assert finding.measured_mm > finding.limit_mm == pytest.approx(284)
    assert found(wide, 300, code, square=advised(finding.sentence, "square")) is None
    whole = catalogue.book(Mark("clasp-1", "cover", rectangle(0.9, 0, 1, 1), GOLD))
    finding = found(whole, 300, code)
    assert "square" not in finding.sentence
    assert "at most 293 mm wide" in finding.sentence


def test_pages_too_heavy_for_a_case():
    finding = found(catalogue.plain(), 400, "heavy-for-case")
    answer = advised(finding.sentence, "structure")
    assert found(catalogue.plain(), 400, "heavy-for-case", structure=answer) is None


def test_every_finding_of_a_book_says_what_would_do():
    """Numbers, and a word that asks for something."""
    cases = (
        (catalogue.plain(), 900, {}),
        (catalogue.plain(), 300, {"square": "12mm"}),
        (catalogue.plain(), 150, {"bevel": "1mm"}),
        (catalogue.plain(), 1500, {}),
    )
    for reading, size, choices in cases:
        for finding in dimension(reading, KIND, size_mm=size, choices=choices).findings:
            assert re.search(r"\d", finding.sentence), finding
            assert re.search(
                r"choose|make it|leave|use |guard|it is cut in|instead", finding.sentence, re.IGNORECASE
            ), finding
