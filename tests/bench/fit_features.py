"""Make ``pixel2make/kinds/book/weights.json`` from drawn books of known truth.

    python tests/bench/fit_features.py --count 60 --jobs 2

The weights are those of a multinomial logistic regression for each group of patches, with a quadratic
penalty; the ties are fitted together with them, the neighbours being as likely as the same weights make
them (a fixed point of the mean field that the reading runs). Half of the drawings are cut along the box
that the reading finds and half along the true one, so that the weights know what a wrong box looks
like. The calibration is an isotonic regression over drawings of styles that were left out in turn.
Only tuning styles and seeds are drawn.
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
from scipy import sparse  # noqa: E402
from scipy.optimize import isotonic_regression, minimize  # noqa: E402

from pixel2make import kinds  # noqa: E402
from pixel2make.kinds.book.evidence import GROUPS, Evidence, gather  # noqa: E402
from pixel2make.kinds.book.features import UNHEARD_OF, WORDS  # noqa: E402
from pixel2make.reading.model import FACES, Face, View  # noqa: E402
from pixel2make.reading.patches import Scene, split  # noqa: E402
from pixel2make.regions import RegionMap, segment  # noqa: E402
from tests.truth.books import TUNING, make  # noqa: E402
from tests.truth.model import Drawn  # noqa: E402
from tests.truth.score import sprite_of  # noqa: E402

TARGET = ROOT / "pixel2make/kinds/book/weights.json"
SIZES = (12, 16, 20, 24, 32, 44)
PENALTY, TIE_PENALTY = 6.0, 15.0
ROUNDS, STEPS = 3, 80
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


def true_faces(drawn: Drawn, view: View, regions: RegionMap) -> tuple[Face, ...]:
    """The faces as drawn."""
    o, u, v = (np.array(p, float) for p in (view.origin_px, view.width_px, view.height_px))
    t = np.array(view.thickness_px or (0.0, 0.0))
    placed = {
        "cover": (o, u, v),
        "spine": (o, t, v),
        "fore_edge": (o + u, t, v),
        "head": (o, u, t),
        "tail": (o + v, u, t),
        "back": (o + t, u, v),
    }
    out = []
    for name in FACES:
        mask = (drawn.faces == name) & ~regions.contour
        a, b, c = (tuple(map(float, p)) for p in placed[name])
        out.append(Face(name, a, b, c, bool(mask.any()), mask))  # type: ignore[arg-type]
    return tuple(out)


def true_view(drawn: Drawn) -> View:
    """The view as drawn."""
    box = drawn.box
    return View(drawn.kind, 1.0, box.origin, box.u, box.v, box.t if drawn.ratio[2] else None)


def sample(case: tuple[int, str, int, bool]) -> Sample | None:
    """Draw one book and gather its evidence."""
    from pixel2make.reading.faces import find_faces
    from pixel2make.reading.views import find_views

    seed, style, size, is_found = case
    drawn = make(seed, style, size)
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
        self.names = tuple(samples[0].evidence.values)
        self.ties = tuple(samples[0].evidence.links)
        self.x = np.concatenate([np.stack([s.evidence.values[n] for n in self.names], 1) for s in samples])
        self.y = np.concatenate([s.truth for s in samples])
        self.pixels = np.concatenate([s.pixels for s in samples])
        self.group = np.concatenate([s.evidence.group for s in samples])
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

    def scores(self, own: Array, ties: Array, heard: NDArray[np.bool_], beliefs: Array | None) -> Array:
        out = np.where(heard, 0.0, UNHEARD_OF)[self.group]
        for g, at in enumerate(self.at):
            out[at] += self.x[at] @ own[g]
        if beliefs is not None:
            for link, turned, table in zip(self.links, self.turned, ties, strict=True):
                out += (link @ beliefs) @ table.T + (turned @ beliefs) @ table
        return out


def soft(scores: Array) -> Array:
    e = np.exp(scores - scores.max(1, keepdims=True))
    return e / e.sum(1, keepdims=True)


def fit(problem: Problem, heard: NDArray[np.bool_], beliefs: Array | None, start: Array | None) -> Array:
    """Weights and ties in one vector, for neighbours that are as believed."""
    p, e, r = problem, problem.x.shape[1], len(problem.ties)
    cut = len(GROUPS) * e * K
    weight = np.sqrt(p.pixels)
    base = np.where(heard, 0.0, UNHEARD_OF)[p.group]
    near = (
        []
        if beliefs is None
        else [(a @ beliefs, b @ beliefs) for a, b in zip(p.links, p.turned, strict=True)]
    )

    def loss(z: Array) -> tuple[float, Array]:
        own, ties = z[:cut].reshape(len(GROUPS), e, K), z[cut:].reshape(r, K, K)
        s = base.copy()
        for g, at in enumerate(p.at):
            s[at] += p.x[at] @ own[g]
        for (a, b), table in zip(near, ties, strict=False):
            s += a @ table.T + b @ table
        top = s.max(1, keepdims=True)
        norm = np.log(np.exp(s - top).sum(1, keepdims=True)) + top
        value = float((weight * (norm[:, 0] - (p.y * s).sum(1))).sum())
        value += 0.5 * PENALTY * float((own**2).sum()) + 0.5 * TIE_PENALTY * float((ties**2).sum())
        d = weight[:, None] * (np.exp(s - norm) - p.y)
        grad_own = PENALTY * own
        for g, at in enumerate(p.at):
            grad_own[g] += p.x[at].T @ d[at]
        grad_own = np.where(heard[:, None, :], grad_own, 0.0)
        grad_ties = TIE_PENALTY * ties
        for i, (a, b) in enumerate(near):
            grad_ties[i] += d.T @ a + b.T @ d
        return value, np.concatenate([grad_own.ravel(), grad_ties.ravel()])

    first = np.zeros(cut + r * K * K) if start is None else start
    return minimize(loss, first, jac=True, method="L-BFGS-B", options={"maxiter": STEPS, "maxcor": 20}).x


def unpacked(problem: Problem, z: Array) -> tuple[Array, Array]:
    cut = len(GROUPS) * problem.x.shape[1] * K
    return z[:cut].reshape(len(GROUPS), -1, K), z[cut:].reshape(-1, K, K)


def mean_field(problem: Problem, own: Array, ties: Array, heard: NDArray[np.bool_]) -> Array:
    beliefs = soft(problem.scores(own, ties, heard, None))
    for _ in range(12):
        beliefs = 0.5 * beliefs + 0.5 * soft(problem.scores(own, ties, heard, beliefs))
    return beliefs


def train(problem: Problem) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Weights and ties that agree with the beliefs that they lead to."""
    heard = problem.heard_of()
    z = fit(problem, heard, None, None)
    own, ties = unpacked(problem, z)
    beliefs = soft(problem.scores(own, ties, heard, None))
    for _ in range(ROUNDS):
        z = fit(problem, heard, beliefs, z)
        own, ties = unpacked(problem, z)
        beliefs = 0.5 * beliefs + 0.5 * mean_field(problem, own, ties, heard)
    return own, ties, heard


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
    heard_calls = []
    for style in TUNING:
        seen = Problem([s for s in samples if s.style != style])
        left_out = Problem([s for s in samples if s.style == style])
        own, ties, heard = train(seen)
        said, right, pixels = calls(left_out, mean_field(left_out, own, ties, heard))
        heard_calls.append((said, right, pixels))
        print(
            f"{style} left out: {100 * np.average(right, weights=pixels):.1f} % of pixels right", flush=True
        )
    whole = Problem(samples)
    own, ties, heard = train(whole)
    how = f"Made by tests/bench/fit_features.py --count {args.count}, {len(samples)} drawings."
    content = {
        "how": how + " " + " ".join((__doc__ or "").split("\n\n")[2].split()),
        "calibration": calibration(*map(np.concatenate, zip(*heard_calls, strict=True))).round(3).tolist(),
        **written(whole.names, whole.ties, own, ties, heard),
    }
    TARGET.write_text(as_text(content), encoding="utf-8")
    print(f"{TARGET.relative_to(ROOT)}: {TARGET.stat().st_size} bytes")


if __name__ == "__main__":
    main()
