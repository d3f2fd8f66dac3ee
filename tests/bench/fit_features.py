"""Make ``pixel2make/kinds/book/weights.json`` from drawn books of known truth.

    python tests/bench/fit_features.py --count 60 --jobs 2

The weights are those of a multinomial logistic regression for each group of patches, with a quadratic
penalty. The ties are fitted to scores of drawings whose style was left out in turn (each alone, or as many
groups of styles as ``--folds`` says), the neighbours being as likely as the mean field that the reading runs
makes them. Half of the drawings are cut along the box that the reading finds and half along the true one, so
that the weights know what a wrong box looks like; half of each get the strokes of a careful hand. Half get
other clasps, some in other or fewer colours; of the rest, some get spine fittings, some grain, some a clasp
that hardly shows. The calibration is an isotonic regression over the left-out styles as well. Only tuning
styles and seeds are drawn.
"""

from __future__ import annotations

import argparse
import json
import os
import pickle
import sys
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(threads, "1")
ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402
from numpy.typing import NDArray  # noqa: E402

from pixel2make import kinds  # noqa: E402
from pixel2make.kinds.book.evidence import GROUPS, gather  # noqa: E402
from pixel2make.kinds.book.features import WORDS, weights  # noqa: E402
from pixel2make.reading.model import FACES, Face, View  # noqa: E402
from pixel2make.reading.patches import Scene, is_ground, split  # noqa: E402
from pixel2make.regions import RegionMap, segment  # noqa: E402
from tests.bench.fitting import (  # noqa: E402
    Problem,
    Sample,
    calibration,
    calls,
    fit_more,
    fit_own,
    fit_ties,
    mean_field,
)
from tests.truth.books import TUNING, make  # noqa: E402
from tests.truth.fittings import matched, speckled, spine_fitted  # noqa: E402
from tests.truth.hands import few_colours, refastened, turned_hue, weathered  # noqa: E402
from tests.truth.model import Drawn  # noqa: E402
from tests.truth.score import sprite_of  # noqa: E402

TARGET = ROOT / "pixel2make/kinds/book/weights.json"
SIZES = (12, 16, 20, 24, 32, 44)
LEAST = 0.06
"""A smaller weight is left out of the file."""
Array = NDArray[np.float64]


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


def by_other_hands(drawn: Drawn) -> Drawn:
    """Half of the drawings with other clasps, and half of those in fewer or other colours too; of the rest,
    some with spine fittings, some with grain, some with a clasp that hardly shows."""
    part = drawn.seed // 8 % 4 if drawn.seed % 8 < 4 else -1
    if part >= 0:
        drawn = (spine_fitted, speckled, matched, lambda same: same)[part](drawn)
    if drawn.seed % 8 >= 4:
        drawn = refastened(drawn)
    if drawn.seed % 8 >= 6:
        drawn = few_colours(drawn) if drawn.seed % 16 >= 8 else turned_hue(drawn)
    return drawn


def found_view(case: tuple[int, str, int]) -> View | None:
    """The box that the reading finds, before other hands changed fittings and colours."""
    from pixel2make.reading.views import find_views

    drawn = make(*case)
    regions = segment(sprite_of(weathered(drawn) if drawn.seed % 4 >= 2 else drawn))
    return find_views(regions, kinds.find("book").prior)[0] if regions.regions else None


def sample(case: tuple[int, str, int, View | None]) -> Sample | None:
    """Draw one book and gather its evidence, along a found box or along the true one (None)."""
    from pixel2make.reading.faces import find_faces

    seed, style, size, view = case
    drawn = make(seed, style, size)
    drawn = by_other_hands(weathered(drawn) if seed % 4 >= 2 else drawn)
    regions = segment(sprite_of(drawn))
    if not regions.regions:
        return None
    if view is not None:
        faces = find_faces(view, regions)
    else:
        view = true_view(drawn)
        faces = true_faces(drawn, view, regions)
    patches = tuple(patch for patch in split(regions, faces) if not is_ground(patch))
    truth = np.array([[(drawn.features[p.mask] == word).sum() for word in WORDS] for p in patches], float)
    pixels = np.array([p.mask.sum() for p in patches], float)
    # A painted halo that was taken for a part of the book is nothing that a word stands for.
    truth[truth.sum(1) == 0, WORDS.index("other")] = 1.0
    truth = truth / truth.sum(1, keepdims=True)
    return Sample(style, gather(Scene(regions, view, faces, patches)), truth, pixels)


def found_views(
    cases: Sequence[tuple[int, str, int]], run: Callable[..., Iterable[Any]], kept: Path | None
) -> dict[tuple[int, str, int], View]:
    """Found boxes by case; those in the file `kept` are not looked for again."""
    found = pickle.loads(kept.read_bytes()) if kept and kept.exists() else {}
    missing = [case for case in cases if case not in found]
    found |= {case: view for case, view in zip(missing, run(found_view, missing), strict=True) if view}
    if kept and missing:
        kept.write_bytes(pickle.dumps(found))
    return found


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


def gathered(count: int, jobs: int, boxes: Path | None, kept: Path | None) -> list[Sample]:
    """Evidence of all drawings; that in the file `kept` is not gathered again."""
    if kept and kept.exists():
        return list(pickle.loads(kept.read_bytes()))
    cases = [(seed, style, size) for style in TUNING for size in SIZES for seed in range(count)]
    with ProcessPoolExecutor(jobs) as pool:
        run = partial(pool.map, chunksize=16)
        views = found_views([case for case in cases if case[0] % 2], run, boxes)
        drawn = [(*case, views.get(case)) for case in cases if case in views or case[0] % 2 == 0]
        samples = [s for s in run(sample, drawn) if s is not None]
    if kept:
        kept.write_bytes(pickle.dumps(samples))
    return samples


def later(content: dict, names: Sequence[str]) -> list[str]:
    """Measures that came after the weights were fitted: they weigh for one word at most."""
    rows = [rows for group in content["own"].values() for rows in group.items()]
    return [name for name in names if len({word for word, row in rows if name in row}) <= 1]


def with_more(samples: Sequence[Sample], words: Sequence[str], count: int) -> dict:
    """The weights as they stand, with what later measures add to some words, one after the other."""
    content = json.loads(TARGET.read_text(encoding="utf-8"))
    known, problem = weights(), Problem(samples)
    scores = np.concatenate([known.scores(s.evidence) for s in samples])
    names = later(content, problem.names)
    for word in words:
        rows = [content["own"][group].get(word, {}) for group in GROUPS]
        fresh = [name for name in names if not any(name in row for row in rows)]
        more = fit_more(problem, scores, WORDS.index(word), fresh)
        x = problem.x[:, [problem.names.index(name) for name in fresh]]
        for g, (group, row) in enumerate(zip(GROUPS, more, strict=True)):
            if word in content["own"][group]:
                found = {k: round(float(v), 2) for k, v in zip(fresh, row, strict=True) if abs(v) >= LEAST}
                content["own"][group][word] |= found
                scores[problem.at[g], WORDS.index(word)] += x[problem.at[g]] @ row
    content["evidence"] += [name for name in names if name not in content["evidence"]]
    content["how"] += (
        f" What {len(names)} later measures add to {', '.join(words)} was fitted on top, to {len(samples)} "
        f"drawings: --count {count} --more-of {' '.join(words)}."
    )
    return content


def write(content: dict) -> None:
    TARGET.write_text(as_text(content), encoding="utf-8")
    print(f"{TARGET.relative_to(ROOT)}: {TARGET.stat().st_size} bytes")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--count", type=int, default=60, help="drawings a style and size")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--boxes", type=Path, help="file that keeps the boxes found, for the next run")
    parser.add_argument("--folds", type=int, default=len(TUNING), help="groups of styles left out in turn")
    parser.add_argument("--samples", type=Path, help="file that keeps the evidence, for another fit of it")
    parser.add_argument(
        "--more-of", metavar="WORD", nargs="+", help="keep all weights, add those of later measures for these"
    )
    args = parser.parse_args()
    samples = gathered(args.count, args.jobs, args.boxes, args.samples)
    if args.more_of:
        write(with_more(samples, args.more_of, args.count))
        return
    judged = []
    folds = [tuple(TUNING)[start :: args.folds] for start in range(args.folds)]
    for styles in folds:
        own, heard = fit_own(Problem([s for s in samples if s.style not in styles]))
        left_out = Problem([s for s in samples if s.style in styles])
        judged.append((left_out, left_out.scores(own, heard)))
    tables = fit_ties(judged)
    told = [calls(p, mean_field(p, scores, tables)) for p, scores in judged]
    for styles, (_, right, pixels) in zip(folds, told, strict=True):
        share = 100 * np.average(right, weights=pixels)
        print(f"{', '.join(styles)} left out: {share:.1f} % of pixels right")
    whole = Problem(samples)
    own, heard = fit_own(whole)
    asked = f"--count {args.count} --folds {args.folds}"
    how = f"Made by tests/bench/fit_features.py {asked}, {len(samples)} drawings."
    content = {
        "how": how + " " + " ".join((__doc__ or "").split("\n\n")[2].split()),
        "calibration": calibration(*map(np.concatenate, zip(*told, strict=True))).round(3).tolist(),
        **written(whole.names, whole.ties, own, tables, heard),
    }
    write(content)


if __name__ == "__main__":
    main()
