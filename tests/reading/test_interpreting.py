"""The reading as a whole: patches, things, overrides, kinds, the prior, the joint assignment."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pixel2make import kinds
from pixel2make.errors import ReadingError
from pixel2make.kinds.book.prior import book_prior
from pixel2make.reading import Face, Overrides, Reading, View, interpret
from pixel2make.reading.assign import Link, marginals
from pixel2make.reading.faces import find_faces
from pixel2make.reading.patches import split
from pixel2make.regions import RegionMap, segment
from pixel2make.sprite.model import Sprite
from tests.truth.books import TEST_SEEDS, TUNING, make
from tests.truth.model import Drawn
from tests.truth.score import sprite_of

BOOK = kinds.find("book")
RED, DARK, GOLD, CREAM, CLEAR = (
    (150, 40, 40, 255),
    (24, 12, 12, 255),
    (224, 184, 60, 255),
    (240, 228, 190, 255),
    (0, 0, 0, 0),
)


def true_view(drawn: Drawn) -> View:
    box = drawn.box
    return View(drawn.kind, 1.0, box.origin, box.u, box.v, box.t if drawn.ratio[2] else None)


def read(drawn: Drawn, **told: object) -> Reading:
    """A reading along the true box."""
    overrides = Overrides(view=true_view(drawn), **told)  # type: ignore[arg-type]
    return interpret(segment(sprite_of(drawn)), BOOK, overrides)


def painted(rows: list[str], legend: dict[str, tuple[int, int, int, int]]) -> RegionMap:
    rgba = np.array([[legend[c] for c in row] for row in rows], np.uint8)
    return segment(Sprite("drawn.png", "0" * 64, rgba, rgba[..., 3] == 0))


def front_book() -> RegionMap:
    """A red front, 12 x 16, with a contour, gold corners at the right and a gold clasp."""
    grid = [["r"] * 12 for _ in range(16)]
    for y, x in itertools.product((0, 1, 14, 15), (10, 11)):
        grid[y][x] = "g"
    for y, x in itertools.product(range(7, 10), (10, 11)):
        grid[y][x] = "g"
    rows = ["d" * 14, *("d" + "".join(row) + "d" for row in grid), "d" * 14]
    return painted(rows, {"r": RED, "d": DARK, "g": GOLD})


FRONT = View("front", 1.0, (1.0, 1.0), (12.0, 0.0), (0.0, 16.0))


def once_each(reading: Reading) -> None:
    for parts in (reading.patches, reading.features):
        assert (np.sum([part.mask for part in parts], axis=0) == 1).all()


@given(st.sampled_from(list(TUNING)), st.integers(10, 40), st.integers(TEST_SEEDS[0], TEST_SEEDS[0] + 5000))
@settings(max_examples=12, deadline=None)
def test_patches_and_features_each_cover_every_pixel_once(style, size, seed):
    reading = read(make(seed, style, size))
    once_each(reading)
    assert {f.feature for f in reading.features} <= set(BOOK.vocabulary)
    assert len({p.name for p in reading.patches}) == len(reading.patches)
    assert len({f.id for f in reading.features}) == len(reading.features)
    for patch in reading.patches:
        scores = [candidate.score for candidate in patch.candidates]
        assert scores[0] == patch.confidence
        assert scores[1:] == sorted(scores[1:], reverse=True)
        assert sum(scores) <= 1 + 1e-6
        assert patch.why and all(sentence.endswith(".") for sentence in patch.why)
        assert patch.candidates[0].feature == patch.feature


def test_the_same_sprite_is_read_the_same_twice():
    drawn = make(10003, "tome", 28)
    one, two = (interpret(segment(sprite_of(drawn)), BOOK) for _ in range(2))
    assert one.view == two.view
    assert [(p.name, p.feature, p.confidence, p.why) for p in one.patches] == [
        (p.name, p.feature, p.confidence, p.why) for p in two.patches
    ]


@pytest.mark.parametrize("shift", [(3, 0), (0, 5)])
def test_where_the_object_stands_in_the_picture_does_not_matter(shift):
    """Moved by whole pixels, the same box must give the same features."""
    drawn = make(10010, "tome", 30)
    dx, dy = shift
    view = true_view(drawn)
    sprite = sprite_of(drawn)
    rgba = np.pad(drawn.rgba, ((dy, 0), (dx, 0), (0, 0)))
    moved = Sprite("moved.png", sprite.sha256, rgba, rgba[..., 3] < 255)
    there = View(
        view.kind,
        1.0,
        (view.origin_px[0] + dx, view.origin_px[1] + dy),
        view.width_px,
        view.height_px,
        view.thickness_px,
    )
    one = interpret(segment(sprite), BOOK, Overrides(view=view))
    two = interpret(segment(moved), BOOK, Overrides(view=there))
    assert [f.id for f in one.features] == [f.id for f in two.features]
    for a, b in zip(one.features[1:], two.features[1:], strict=True):
        assert (a.mask == b.mask[dy:, dx:]).all() or a.feature == "background"


def test_nothing_drawn_is_said():
    blank = np.zeros((8, 8, 4), np.uint8)
    with pytest.raises(ReadingError, match="nothing is drawn"):
        interpret(segment(Sprite("blank.png", "0" * 64, blank, blank[..., 3] == 0)), BOOK)


def test_a_plain_front_with_fittings():
    reading = interpret(front_book(), BOOK, Overrides(view=FRONT))
    found = [f.feature for f in reading.features]
    assert found.count("clasp") == 1
    assert found.count("corner_piece") == 2
    assert found.count("cover") == 1
    assert found.count("outline") == 1
    clasp = next(f for f in reading.features if f.feature == "clasp")
    assert clasp.face == "cover"
    assert clasp.mask.sum() == 6
    assert reading.view is FRONT
    assert any(q.subject == "thickness" for q in reading.questions)


def test_the_maker_s_word_is_taken_and_neighbours_follow():
    fresh = interpret(front_book(), BOOK, Overrides(view=FRONT))
    name = next(p.name for p in fresh.patches if p.feature == "clasp")
    told = Overrides(view=FRONT, features=((name, "emblem"),), boxes=((3, 4, 2, 3, "title_area"),))
    reading = interpret(front_book(), BOOK, told)
    once_each(reading)
    patch = reading.patch(name)
    assert (patch.feature, patch.confidence, patch.origin) == ("emblem", 1.0, "maker")
    box = reading.patch("box1")
    assert (box.feature, box.origin, box.face, int(box.mask.sum())) == ("title_area", "maker", "cover", 6)
    assert box.mask[4:7, 3:5].all()


def test_a_region_s_name_stands_for_all_its_patches_and_a_patch_s_own_name_wins():
    drawn = make(10001, "icon", 26)
    fresh = read(drawn)
    region = next(
        p.region
        for p in fresh.patches
        if "." in p.name and sum(q.region == p.region for q in fresh.patches) > 1
    )
    parts = [p.name for p in fresh.patches if p.region == region]
    reading = read(drawn, features=((parts[0], "emblem"), (f"r{region}", "other")))
    assert [reading.patch(name).feature for name in parts] == ["emblem", *["other"] * (len(parts) - 1)]


@pytest.mark.parametrize(
    "told,words",
    [
        ({"features": (("r77", "clasp"),)}, r"there is no region 'r77'; words that would do: r"),
        ({"features": (("r1", "clsp"),)}, r"r1: there is no feature 'clsp'; words that would do: clasp"),
        ({"boxes": ((1, 1, 2, 2, "handle"),)}, r"box1: there is no feature 'handle'"),
        ({"proportions": "as_drwn"}, r"there are no proportions 'as_drwn'; words that would do: .*as_drawn"),
    ],
)
def test_words_that_do_not_exist_are_refused_with_near_ones(told, words):
    with pytest.raises(ReadingError, match=words):
        interpret(front_book(), BOOK, Overrides(view=FRONT, **told))


def test_the_maker_may_take_other_proportions():
    drawn = make(10004, "icon", 30)
    names = [p.name for p in read(drawn).proportions]
    reading = read(drawn, proportions=names[-1])
    assert reading.proportions[0].name == names[-1]
    assert sorted(p.name for p in reading.proportions) == sorted(names)


def faces_of(regions: RegionMap, view: View) -> tuple[Face, ...]:
    return find_faces(view, regions)


def test_a_spine_one_pixel_wide_is_no_spill_but_a_pixel_over_the_edge_is():
    rows = ["drrrrrrrrd"] * 12
    regions = painted(["d" * 10, *rows, "d" * 10], {"r": RED, "d": DARK})
    spine = View("front_with_edges", 1.0, (2.0, 1.0), (7.0, 0.0), (0.0, 12.0), (-1.0, 0.0))
    names = {p.name: p for p in split(regions, faces_of(regions, spine))}
    body = next(r.id for r in regions.regions if not r.is_contour)
    assert int(names[f"r{body}.spine"].mask.sum()) == 12
    grid = [list(row) for row in rows]
    for row in grid:
        row[1] = "c"
    grid[5][1] = grid[6][1] = "g"
    for y, x in itertools.product((5, 6), (2, 3)):
        grid[y][x] = "g"
    spilled = painted(["d" * 10, *map("".join, grid), "d" * 10], {"r": RED, "d": DARK, "c": CREAM, "g": GOLD})
    gold = next(r.id for r in spilled.regions if r.color == "#e0b83c")
    wide = View("front_with_edges", 1.0, (2.0, 1.0), (7.0, 0.0), (0.0, 12.0), (-1.0, 0.0))
    patches = {p.name: p for p in split(spilled, faces_of(spilled, wide)) if p.region == gold}
    assert sum(int(p.mask.sum()) for p in patches.values()) == 6
    assert set(patches) in ({f"r{gold}"}, {f"r{gold}.cover", f"r{gold}.spine"})


def test_a_frame_in_a_shade_of_the_cover_is_a_patch_of_its_own():
    lighter = (186, 64, 60, 255)
    grid = np.full((18, 14), "r")
    grid[2, 2:12] = grid[15, 2:12] = grid[2:16, 2] = grid[2:16, 11] = "l"
    rows = ["d" * 16, *("d" + "".join(row) + "d" for row in grid), "d" * 16]
    regions = painted(rows, {"r": RED, "l": lighter, "d": DARK})
    view = View("front", 1.0, (1.0, 1.0), (14.0, 0.0), (0.0, 18.0))
    reading = interpret(regions, BOOK, Overrides(view=view))
    frame = np.pad(grid == "l", 1)
    border = [f for f in reading.features if f.feature == "border"]
    assert len(border) == 1
    assert (border[0].mask == frame).all()
    # A plan's line for the ground must not stand for the frame as well.
    ground = next(p.name for p in reading.patches if p.feature == "cover")
    again = interpret(regions, BOOK, Overrides(view=view, features=((ground, "cover"),)))
    assert sum(f.feature == "border" for f in again.features) == 1


def enumerated(scores, links):
    """Exact marginals by going through every assignment."""
    n, k = scores.shape
    out = np.zeros((n, k))
    for taken in itertools.product(range(k), repeat=n):
        value = sum(scores[i, t] for i, t in enumerate(taken))
        for link in links:
            value += sum(
                link.strength[i, j] * link.table[taken[i], taken[j]] for i in range(n) for j in range(n)
            )
        for i, t in enumerate(taken):
            out[i, t] += math.exp(value)
    return out / out.sum(1, keepdims=True)


@given(st.integers(0, 2**31))
@settings(max_examples=60, deadline=None)
def test_the_assignment_is_that_of_the_exact_marginals_where_those_are_clear(seed):
    """Against enumeration of all 81 assignments of small problems with ties as strong as ours."""
    rng = np.random.default_rng(seed)
    scores = rng.normal(0, 2, (4, 3))
    strength = np.triu(rng.random((4, 4)), 1)
    links = (Link("alike", strength, 0.5 * np.eye(3)),)
    exact, found = enumerated(scores, links), marginals(scores, links)
    top = np.sort(exact, axis=1)
    clear = top[:, -1] - top[:, -2] > 0.3
    assert (exact.argmax(1) == found.argmax(1))[clear].all()
    assert np.abs(exact - found).max() < 0.3
    assert found.sum(1) == pytest.approx(1)


def test_without_ties_the_marginals_are_the_softmax():
    scores = np.array([[0.0, 1.0, -2.0], [3.0, 0.0, 0.0]])
    expected = np.exp(scores) / np.exp(scores).sum(1, keepdims=True)
    assert marginals(scores, ()) == pytest.approx(expected)


def test_a_tie_turns_a_close_call():
    """One sure corner piece pulls its doubtful twin along, as a person would decide."""
    scores = np.array([[4.0, 0.0], [0.0, 0.4]])
    twin = Link("alike", np.array([[0.0, 1.0], [0.0, 0.0]]), np.diag([1.0, 0.0]))
    assert marginals(scores, ()).argmax(1).tolist() == [0, 1]
    assert marginals(scores, (twin,)).argmax(1).tolist() == [0, 0]


def test_kinds_are_folders(tmp_path, monkeypatch):
    assert "book" in kinds.names()
    (tmp_path / "lantern").mkdir()
    (tmp_path / "lantern" / "__init__.py").write_text("KIND = 'a lantern'\n")
    monkeypatch.setattr(kinds, "__path__", [*kinds.__path__, str(tmp_path)])
    assert kinds.names() == ("book", "lantern")
    assert kinds.find("lantern") == "a lantern"


def test_an_unknown_kind_names_those_there_are():
    with pytest.raises(ReadingError, match=r"there is no kind 'bok'; did you mean 'book'\?"):
        kinds.find("bok")


def test_the_prior_is_a_density_and_holds_the_usual_formats():
    """ISO 216:2007 A4, A5, B5 and Letter (ANSI/ASME Y14.1, from memory) lie within one spread."""
    prior = book_prior()
    logs = np.linspace(-4, 4, 4001)
    for one in (prior.width, prior.thickness):
        values = np.exp([one.log_density(math.exp(x)) for x in logs])
        assert np.trapezoid(values, logs) == pytest.approx(1, abs=1e-4)
    for w, h in ((210, 297), (148, 210), (176, 250), (215.9, 279.4)):
        assert abs(math.log(w / h) - math.log(prior.width.median)) < prior.width.spread
    assert prior.log_density(0.7, None) == pytest.approx(prior.width.log_density(0.7))
    assert prior.log_density(0.7, 0.2) > prior.log_density(3.0, 0.2)
    assert prior.log_density(-1.0, 0.2) == -math.inf
    assert "common practice" in prior.source
