"""Make ``pixel2make/kinds/book/weights.json`` from drawn books of known truth.

    python tests/bench/fit_features.py --count 60 --jobs 2

The weights are those of a multinomial logistic regression for each group of patches, with a quadratic
penalty. The ties are fitted to scores of drawings whose style was left out in turn, the neighbours being
as likely as the mean field that the reading runs makes them. Half of the drawings are cut along the box
that the reading finds and half along the true one, so that the weights know what a wrong box looks
like; half of each get the strokes of a careful hand. The calibration is an isotonic regression over the
left-out styles as well. Only tuning styles and seeds are drawn.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(threads, "1")
ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402
from numpy.typing import NDArray  # noqa: E402
from scipy import sparse  # noqa: E402
from scipy.optimize import isotonic_regression, minimize  # noqa: E402

from pixel2make import kinds  # noqa: E402
from pixel2make.kinds.book.evidence import GROUPS, WHOLE, Evidence, gather  # noqa: E402
from pixel2make.kinds.book.features import LEAST_TIE, NEEDS, TIED, UNHEARD_OF, WORDS, lacking  # noqa: E402
from pixel2make.reading.model import FACES, Face, View  # noqa: E402
from pixel2make.reading.patches import Scene, split  # noqa: E402
from pixel2make.regions import RegionMap, segment  # noqa: E402
from tests.truth.books import TUNING, make  # noqa: E402
from tests.truth.model import Drawn  # noqa: E402
from tests.truth.score import sprite_of  # noqa: E402

TARGET = ROOT / "pixel2make/kinds/book/weights.json"
SIZES = (12, 16, 20, 24, 32, 44)
PENALTY, TIE_PENALTY = 20.0, 40.0
"""Chosen by the drawings of the left-out styles; twice or half of them moves the figures little."""
MOST_TIE = 3.0
"""A tie weighs at most as much as odds of twenty to one."""
WHOLE_PENALTY = 2.0
"""Measures of the whole repeat those of the patch; they are held down so many times harder."""
TIE_ROUNDS = 3
OPTIONS = {"maxiter": 80, "maxcor": 20}
WEATHER_STREAM = 31
"""Keeps the strokes apart from the numbers that the drawing itself is made with."""
RARE = 0.0008
"""A word with a smaller share of a group's pixels is unheard of there."""
LEAST = 0.06
"""A smaller weight is left out of the file."""
KNOTS = np.array([0.0, 0.35, 0.5, 0.6, 0.7, 0.8, 0.88, 0.94, 0.97, 0.985, 0.995, 1.0])

Array = NDArray[np.float64]
K = len(WORDS)


@dataclass(eq=False)
class Sample:
    """Evidence of one drawing and what its patches truly are."""

    style: str
    evidence: Evidence
    truth: Array
    pixels: Array


def true_view(drawn: Drawn) -> View:
    """The view as drawn; the breadth of a second flat strip is what its pixels show."""
    box = drawn.box
    view = View(drawn.kind, 1.0, box.origin, box.u, box.v, box.t if drawn.ratio[2] else None)
    if drawn.kind != "front_with_edges":
        return view
    u, v, t = (np.array(p, float) for p in (box.u, box.v, box.t))
    is_along_width = abs(t[0] * v[1] - t[1] * v[0]) > 1e-6
    for name, edge, way in (
        ("head", u, -v),
        ("tail", u, v),
        ("spine", v, -u),
        ("fore_edge", v, u),
    ):
        if (name in ("head", "tail")) == is_along_width and (drawn.faces == name).any():
            breadth = (drawn.faces == name).sum() / np.hypot(*edge)
            strip = way / np.hypot(*way) * breadth
            return replace(view, strip_px=(float(strip[0]), float(strip[1])))
    return view


def true_faces(drawn: Drawn, view: View, regions: RegionMap) -> tuple[Face, ...]:
    """The faces as drawn."""
    from pixel2make.reading.faces import find_faces

    masks = {face: (drawn.faces == face) & ~regions.contour for face in FACES}
    return tuple(
        replace(face, mask=masks[face.name], is_visible=bool(masks[face.name].any()))
        for face in find_faces(view, regions)
    )


def weathered(drawn: Drawn) -> Drawn:
    """The same book with the strokes of a careful hand: lights and shades on fittings, streaks on faces.

    Regions fall apart along such strokes, and the weights should know pieces of a border or an emblem
    as well as whole ones.
    """
    rng = np.random.default_rng([drawn.seed, drawn.size, WEATHER_STREAM])
    rgb = drawn.rgba[..., :3].astype(float)
    share = rng.uniform(0.0, 0.3)
    for word in ("border", "emblem", "corner_piece", "title_area", "clasp", "strap"):
        at = (drawn.features == word) & (rng.random(drawn.features.shape) < share)
        rgb[at] *= float(rng.choice([0.55, 0.7, 1.3, 1.6])) if rng.random() < 0.6 else 1.0
        more = (drawn.features == word) & (rng.random(drawn.features.shape) < share / 2)
        rgb[more] = rgb[more] * 0.5 + 0.5 * np.array([255, 250, 220]) * float(rng.choice([0.3, 1.0]))
    rows, cols = drawn.features.shape
    for word in ("cover", "page_edge", "spine"):
        for _ in range(int(rng.integers(0, 2 + drawn.size // 5))):
            y, x, long = int(rng.integers(rows)), int(rng.integers(cols)), int(rng.integers(1, 5))
            streak = np.zeros((rows, cols), bool)
            streak[y, x : x + long] = True
            rgb[streak & (drawn.features == word)] *= float(rng.choice([0.7, 0.8, 1.2, 1.35]))
    rgba = drawn.rgba.copy()
    rgba[..., :3] = np.where(drawn.rgba[..., 3:] == 255, rgb.clip(0, 255), rgba[..., :3]).astype(np.uint8)
    return replace(drawn, rgba=rgba)


def sample(case: tuple[int, str, int, bool]) -> Sample | None:
    """Draw one book and gather its evidence."""
    from pixel2make.reading.faces import find_faces
    from pixel2make.reading.views import find_views

    seed, style, size, is_found = case
    drawn = make(seed, style, size)
    if seed % 4 >= 2:
        drawn = weathered(drawn)
    regions = segment(sprite_of(drawn))
    if not regions.regions:
        return None
    if is_found:
        view = find_views(regions, kinds.find("book").prior)[0]
        faces = find_faces(view, regions)
    else:
        view = true_view(drawn)
        faces = true_faces(drawn, view, regions)
    patches = split(regions, faces)[1:]
    truth = np.array([[(drawn.features[p.mask] == word).sum() for word in WORDS] for p in patches], float)
    pixels = np.array([p.mask.sum() for p in patches], float)
    scene = Scene(regions, view, faces, patches)
    return Sample(style, gather(scene), truth / pixels[:, None], pixels)


class Problem:
    """All samples stacked: one row a patch."""

    def __init__(self, samples: Sequence[Sample]) -> None:
        self.names = tuple(name for name in samples[0].evidence.values if name not in NEEDS.values())
        self.ties = tuple(samples[0].evidence.links)
        self.x = np.concatenate([np.stack([s.evidence.values[n] for n in self.names], 1) for s in samples])
        self.y = np.concatenate([s.truth for s in samples])
        self.pixels = np.concatenate([s.pixels for s in samples])
        self.group = np.concatenate([s.evidence.group for s in samples])
        self.lack = np.concatenate([lacking(s.evidence) for s in samples])
        self.links = [
            sparse.block_diag([s.evidence.links[t] for s in samples], format="csr") for t in self.ties
        ]
        self.turned = [link.T.tocsr() for link in self.links]
        self.at = [np.flatnonzero(self.group == g) for g in range(len(GROUPS))]

    def heard_of(self) -> NDArray[np.bool_]:
        """(groups, K): words that a group shows."""
        out = np.zeros((len(GROUPS), K), bool)
        for g, at in enumerate(self.at):
            area = (self.y[at] * self.pixels[at, None]).sum(0)
            out[g] = area / max(1.0, area.sum()) > RARE
        return out

    def scores(self, own: Array, heard: NDArray[np.bool_]) -> Array:
        """Log scores (N, K) of the patches by themselves."""
        out = np.where(heard, 0.0, UNHEARD_OF)[self.group] - self.lack
        for g, at in enumerate(self.at):
            out[at] += self.x[at] @ own[g]
        return out

    def near(self, beliefs: Array) -> list[tuple[Array, Array]]:
        """What each patch is tied to, as believed: a pair of (N, K) a tie."""
        return [
            (link @ beliefs, turned @ beliefs) for link, turned in zip(self.links, self.turned, strict=True)
        ]


def soft(scores: Array) -> Array:
    """Probabilities of log scores."""
    e = np.exp(scores - scores.max(1, keepdims=True))
    return e / e.sum(1, keepdims=True)


def misfit(scores: Array, truth: Array, weight: Array) -> tuple[float, Array]:
    """Cross-entropy and its slope by the scores."""
    top = scores.max(1, keepdims=True)
    norm = np.log(np.exp(scores - top).sum(1, keepdims=True)) + top
    value = float((weight * (norm[:, 0] - (truth * scores).sum(1))).sum())
    return value, weight[:, None] * (np.exp(scores - norm) - truth)


def fit_own(p: Problem) -> tuple[Array, NDArray[np.bool_]]:
    """Weights (groups, E, K) of the patches by themselves, and the words heard of."""
    heard = p.heard_of()
    shape = (len(GROUPS), p.x.shape[1], K)
    hold = PENALTY * np.array([WHOLE_PENALTY if n.startswith(WHOLE) else 1.0 for n in p.names])[None, :, None]

    def loss(z: Array) -> tuple[float, Array]:
        own = z.reshape(shape)
        value, slope = misfit(p.scores(own, heard), p.y, np.sqrt(p.pixels))
        grad = hold * own
        for g, at in enumerate(p.at):
            grad[g] += p.x[at].T @ slope[at]
        grad = np.where(heard[:, None, :], grad, 0.0)
        return value + 0.5 * float((hold * own**2).sum()), grad.ravel()

    found = minimize(loss, np.zeros(shape).ravel(), jac=True, method="L-BFGS-B", options=OPTIONS)
    return found.x.reshape(shape), heard


def tie_pairs(names: Sequence[str]) -> list[tuple[int, int, int]]:
    """(tie, word, word) of every weight that `TIED` allows."""
    return [
        (i, WORDS.index(one), WORDS.index(two)) for i, name in enumerate(names) for one, two in TIED[name]
    ]


def tables_of(values: Array, pairs: Sequence[tuple[int, int, int]], count: int) -> Array:
    """Symmetric tables (R, K, K)."""
    out = np.zeros((count, K, K))
    for value, (i, one, two) in zip(values, pairs, strict=True):
        out[i, one, two] = out[i, two, one] = value
    return out


def pulled(scores: Array, near: Sequence[tuple[Array, Array]], tables: Array) -> Array:
    """Scores with what the ties add."""
    return scores + sum(a @ table.T + b @ table for (a, b), table in zip(near, tables, strict=True))


def mean_field(p: Problem, scores: Array, tables: Array) -> Array:
    """What `pixel2make.reading.assign.marginals` makes of each drawing, all at once."""
    beliefs = soft(scores)
    for _ in range(12):
        beliefs = 0.5 * beliefs + 0.5 * soft(pulled(scores, p.near(beliefs), tables))
    return beliefs


def fit_ties(judged: Sequence[tuple[Problem, Array]]) -> Array:
    """Tables (R, K, K) for scores that were made without knowing the drawings."""
    names = judged[0][0].ties
    pairs = tie_pairs(names)
    values = np.array([LEAST_TIE.get((names[i], WORDS[one]), 0.0) for i, one, _ in pairs])
    bounds = [(low, MOST_TIE) for low in values.tolist()]
    for _ in range(TIE_ROUNDS):
        tables = tables_of(values, pairs, len(names))
        near = [p.near(mean_field(p, scores, tables)) for p, scores in judged]

        def loss(z: Array, near: list[list[tuple[Array, Array]]] = near) -> tuple[float, Array]:
            tables = tables_of(z, pairs, len(names))
            total, grad = 0.5 * TIE_PENALTY * float(z @ z), TIE_PENALTY * z
            for (p, scores), some in zip(judged, near, strict=True):
                value, slope = misfit(pulled(scores, some, tables), p.y, p.pixels)
                total += value
                by_table = np.array([slope.T @ a + b.T @ slope for a, b in some])
                grad = grad + [
                    by_table[i, one, two] + (by_table[i, two, one] if one != two else 0.0)
                    for i, one, two in pairs
                ]
            return total, grad

        values = minimize(loss, values, jac=True, method="L-BFGS-B", bounds=bounds, options=OPTIONS).x
    return tables_of(values, pairs, len(names))


def calls(problem: Problem, beliefs: Array) -> tuple[Array, Array, Array]:
    """(said, share right, pixels) a patch."""
    best = beliefs.argmax(1)
    rows = np.arange(len(best))
    return beliefs[rows, best], problem.y[rows, best], problem.pixels


def calibration(said: Array, right: Array, pixels: Array) -> Array:
    """(probability, share right) at `KNOTS`; a patch counts by the root of its size, as in the fit."""
    order = np.argsort(said)
    risen = isotonic_regression(right[order], weights=np.sqrt(pixels)[order]).x
    value = np.interp(KNOTS, said[order], risen)
    smooth = np.maximum.accumulate(np.clip(value, 0.02, 0.995))
    return np.stack([KNOTS, smooth], 1)


def written(
    names: Sequence[str], ties: Sequence[str], own: Array, tables: Array, heard: NDArray[np.bool_]
) -> dict:
    def row(values: Array, keys: Sequence[str]) -> dict[str, float]:
        return {k: round(float(v), 2) for k, v in zip(keys, values, strict=True) if abs(v) >= LEAST}

    return {
        "evidence": list(names),
        "own": {
            group: {w: row(own[g, :, k], names) for k, w in enumerate(WORDS) if heard[g, k]}
            for g, group in enumerate(GROUPS)
        },
        "ties": {
            name: {w: row(table[k], WORDS) for k, w in enumerate(WORDS) if np.abs(table[k]).max() >= LEAST}
            for name, table in zip(ties, tables, strict=True)
        },
    }


def as_text(content: dict) -> str:
    """JSON with one line a word, so that a change shows as a few lines."""
    blocks = []
    for key, value in content.items():
        if key in ("own", "ties"):
            inner = ",\n".join(
                f"  {json.dumps(name)}: {{\n"
                + ",\n".join(f"   {json.dumps(w)}: {json.dumps(v)}" for w, v in rows.items())
                + "\n  }"
                for name, rows in value.items()
            )
            blocks.append(f" {json.dumps(key)}: {{\n{inner}\n }}")
        else:
            blocks.append(f" {json.dumps(key)}: {json.dumps(value)}")
    return "{\n" + ",\n".join(blocks) + "\n}\n"


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--count", type=int, default=60, help="drawings a style and size")
    parser.add_argument("--jobs", type=int, default=1)
    args = parser.parse_args()
    cases = [
        (seed, style, size, seed % 2 == 1) for style in TUNING for size in SIZES for seed in range(args.count)
    ]
    if args.jobs > 1:
        from concurrent.futures import ProcessPoolExecutor

        with ProcessPoolExecutor(args.jobs) as pool:
            samples = [s for s in pool.map(sample, cases, chunksize=16) if s is not None]
    else:
        samples = [s for s in map(sample, cases) if s is not None]
    judged = []
    for style in TUNING:
        own, heard = fit_own(Problem([s for s in samples if s.style != style]))
        left_out = Problem([s for s in samples if s.style == style])
        judged.append((left_out, left_out.scores(own, heard)))
    tables = fit_ties(judged)
    told = [calls(p, mean_field(p, scores, tables)) for p, scores in judged]
    for style, (_, right, pixels) in zip(TUNING, told, strict=True):
        print(f"{style} left out: {100 * np.average(right, weights=pixels):.1f} % of pixels right")
    whole = Problem(samples)
    own, heard = fit_own(whole)
    how = f"Made by tests/bench/fit_features.py --count {args.count}, {len(samples)} drawings."
    content = {
        "how": how + " " + " ".join((__doc__ or "").split("\n\n")[2].split()),
        "calibration": calibration(*map(np.concatenate, zip(*told, strict=True))).round(3).tolist(),
        **written(whole.names, whole.ties, own, tables, heard),
    }
    TARGET.write_text(as_text(content), encoding="utf-8")
    print(f"{TARGET.relative_to(ROOT)}: {TARGET.stat().st_size} bytes")


if __name__ == "__main__":
    main()
