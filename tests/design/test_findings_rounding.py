"""No finding shows two equal figures: what is needed is rounded up, what there is down."""

import contextlib
import re
from collections.abc import Iterable, Iterator

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.design.model import Finding
from pixel2make.errors import DesignError
from pixel2make.pack.cover_checks import cover_findings
from pixel2make.pack.flat_findings import flat_findings
from pixel2make.quantity import in_units
from tests.design.catalogue import furnished

LENGTH = re.compile(r"(?<!x )(?<!to )(?<![\w./])((?:\d+ )?\d+(?:/\d+|\.\d+)?) (?:mm|in)\b(?! bar)")
PLACE = re.compile(r"\bx -?[\d./ ]+, y -?[\d./ ]+ (mm|in)|\d[\d./ ]* x \d[\d./ ]* (mm|in)")
CHOICES = st.fixed_dictionaries(
    {},
    optional={
        "structure": st.sampled_from(["laced", "case"]),
        "square": st.sampled_from(["2mm", "9.97mm", "12.03mm"]),
        "area_tool": st.sampled_from(["knife", "laser", "printer", "brush"]),
        "bevel": st.sampled_from(["none", "1.96mm", "4mm"]),
        "corner_piece": st.sampled_from(["metal"]),
    },
)


def lengths_of(sentence: str) -> list[str]:
    return LENGTH.findall(PLACE.sub("", sentence))


def limits_told(findings: Iterable[Finding]) -> Iterator[Finding]:
    """Findings that set a length against a limit."""
    for finding in findings:
        if None not in (finding.measured_mm, finding.limit_mm) and lengths_of(finding.sentence):
            yield finding


@settings(max_examples=8, deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(st.floats(40, 900), CHOICES)
def test_no_finding_of_a_book_shows_two_equal_figures(size, choices):
    with contextlib.suppress(DesignError):
        design = dimension(furnished(), kinds.find("book"), size_mm=size, choices=choices)
        check_figures(design.findings)


@pytest.mark.parametrize("size", [61.0, 187.0])
def test_no_finding_on_areas_and_lettering_shows_two_equal_figures(size):
    design = dimension(furnished(), kinds.find("book"), size_mm=size)
    check_figures(flat_findings(design))
    check_figures(cover_findings(design, title="Tides", byline="Orla Fenwick"))


def check_figures(findings: Iterable[Finding]) -> None:
    for finding in limits_told(findings):
        shown = lengths_of(in_units(finding.sentence, "mm", apart=True))
        inches = lengths_of(in_units(finding.sentence, "in", apart=True))
        assert len(shown) == len(inches), finding.sentence
        there, limit = (nearest(shown, mm) for mm in (finding.measured_mm, finding.limit_mm))
        if there == limit:
            assert shown.count(shown[there]) == 1, finding.sentence
        else:
            assert shown[there] != shown[limit] and inches[there] != inches[limit], finding.sentence


def nearest(shown: list[str], mm: float) -> int:
    """Which of the figures stands for a length."""
    return min(range(len(shown)), key=lambda k: abs(float(shown[k]) - mm))


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_pattern_of_this_test_sees_equal_figures(units):
    shown = lengths_of(f"It is 3/8 {units} wide at x 1, y 2 {units}; it needs at least 3/8 {units}.")
    assert len(shown) == 2 and len(set(shown)) == 1
