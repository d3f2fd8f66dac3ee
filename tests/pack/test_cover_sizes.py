"""Lettering too low to be made by hand: told for every line, with a size and a text that do.

The least capital, 2.5 mm, is the lowest height of lettering in ISO 3098 that drawings commonly use.
"""

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pixel2make.lettering.faces import face
from pixel2make.lettering.model import Line
from pixel2make.lettering.setting import fit_lines, set_lines
from pixel2make.pack.cover_carving import carving_findings
from pixel2make.pack.cover_checks import cover_findings
from pixel2make.pack.cover_sizes import low_lines
from tests.pack.catalogue import SIZES, book

LEAST_MM = 2.5
WORDS = {"title": "The Lamplighters of Saltglass Harbour", "byline": "Orla Fenwick"}


def low(design, **words):
    return {f.subject: f for f in cover_findings(design, **words) if f.code == "lettering-too-low"}


def number_before(sentence: str, words: str) -> float:
    return float(sentence.split(words)[0].split()[-1])


@pytest.mark.parametrize("height", [60, 100, 150, 220])
def test_a_book_as_high_as_is_told_has_lettering_high_enough(height):
    told = low(book(0.7 * height, height, 0.15 * height), **WORDS)
    assert told or height > 150
    for subject, finding in told.items():
        if subject.startswith("spine"):
            continue
        assert finding.measured_mm < finding.limit_mm == LEAST_MM
        needed = number_before(finding.sentence, "mm high would do")
        assert needed > height
        assert subject not in low(book(0.7 * needed, needed, 0.15 * needed), **WORDS)
        if needed > height * 1.05:
            smaller = 0.95 * needed
            assert subject in low(book(0.7 * smaller, smaller, 0.15 * smaller), **WORDS)


@settings(max_examples=30, deadline=None)
@given(st.floats(8, 120), st.floats(4, 60), st.integers(1, 30), st.integers(0, 20))
def test_each_line_is_judged_by_its_own_capitals(width, height, title, byline):
    """A byline is half as high as its title, as the trade table says."""
    blocks = [Line(" ".join(["HH"] * title), 1.0, "title")]
    blocks += [Line("H" * byline, 0.5, "byline")] if byline else []
    found = fit_lines(blocks, face("engraved"), box_mm=(width, height))
    told = {f.subject for f in low_lines(found, on="cover", book_mm=200.0)}
    assert ("title" in told) == (found.capital_mm < LEAST_MM)
    assert ("byline" in told) == (bool(byline) and found.capital_mm / 2 < LEAST_MM)


@settings(max_examples=60, deadline=None)
@given(st.floats(8, 80), st.floats(4, 40), st.lists(st.integers(1, 9), min_size=1, max_size=8))
def test_text_as_short_as_is_told_is_high_enough(width, height, words):
    """All letters are alike, so that a line of as many as are told is as wide as was reckoned: about the mean
    of letters and the gaps between them, of which a shorter line has fewer."""
    lines = ["H" * count for count in words]
    found = set_lines([Line(line, 1.0, "title") for line in lines], face("engraved"), box_mm=(width, height))
    for finding in low_lines(found, on="cover", book_mm=200.0):
        _, _, fewer = finding.sentence.partition("would do, or ")
        if fewer:
            count = number_before(fewer, " line") if "in all" in fewer else len(lines)
            longest = number_before(fewer, " letter") if "letter" in fewer else max(map(len, lines))
            short = [Line("H" * int(longest), 1.0, "title")] * int(count)
            assert set_lines(short, face("engraved"), box_mm=(width, height)).capital_mm >= LEAST_MM * 0.99


def test_the_finding_on_carving_names_the_line_and_what_would_open_it():
    """The title's letters are twice as high, so that the byline alone closes at some size."""
    design = dataclasses.replace(book(), taken={**book().taken, "carving_tool": 0.3})
    told = list(carving_findings(design, **WORDS, face="engraved"))
    assert told and {f.subject for f in told} <= {"title", "byline"}
    for finding in told:
        assert f"in the {finding.subject} (" in finding.sentence
        assert finding.measured_mm < finding.limit_mm
    for finding in told:
        if "a tool of at most" in finding.sentence:
            tool = number_before(finding.sentence.split("a tool of at most")[1], " mm")
            finer = dataclasses.replace(design, taken={**design.taken, "carving_tool": tool})
            assert finding.subject not in {
                f.subject for f in carving_findings(finer, **WORDS, face="engraved")
            }


@pytest.mark.parametrize("name", ["palm", "usual"])
def test_a_cover_of_capitals_high_enough_is_not_told(name):
    design = book(**SIZES[name])
    large = book(**SIZES["metre"])
    assert not low(large, title="Tides", byline="Orla")
    for finding in low(design, **WORDS).values():
        assert finding.source
