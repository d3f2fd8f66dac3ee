"""Make ``pixel2make/reading/view_weights.json`` from drawn books of known truth.

    python tests/bench/fit_views.py --count 30 --jobs 2

Of every drawing the boxes that the search weighs are kept: the best by the weights so far, those near the
truth, and some at random. The weights are those of a conditional logit model, score by score: they make
the boxes near the truth likely among all of the drawing's boxes. Scores are linear in the evidence, family
by family, and bend by a few soft units. The fit begins at the present weights and is held to them, so that a
new habit among the drawings does not undo what older ones taught; ``--fresh`` begins at fixed random
numbers instead. The namings' weights are fitted
alike, on the box nearest the truth. The calibration of the view kind is a logistic regression on drawings
in styles that the fit left out, every other style in turn.

Drawn are the tuning styles only, sizes 12 to 44 px, seeds from 0 up; half of the drawings get the strokes
of a careful hand. ``--rounds`` searches and fits again with the new weights, since the boxes that are worth
a look depend on them.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(threads, "1")
ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402
from numpy.typing import NDArray  # noqa: E402
from scipy.optimize import minimize  # noqa: E402

from pixel2make import kinds  # noqa: E402
from pixel2make.reading.box import stepless  # noqa: E402
from pixel2make.reading.model import VIEW_KINDS  # noqa: E402
from pixel2make.reading.proj_shape import ShapeTable, table_of  # noqa: E402
from pixel2make.reading.view_evidence import EVIDENCE, FAMILIES, families_of, side_looks  # noqa: E402
from pixel2make.reading.view_ground import grounds_of  # noqa: E402
from pixel2make.reading.view_naming import NAMING, TURNS, names_of, naming_evidence  # noqa: E402
from pixel2make.reading.view_sums import sums_of  # noqa: E402
from pixel2make.reading.view_weights import CLIP, IMPOSSIBLE, box_weights  # noqa: E402
from pixel2make.reading.views import STEPLESS, Found, kinds_of, search  # noqa: E402
from pixel2make.regions import segment  # noqa: E402
from tests.bench.fit_features import weathered  # noqa: E402
from tests.truth.books import TUNING, make  # noqa: E402
from tests.truth.model import Drawn  # noqa: E402
from tests.truth.score import sprite_of  # noqa: E402

TARGET = ROOT / "pixel2make/reading/view_weights.json"
SIZES = (12, 16, 20, 24, 32, 44)
BEST, NEAR, ANY = 80, 16, 80
"""Boxes kept of a drawing: the best so far, those nearest the truth, any others; the last stand for all
that are left, each for as many as were passed over."""
CORNER_PX, DEPTH_PX = 0.6, 0.8
"""How fast a box stops being the right one as its corners, or its thickness, leave the truth."""
LEAST_NEAR = 0.02
"""A drawing whose best box is less right than this was not found, and teaches nothing about weighing."""
FLAT = ("front", "front_with_edges")
"""Views that are hardest to tell apart: more drawings of them count for less each, so that the shares of all
views stay."""
HALF_STRIPS = 0.3
"""How right a box is that shows one of two strips, or two of one."""
UNITS, UNIT_STREAM = 48, 20
PENALTY, FRESH_PENALTY = 0.02, 0.012
"""On the weights' squared distance from the present ones, or from none, a drawing: chosen by drawings in
styles that the fit left out, where a sixth of it loses six points of view kinds and a threefold one point."""
OPTIONS, FRESH_OPTIONS = {"maxiter": 80, "maxcor": 20}, {"maxiter": 140, "maxcor": 20}

Array = NDArray[np.float64]


@dataclass(eq=False)
class Sample:
    """One drawing's boxes: evidence (K, E), family (K,), what a score begins with (K,), how right (K,), kind
    (K,), for the naming the evidence (8, N + 1) with the index of the right one, and what it counts."""

    style: str
    kind: int
    evidence: NDArray[np.float32]
    family: NDArray[np.int64]
    plain: Array
    right: Array
    kinds: NDArray[np.int64]
    naming: NDArray[np.float32] | None
    named: int
    weight: float = 1.0


def how_right(drawn: Drawn, found: Found, shift: tuple[int, int]) -> Array:
    """0..1 a box, shape (K,): its corners, its thickness and its kind against the drawing's."""
    boxes = found.boxes
    corners = boxes.cover_corners() + np.array(shift)
    true = drawn.corners
    off = np.min(
        [
            np.hypot(*(np.roll(corners[:, ::way], turn, axis=1) - true).transpose(2, 0, 1)).mean(axis=1)
            for turn in range(4)
            for way in (1, -1)
        ],
        axis=0,
    )
    depth = np.minimum(*(np.hypot(*(e - np.array(drawn.box.t)).T) for e in (boxes.t, boxes.more)))
    out = np.exp(-((off / CORNER_PX) ** 2) / 2 - (depth / DEPTH_PX) ** 2 / 2)
    out *= kinds_of(boxes) == drawn.kind
    has_two = np.abs(boxes.more).sum(axis=1) > 0
    return np.asarray(out * np.where(has_two == ("+" in str(drawn.habits["pose"])), 1.0, HALF_STRIPS))


def naming_of(
    drawn: Drawn, found: Found, best: int, shift: tuple[int, int], table: ShapeTable
) -> tuple[NDArray[np.float32], int]:
    """Evidence of the eight namings of one box, and which one is drawn."""
    box, ground = found.boxes.take([best]), found.grounds[int(found.ground[best])]
    rows = naming_evidence(box, ground, side_looks(sums_of(box, ground)), table)[0]
    off = []
    for name in names_of(box):
        o, u, v = name.origin[0] + np.array(shift), name.u[0], name.v[0]
        off.append(float(np.hypot(*(np.array([o, o + u, o + u + v, o + v]) - drawn.corners).T).mean()))
    return rows.astype(np.float32), int(np.argmin(off))


def sample(case: tuple[int, str, int, bool, float]) -> Sample | None:
    """Draw one book and weigh its boxes; None where only flat views are asked for and it is at a slant."""
    seed, style, size, is_flat_only, weight = case
    drawn = make(seed, style, size)
    if is_flat_only and drawn.kind not in FLAT:
        return None
    if seed % 2:
        drawn = weathered(drawn)
    regions = segment(sprite_of(drawn))
    if not regions.regions:
        return None
    grounds, table = grounds_of(regions), table_of(kinds.find("book").prior)
    found = search(grounds, table)
    if found is None:
        return None
    right = how_right(drawn, found, grounds[0].shift)
    best = int(np.argmax(right))
    if right[best] < LEAST_NEAR:
        return None
    rng = np.random.default_rng([seed, size, UNIT_STREAM])
    sure = np.union1d(np.arange(min(BEST, len(right))), np.argsort(-right, kind="stable")[:NEAR])
    rest = np.setdiff1d(np.arange(len(right)), sure)
    drawn_lots = rng.permutation(rest)[:ANY]
    kept = np.concatenate([sure, drawn_lots])
    stands_for = np.ones(len(kept))
    stands_for[len(sure) :] = len(rest) / max(1, len(drawn_lots))
    boxes = found.boxes.take(kept)
    naming, named = naming_of(drawn, found, best, grounds[0].shift, table)
    return Sample(
        style,
        VIEW_KINDS.index(drawn.kind),
        found.evidence[kept].astype(np.float32),
        families_of(boxes),
        np.log(stands_for) - STEPLESS * stepless(boxes),
        right[kept],
        np.array([VIEW_KINDS.index(k) for k in kinds_of(boxes)]),
        naming,
        named,
        weight if drawn.kind in FLAT else 1.0,
    )


class Problem:
    """All samples stacked: one row a box."""

    def __init__(self, samples: Sequence[Sample], middle: Array, spread: Array) -> None:
        usual = np.clip((np.concatenate([s.evidence for s in samples]) - middle) / spread, -CLIP, CLIP)
        self.family = np.concatenate([s.family for s in samples])
        self.table = np.concatenate([usual, np.eye(len(FAMILIES))[self.family]], axis=1)
        self.at = [np.flatnonzero(self.family == f) for f in range(len(FAMILIES))]
        self.plain = np.concatenate([s.plain for s in samples])
        self.right = np.concatenate([s.right for s in samples])
        self.start = np.cumsum([0, *(len(s.family) for s in samples)])[:-1]
        self.owner = np.repeat(np.arange(len(samples)), [len(s.family) for s in samples])
        self.kinds = np.concatenate([s.kinds for s in samples])
        self.kind = np.array([s.kind for s in samples])
        self.weight = np.array([s.weight for s in samples])

    def scores(self, weights: Sequence[Array]) -> tuple[Array, Array]:
        """Scores (N,) and the soft units (N, units)."""
        linear, inner, outer = weights
        bent = np.tanh(self.table @ inner[:-1] + inner[-1])
        out = self.plain + bent @ outer
        for f, at in enumerate(self.at):
            out[at] += self.table[at] @ linear[f]
        return out, bent

    def shares(self, score: Array) -> Array:
        """Chance of each box among its drawing's."""
        top = np.maximum.reduceat(score, self.start)
        e = np.exp(score - top[self.owner])
        return np.asarray(e / np.add.reduceat(e, self.start)[self.owner])


def shapes() -> list[tuple[int, ...]]:
    wide = len(EVIDENCE) + len(FAMILIES)
    return [(len(FAMILIES), wide), (wide + 1, UNITS), (UNITS,)]


def parted(z: Array) -> list[Array]:
    """The flat vector of all weights as (linear, inner, outer)."""
    out, i = [], 0
    for shape in shapes():
        n = int(np.prod(shape))
        out.append(z[i : i + n].reshape(shape))
        i += n
    return out


def fit(p: Problem, present: Sequence[Array] | None = None) -> list[Array]:
    """The weights that make the boxes near the truth likeliest, near the present ones if there are any."""
    rng = np.random.default_rng(UNIT_STREAM)
    sizes = [int(np.prod(shape)) for shape in shapes()]
    if present is None:
        middle = np.zeros(sum(sizes))
        start = np.concatenate([rng.normal(0, s, n) for n, s in zip(sizes, (0, 0.1, 0.1), strict=True)])
    else:
        middle = start = np.concatenate([part.ravel() for part in present])
    penalty, options = (FRESH_PENALTY, FRESH_OPTIONS) if present is None else (PENALTY, OPTIONS)
    count = p.weight.sum()

    def loss(z: Array) -> tuple[float, Array]:
        weights = parted(z)
        score, bent = p.scores(weights)
        share = p.shares(score)
        good = share * p.right
        total = np.add.reduceat(good, p.start)
        value = -float(p.weight @ np.log(np.maximum(total, 1e-12)))
        slope = (share - good / np.maximum(total, 1e-12)[p.owner]) * p.weight[p.owner]
        linear = np.stack([p.table[at].T @ slope[at] for at in p.at])
        back = slope[:, None] * (1 - bent**2) * weights[2]
        inner = np.concatenate([p.table.T @ back, back.sum(axis=0, keepdims=True)])
        grad = np.concatenate([linear.ravel(), inner.ravel(), bent.T @ slope])
        away = z - middle
        hold = penalty * count
        return value + 0.5 * hold * float(away @ away), grad + hold * away

    return parted(minimize(loss, start, jac=True, method="L-BFGS-B", options=options).x)


def kind_chances(p: Problem, weights: Sequence[Array]) -> tuple[Array, NDArray[np.bool_]]:
    """Of each drawing: the chance of the best box's kind, and whether that kind is drawn."""
    score, _ = p.scores(weights)
    share = p.shares(score)
    stops = [*p.start[1:], len(score)]
    said, right = [], []
    for i, (a, b) in enumerate(zip(p.start, stops, strict=True)):
        kind = p.kinds[a + int(np.argmax(score[a:b]))]
        said.append(float(share[a:b][p.kinds[a:b] == kind].sum()))
        right.append(bool(kind == p.kind[i]))
    return np.array(said), np.array(right)


def sureness(said: Array, right: NDArray[np.bool_]) -> tuple[float, float]:
    """Slope and offset of the logistic regression of being right on the log odds."""
    odds = np.log(np.maximum(said, 1e-9)) - np.log(np.maximum(1 - said, 1e-9))

    def loss(z: Array) -> float:
        return float(np.logaddexp(0, np.where(right, -1, 1) * (z[0] * odds + z[1])).mean())

    slope, offset = minimize(loss, np.array([0.8, 0.0]), method="Nelder-Mead").x
    return float(slope), float(offset)


def fit_naming(samples: Sequence[Sample]) -> Array:
    """Weights of the namings' evidence."""
    rows = np.stack([s.naming for s in samples if s.naming is not None]).astype(float)
    named = np.array([s.named for s in samples if s.naming is not None])
    at = np.arange(len(named))

    def loss(z: Array) -> tuple[float, Array]:
        score = rows[..., :-1] @ z + IMPOSSIBLE * rows[..., -1]
        score -= score.max(axis=1, keepdims=True)
        share = np.exp(score) / np.exp(score).sum(axis=1, keepdims=True)
        value = -float(np.log(np.maximum(share[at, named], 1e-12)).sum())
        slope = share.copy()
        slope[at, named] -= 1
        grad = np.einsum("ij,ijk->k", slope, rows[..., :-1])
        return value + 0.5 * float(z @ z), grad + z

    z = minimize(loss, np.zeros(len(NAMING)), jac=True, method="L-BFGS-B").x
    score = rows[..., :-1] @ z + IMPOSSIBLE * rows[..., -1]
    print(f"namings right: {100 * np.mean(score.argmax(axis=1) == named):.1f} % of {len(TURNS)} each")
    return z


def as_text(content: dict[str, object]) -> str:
    """JSON with one line a row of a table, so that a change shows as a few lines."""
    blocks = []
    for key, value in content.items():
        if isinstance(value, list) and value and isinstance(value[0], list):
            inner = ",\n".join(f"  {json.dumps(row)}" for row in value)
            blocks.append(f" {json.dumps(key)}: [\n{inner}\n ]")
        else:
            blocks.append(f" {json.dumps(key)}: {json.dumps(value)}")
    return "{\n" + ",\n".join(blocks) + "\n}\n"


def widened() -> None:
    """Give evidence that the present weights do not know a weight of zero, so that the search runs."""
    table = json.loads(TARGET.read_text("utf-8"))
    if tuple(table["names"]) == EVIDENCE:
        return
    known = {name: i for i, name in enumerate(table["names"])}
    old = len(known)

    def moved(row: Sequence[float]) -> list[float]:
        return [row[known[name]] if name in known else 0.0 for name in EVIDENCE] + list(row[old:])

    table["middle"], table["spread"] = moved(table["middle"]), [s or 1.0 for s in moved(table["spread"])]
    table["linear"] = [moved(row) for row in table["linear"]]
    table["inner"] = np.array([moved(row) for row in np.array(table["inner"]).T]).T.tolist()
    table["names"] = list(EVIDENCE)
    table.setdefault("sure", [1.0, 0.0])
    TARGET.write_text(as_text(table), encoding="utf-8")


def gathered(count: int, flat: int, jobs: int) -> list[Sample]:
    weight = count / (count + flat)
    cases = [
        (seed, style, size, seed >= count, weight)
        for style in TUNING
        for size in SIZES
        for seed in range(count + flat)
    ]
    if jobs > 1:
        from concurrent.futures import ProcessPoolExecutor

        with ProcessPoolExecutor(jobs) as pool:
            return [s for s in pool.map(sample, cases, chunksize=16) if s is not None]
    return [s for s in map(sample, cases) if s is not None]


def fitted(samples: Sequence[Sample], how: str, *, is_fresh: bool) -> dict[str, object]:
    now = box_weights()
    rows = np.concatenate([s.evidence for s in samples]).astype(float)
    middle, spread = rows.mean(axis=0), np.maximum(rows.std(axis=0), 1e-3)
    if not is_fresh:
        # Present weights go with the present scale of the evidence; what is new among it has no weight yet.
        known = np.abs(now.linear[:, : len(EVIDENCE)]).sum(axis=0) > 0
        middle, spread = np.where(known, now.middle, middle), np.where(known, now.spread, spread)
    present = None if is_fresh else (now.linear, now.inner, now.outer)
    said, right = [], []
    for part in (0, 1):
        left = set(tuple(TUNING)[part::2])
        learnt = fit(Problem([s for s in samples if s.style not in left], middle, spread), present)
        one, two = kind_chances(Problem([s for s in samples if s.style in left], middle, spread), learnt)
        print(f"{', '.join(sorted(left))} left out: {100 * two.mean():.1f} % of view kinds right")
        said.append(one)
        right.append(two)
    sure = sureness(np.concatenate(said), np.concatenate(right))
    linear, inner, outer = fit(Problem(samples, middle, spread), present)
    own, good = kind_chances(Problem(samples, middle, spread), [linear, inner, outer])
    print(f"all: {100 * good.mean():.1f} % right, said {100 * own.mean():.1f} %; sureness {sure}")
    return {
        "how": how,
        "names": list(EVIDENCE),
        "sure": [round(v, 3) for v in sure],
        "middle": middle.round(4).tolist(),
        "spread": spread.round(4).tolist(),
        "linear": linear.round(3).tolist(),
        "inner": inner.round(3).tolist(),
        "outer": outer.round(3).tolist(),
        "naming_names": list(NAMING),
        "naming": fit_naming(samples).round(3).tolist(),
    }


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--count", type=int, default=30, help="drawings a style and size")
    parser.add_argument("--flat", type=int, default=0, help="more seeds a style and size, of flat views only")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--rounds", type=int, default=1)
    parser.add_argument("--fresh", action="store_true", help="forget the present weights")
    args = parser.parse_args()
    widened()
    for _ in range(args.rounds):
        box_weights.cache_clear()
        samples = gathered(args.count, args.flat, args.jobs)
        asked = f"--count {args.count} --flat {args.flat}"
        how = f"Made by tests/bench/fit_views.py {asked}, {len(samples)} drawings."
        TARGET.write_text(as_text(fitted(samples, how, is_fresh=args.fresh)), encoding="utf-8")
        print(f"{TARGET.relative_to(ROOT)}: {TARGET.stat().st_size} bytes", flush=True)


if __name__ == "__main__":
    main()
