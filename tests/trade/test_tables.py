"""The tables are complete, say how sure they are, and refuse what does not."""

import re

import pytest

from pixel2make import trade
from pixel2make.trade import LABELS


@pytest.mark.parametrize("key", trade.keys())
def test_every_entry_says_how_sure_it_is(key):
    entry = trade.value(key)
    assert entry.label in LABELS
    assert entry.source or entry.label == "common practice"
    assert entry.key == key
    assert re.fullmatch(r"[a-z0-9_]+(\.[a-z0-9_]+)+", key)


@pytest.mark.parametrize("key", trade.keys())
def test_every_number_has_a_unit(key):
    entry = trade.value(key)
    has_numbers = any(isinstance(v, int | float) for v in _leaves(entry.value))
    assert bool(entry.unit) == has_numbers


def _leaves(content):
    if isinstance(content, tuple):
        return [leaf for part in content for leaf in _leaves(part)]
    if hasattr(content, "values"):
        return [leaf for part in content.values() for leaf in _leaves(part)]
    return [content]


def test_a_mistyped_key_names_its_neighbours():
    with pytest.raises(KeyError, match=r"boards\.square\.to_250"):
        trade.value("boards.square.to_251")


def test_a_list_is_no_number():
    with pytest.raises(TypeError, match="no single number"):
        _ = trade.value("boards.stock_thickness").number
    assert trade.value("boards.stock_thickness").numbers[0] == 1.0
    with pytest.raises(TypeError, match="no list"):
        _ = trade.value("units.inch").numbers


def test_values_cannot_be_changed():
    with pytest.raises(TypeError):
        trade.value("paper.us").value["letter"] = (1, 2)


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ({"value": 1, "label": "guess"}, "labels are"),
        ({"value": 1, "label": "published"}, "needs a source"),
        ({"value": 1, "label": "common practice", "origin": "x"}, "unknown fields origin"),
    ],
)
def test_an_entry_without_its_label_or_source_is_refused(entry, message):
    with pytest.raises(ValueError, match=message):
        list(trade._entries("paper", {"thing": entry}))


def test_a_value_outside_of_an_entry_is_refused():
    with pytest.raises(ValueError, match="outside of an entry"):
        list(trade._entries("paper", {"thing": 3}))
