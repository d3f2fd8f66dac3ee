"""The exploded view: a balloon for every part drawn, all parts in the list, nothing clashes."""

from pathlib import Path

import pytest

from pixel2make import api
from pixel2make.pack.drawing import overlaps
from pixel2make.pack.drawing.exploded import _items, exploded_view

DEMO = sorted((Path(__file__).parent.parent.parent / "demo_sprites").glob("*.png"))
CASES = [(path, "240mm", {}) for path in DEMO]
CASES += [(DEMO[0], "90mm", {"structure": "laced"}), (DEMO[-1], "600mm", {"units": "in"})]


@pytest.fixture(params=CASES, ids=lambda c: f"{c[0].stem}-{c[1]}", scope="module")
def design(request):
    path, height, choices = request.param
    return api.measure(api.open_source(path), size=("height", height), choices=choices)


def test_nothing_on_the_page_touches_what_it_must_not(design):
    assert overlaps(exploded_view(design)) == []


def test_parts_have_their_number_once_and_all_stand_in_the_list(design):
    # ISO 6433: each item is referenced once; ISO 7573: the list names all items.
    texts = exploded_view(design).texts
    balloons = [t.value for t in texts if t.anchor == "middle" and t.value.isdigit()]
    shown = {str(item.number) for item in _items(design)}
    assert len(balloons) == len(set(balloons))
    # In a very thin book the strips behind its spine hide one another and stand in the list alone.
    assert set(balloons) <= shown
    hidden = shown - set(balloons)
    names = {design.parts[int(number) - 1].name for number in hidden}
    assert names <= {"mull", "spine_lining", "spine_piece", *(clasp.name for clasp in design.clasps)}
    values = {t.value for t in texts}
    assert {part.name.replace("_", " ") for part in design.parts} <= values


def test_no_edge_runs_through_a_balloon(design):
    from shapely.geometry import Polygon

    drawing = exploded_view(design)
    edges = [line for p in drawing.paths if p.purpose == "visible" for line in p.lines]
    rings = [c for p in drawing.paths if p.purpose == "leader" and not p.is_solid for c in p.contours]
    discs = [Polygon(ring) for ring in rings if len(ring) > 20]
    assert discs
    assert not any(disc.intersects(edge) for disc in discs for edge in edges)
