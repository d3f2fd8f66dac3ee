"""A pack in inches: no millimetre is left in what a person reads, and no number for programs changes."""

import html
import json
import re

import pytest

from pixel2make import api, kinds
from pixel2make.design import dimension
from pixel2make.errors import DesignError
from pixel2make.pack.spec import spec
from pixel2make.quantity import parse_length
from tests.design.catalogue import furnished

SECTIONS = ("drawing", "sheets", "sewing", "shopping", "order")

MILLIMETRES = re.compile(r"[^\n]{0,50}(?<![\w_])\d[\d.,]*[\s\u00a0\u202f]*(?:mm|cm|m|m2)\b[^\n]{0,30}")


def design_of(**choices):
    return dimension(furnished(), kinds.find("book"), size_mm=300, choices=choices)


def read_by_people(path, content):
    """The text of a file as a person reads it, names of files left out."""
    text = content.decode()
    if path.endswith(".svg"):
        text = "\n".join(re.findall(r"<text[^>]*>(.*?)</text>", text, flags=re.S))
    if path.endswith(".html"):
        text = re.sub(r"<(style|script|svg).*?</\1>", " ", text, flags=re.S)
        text = re.sub(r"<a [^>]*href.*?</a>", " ", text, flags=re.S)
        text = html.unescape(re.sub(r"<[^>]+>", "\n", text))
    return re.sub(r"\S+\.(?:svg|dxf|pdf|csv|json)", "", text)


@pytest.mark.parametrize("choices", [{}, {"structure": "laced", "edges": "trimmed", "bands": "even"}])
def test_no_millimetre_is_left_for_a_person_to_read(choices):
    design = design_of(units="in", **choices)
    files = api.export(design, sections=SECTIONS)
    stray = {}
    for path, content in files.items():
        # Names of cut sheets tell their material's thickness in mm, as do links to them.
        if path.endswith((".svg", ".txt", ".csv", ".html")):
            text = re.sub(r"\w+_[\d.]+mm", "", read_by_people(path, content))
            found = [hit for hit in MILLIMETRES.findall(text) if not re.search(r"\w[ _][\d.]+mm\b", hit)]
            if found:
                stray[path] = found
    assert stray == {}


def test_numbers_for_programs_stay_and_sentences_change():
    """The inch is 25.4 mm: international yard and pound agreement of 1959."""
    one, other = (spec(design_of(units=units), part_files={}) for units in ("mm", "in"))
    for metric, inch in zip(one["dimensions"], other["dimensions"], strict=True):
        for key in ("name", "value_mm", "low_mm", "high_mm", "from"):
            assert metric[key] == inch[key]
    assert one["parts"] == other["parts"]
    assert one["mass"] == other["mass"]
    for metric, inch in zip(one["templates"], other["templates"], strict=True):
        assert {k: v for k, v in metric.items() if k != "notes"} == {
            k: v for k, v in inch.items() if k != "notes"
        }
    sentences = [f["sentence"] for f in other["findings"]] + other["warnings"]
    assert not [s for s in sentences if re.search(r"\d mm\b", s)]


def test_the_example_of_a_length_can_be_read_back():
    """5/16 in is 7.9375 mm, NIST SP 811 appendix B."""
    design = design_of(units="in")
    options = {option for choice in design.choices for option in choice.options if "length" in option}
    assert options == {"a length, such as 5/16in"}
    assert parse_length("5/16in", low_mm=1) == pytest.approx(7.9375)
    json.dumps(spec(design, part_files={}))


def test_a_cut_may_be_given_in_inches():
    """0.008 in is 0.2032 mm, NIST SP 811 appendix B."""
    assert design_of(kerf="0.008in").taken["kerf"] == pytest.approx(0.2032)
    with pytest.raises(DesignError, match="choice kerf"):
        design_of(kerf="2in")
