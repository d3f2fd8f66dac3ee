"""The exploded view: a balloon for every part drawn, all parts in the list, nothing clashes."""

import math
from collections import Counter
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Polygon, box

from pixel2make import api
from pixel2make.pack.drawing import overlaps
from pixel2make.pack.drawing.apart import bodies_apart
from pixel2make.pack.drawing.bodies import bevelled, prism, seen
from pixel2make.pack.drawing.exploded import exploded_view

DEMO = sorted((Path(__file__).parent.parent.parent / "demo_sprites").glob("*.png"))
CASES = [(path, "240mm", {}) for path in DEMO]
CASES += [
    (DEMO[0], "90mm", {"structure": "laced"}),
    (DEMO[-1], "600mm", {"units": "in"}),
    (DEMO[4], "60mm", {"bands": "even", "bevel": "2mm"}),
    (DEMO[4], "1m", {"bands": "even", "bevel": "12mm", "pages": "foam_core"}),
]


@pytest.fixture(params=CASES, ids=lambda c: f"{c[0].stem}-{c[1]}", scope="module")
def design(request):
    path, height, choices = request.param
    return api.measure(api.open_source(path), size=("height", height), choices=choices)


def test_nothing_on_the_page_touches_what_it_must_not(design):
    assert overlaps(exploded_view(design)) == []


def test_every_part_of_the_list_is_drawn(design):
    # ISO 6433: all items of the assembly are referenced; a core lies within the block, and no eye sees it.
    drawn = {body.number for body in bodies_apart(design)}
    inside = {number for number, part in enumerate(design.parts, 1) if part.name == "core"}
    assert drawn == set(range(1, len(design.parts) + 1)) - inside


def test_parts_have_their_number_once_and_all_stand_in_the_list(design):
    # ISO 6433: each item is referenced once; ISO 7573: the list names all items.
    texts = exploded_view(design).texts
    balloons = [t.value for t in texts if t.anchor == "middle" and t.value.isdigit()]
    shown = {str(body.number) for body in bodies_apart(design)}
    assert len(balloons) == len(set(balloons))
    # In a very thin book the strips behind its spine hide one another and stand in the list alone.
    assert set(balloons) <= shown
    hidden = shown - set(balloons)
    names = {design.parts[int(number) - 1].name for number in hidden}
    assert names <= {"mull", "spine_lining", *(clasp.name for clasp in design.clasps)}
    values = {t.value for t in texts}
    assert {part.name.replace("_", " ") for part in design.parts} <= values


def test_every_band_and_both_headbands_are_there(design):
    numbers = {part.name: number for number, part in enumerate(design.parts, 1)}
    count = Counter(body.number for body in bodies_apart(design))
    if "headband" in numbers:
        assert count[numbers["headband"]] == 2
    if "raised_band" in numbers:
        assert count[numbers["raised_band"]] == design.parts[numbers["raised_band"] - 1].quantity


def test_isometric_axes_lie_120_degrees_apart_in_one_scale():
    # ISO 5456-3:1996, 5.1: the projections of the three axes make equal angles and have equal scales.
    ends = [np.array(seen(*axis)) for axis in ((1, 0, 0), (0, 1, 0), (0, 0, 1))]
    assert [np.hypot(*end) for end in ends] == pytest.approx([1.0] * 3)
    for one, other in combinations(ends, 2):
        assert one @ other == pytest.approx(math.cos(math.radians(120)))


@given(st.floats(1, 50), st.floats(1, 50), st.floats(0.1, 50), st.sampled_from("xyz"))
def test_the_silhouette_of_a_box_is_its_corners_hull(wide, tall, deep, along):
    """A convex body is seen as the convex hull of its corners seen (shapely, MultiPoint.convex_hull)."""
    place = {"x": lambda u, v, w: (w, v, u), "y": lambda u, v, w: (u, w, v), "z": lambda u, v, w: (u, v, w)}
    corners = [place[along](u, v, w) for u in (0, wide) for v in (0, tall) for w in (2, 2 + deep)]
    hull = MultiPoint([seen(*corner) for corner in corners]).convex_hull
    found = prism(1, box(0, 0, wide, tall), 2, 2 + deep, along=along).silhouette
    assert found.symmetric_difference(hull).area < 1e-6 * hull.area


@given(st.floats(10, 50), st.floats(10, 50), st.floats(0.5, 4), st.floats(0.1, 0.9))
def test_a_bevelled_board_is_seen_as_its_corners_hull(wide, tall, inset, share):
    flat = box(0, inset, wide - inset, tall - inset)
    low = [(x, y, z) for x in (0, wide) for y in (0, tall) for z in (0, 3 - 3 * share)]
    high = [(x, y, 3) for x in (0, wide - inset) for y in (inset, tall - inset)]
    hull = MultiPoint([seen(*corner) for corner in (*low, *high)]).convex_hull
    found = bevelled(1, box(0, 0, wide, tall), flat, 0, 3, slope_mm=3 * share)
    assert found.silhouette.symmetric_difference(hull).area < 1e-6 * hull.area
    # all four corners of the flat have a line to the foot's, those on the spine edge as well
    assert len(found.marks) == 4


def test_no_edge_runs_through_a_balloon(design):
    drawing = exploded_view(design)
    edges = [line for p in drawing.paths if p.purpose == "visible" for line in p.lines]
    rings = [c for p in drawing.paths if p.purpose == "leader" and not p.is_solid for c in p.contours]
    discs = [Polygon(ring) for ring in rings if len(ring) > 20]
    assert discs
    assert not any(disc.intersects(edge) for disc in discs for edge in edges)
