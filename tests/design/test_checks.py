"""What the checks find, with numbers and what would do."""

from dataclasses import replace

import pytest

from pixel2make.design import dimension
from pixel2make.design.checks import find
from pixel2make.kinds.book.build import BookBuild
from tests.design import catalogue
from tests.design.catalogue import GOLD, Mark, rectangle

KIND = BookBuild()


def findings(design):
    return {finding.code: finding for finding in design.findings}


def test_a_usual_book_of_a_hand_has_nothing_to_find():
    design = dimension(catalogue.book(catalogue.EMBLEM), KIND, size_mm=180)
    assert design.findings == ()


def test_a_board_larger_than_a_sheet_is_found_with_the_size_that_fits():
    design = dimension(catalogue.plain(), KIND, size_mm=1500)
    found = next(f for f in design.findings if f.code == "larger-than-stock" and f.subject == "front_board")
    assert found.measured_mm > found.limit_mm
    size = int(found.sentence.rsplit("height ", 1)[1].split(" mm")[0])
    smaller = dimension(catalogue.plain(), KIND, size_mm=size)
    assert not [f for f in smaller.findings if f.subject == "front_board"]


def test_a_folded_sheet_larger_than_b1_is_found():
    """ISO 216: B1 is 707 x 1000 mm."""
    found = findings(dimension(catalogue.plain(), KIND, size_mm=900))["folio-larger-than-stock"]
    assert found.limit_mm in (707, 1000)
    assert "ISO 216" in found.source


def test_clasps_that_overlap_are_found():
    tiny = [
        Mark("clasp-1", "cover", rectangle(0.9, 0.5, 1, 0.53), GOLD),
        Mark("clasp-2", "cover", rectangle(0.9, 0.57, 1, 0.6), GOLD),
    ]
    design = dimension(catalogue.book(*tiny, thickness=(8.0, 0.0)), KIND, size_mm=60)
    assert findings(design)["clasps-overlap"].measured_mm < 0
    larger = dimension(catalogue.book(*tiny, thickness=(8.0, 0.0)), KIND, size_mm=300)
    assert "clasps-overlap" not in findings(larger)


def test_a_wall_too_thin_to_print_is_found():
    design = dimension(catalogue.plain(), KIND, size_mm=300)
    thin = replace(
        design.clasps[0], wall=replace(design.clasps[0].wall, value_mm=0.6, low_mm=0.6, high_mm=0.6)
    )
    found = findings(find(replace(design, clasps=(thin,), findings=())))["thin-wall"]
    assert (found.measured_mm, found.limit_mm) == (0.6, 1.2)


def test_detail_too_fine_for_a_mask_is_found():
    """At 50 mm a pixel is 1.7 mm: a border one pixel wide is too narrow for a mask, at 300 mm it is not."""
    line = Mark("border-1", "cover", rectangle(0, 0.9, 1, 0.93), GOLD)
    small, large = (
        dimension(catalogue.book(line, thickness=(9.0, 0.0)), KIND, size_mm=size) for size in (50, 300)
    )
    assert findings(small)["fine-detail"].measured_mm == pytest.approx(50 / 30, abs=0.1)
    assert "fine-detail" not in findings(large)


def test_a_heavy_book_is_found_and_warned_of():
    design = dimension(catalogue.plain(), KIND, size_mm=400)
    assert design.total_mass_g > 1000
    sentence = findings(design)["heavy"].sentence
    assert f"{design.total_mass_g:.0f} g" in sentence
    assert sentence in design.warnings
    share = int(sentence.split("about ")[-1].split("%")[0]) / 100
    smaller = dimension(catalogue.plain(), KIND, size_mm=400 * share)
    # The cube law, within what boards and leather of stock thickness add.
    assert smaller.total_mass_g == pytest.approx(1000, rel=0.15)


def test_a_square_beyond_all_custom_is_found():
    design = dimension(catalogue.plain(), KIND, size_mm=300, choices={"square": 12.0})
    assert findings(design)["odd-square"].limit_mm == 8.0


def test_a_clasp_wider_than_the_book_is_found():
    tall = Mark("clasp-1", "cover", rectangle(0.9, 0, 1, 1), GOLD)
    design = dimension(catalogue.book(tall), KIND, size_mm=300)
    assert "clasp-wider-than-book" not in findings(design)
    assert design.clasps[0].width.value_mm == pytest.approx(300)


def test_every_finding_says_where_its_limit_comes_from():
    for size in (60, 300, 1500):
        for finding in dimension(catalogue.furnished(thickness=(8.0, 0.0)), KIND, size_mm=size).findings:
            assert finding.source
            assert finding.sentence.endswith(".")
