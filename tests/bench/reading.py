"""How well drawn books are read, and how fast, against a generator of known truth.

    python tests/bench/reading.py --style heldout --sizes 16 24 32 --count 200 --seed 10000 --jobs 2

``--style`` is a style's name, ``tuning``, ``heldout`` or ``all``. ``--stage`` is ``reading`` (the
whole way), ``view`` (only the drawn box; proportions by the rule that the drawing was made with),
``features`` (the whole way with the true box given) or ``limit`` (true corners moved by up to half a
pixel, to check the measure itself).
"""

from __future__ import annotations

import argparse
import itertools
import os
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING

if __name__ == "__main__":
    # Seconds are those of one core; the libraries read this when they are loaded.
    for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(threads, "1")
ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402
from numpy.typing import NDArray  # noqa: E402

from tests.truth.books import HELD_OUT, STYLES, TUNING, make  # noqa: E402
from tests.truth.model import FEATURES, VIEW_KINDS, Drawn  # noqa: E402
from tests.truth.score import Score, score, sprite_of  # noqa: E402

if TYPE_CHECKING:
    from pixel2make.reading.model import Reading, View

__all__ = ["main", "read_one", "tables"]

SETS = {"tuning": tuple(TUNING), "heldout": HELD_OUT, "all": tuple(STYLES)}
STAGES = ("reading", "view", "features", "limit")
BINS = (0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 1.0000001)
FOUND = 0.5
"""A feature counts as found where more than half of its pixels are."""

LIMIT_STREAM = 9
"""Keeps the moved corners of ``--stage limit`` apart from those that the limit itself is drawn with."""

Case = tuple[int, str, int, str]


def _true_view(drawn: Drawn, moves: NDArray[np.float64]) -> View:
    """The true box, its ends (width, height, thickness, common corner) moved."""
    from pixel2make.reading.model import View

    edges = (drawn.box.u, drawn.box.v, drawn.box.t)
    u, v, t = (
        (edge[0] + float(move[0] - moves[3, 0]), edge[1] + float(move[1] - moves[3, 1]))
        for edge, move in zip(edges, moves[:3], strict=True)
    )
    x, y = np.add(drawn.box.origin, moves[3])
    return View(drawn.kind, 1.0, (float(x), float(y)), u, v, t if drawn.ratio[2] else None)


def _found(drawn: Drawn, stage: str) -> tuple[Reading | View, float]:
    """What the stage makes of the drawing, and the seconds it took."""
    if stage == "limit":
        stream = [drawn.seed, drawn.size, len(drawn.style), LIMIT_STREAM]
        return _true_view(drawn, np.random.default_rng(stream).uniform(-0.5, 0.5, (4, 2))), 0.0
    from pixel2make import api
    from pixel2make.reading.model import Overrides

    sprite = sprite_of(drawn)
    given = Overrides(view=_true_view(drawn, np.zeros((4, 2)))) if stage == "features" else None
    start = time.perf_counter()
    if stage == "view":
        from pixel2make import kinds
        from pixel2make.reading.views import find_views

        found = find_views(api.segment(sprite), kinds.find("book").prior)[0]
    else:
        found = api.interpret(api.segment(sprite), overrides=given)
    return found, time.perf_counter() - start


def read_one(case: Case) -> tuple[Score, Reading | View | None]:
    """Draw one book, read it and score the reading."""
    seed, style, size, stage = case
    drawn = make(seed, style, size)
    try:
        found, seconds = _found(drawn, stage)
    except Exception as error:
        return score(drawn, None, failure=f"{type(error).__name__}: {error}"), None
    return score(drawn, found, seconds=seconds), found


def _row_of(scores: Sequence[Score]) -> list[str]:
    ordered = np.array([s.corners_ordered for s in scores])
    matched = np.array([s.corners_matched for s in scores])
    seconds = np.array([s.seconds for s in scores])
    out = [
        str(len(scores)),
        _percent([s.right_kind for s in scores]),
        f"{np.median(ordered):.2f} / {np.quantile(ordered, 0.9, method='nearest'):.2f}",
        f"{np.median(matched):.2f} / {np.quantile(matched, 0.9, method='nearest'):.2f}",
    ]
    limits = np.concatenate([s.limits for s in scores])
    for i in (0, 1):
        errors = np.array([s.ratio_errors[i] for s in scores])
        if np.isnan(errors).all():
            out.append("-")
            continue
        said, least = float(np.nanmedian(errors)), float(np.nanmedian(limits[:, i]))
        out.append(f"{100 * said:.1f} % / {100 * least:.1f} % = {said / least:.2f}")
    right, total = _pixels_right(scores)
    out.append(f"{100 * right / total:.1f}" if total else "-")
    out.append(f"{np.median(seconds):.3f} / {np.quantile(seconds, 0.95):.3f}")
    return out


def _percent(flags: Iterable[bool | None]) -> str:
    known = [flag for flag in flags if flag is not None]
    return f"{100 * np.mean(known):.1f}" if known else "-"


def _pixels_right(scores: Sequence[Score]) -> tuple[int, int]:
    """(right, all) pixels of the object; the background is left out, it flatters."""
    ground = FEATURES.index("background")
    maps = [s.confusion for s in scores if s.confusion.size]
    if not maps:
        return 0, 0
    total = np.sum(maps, axis=0)
    right = int(np.trace(total) - total[ground, ground])
    return right, int(total.sum() - total[ground].sum())


HEAD = [
    "drawings",
    "view right %",
    "corners px, median / 90th",
    "corners, best order",
    "W/H error / limit = ratio",
    "T/H error / limit = ratio",
    "pixels right %",
    "s, median / 95th",
]

FEATURE_HEAD = [
    "feature",
    "pixels",
    "precision %",
    "recall %",
    "said and there %",
    "there and found %",
    "taken for",
]


def _groups(scores: Sequence[Score], key: Callable[[Score], str]) -> list[tuple[str, list[Score]]]:
    names = list(dict.fromkeys(key(s) for s in scores))
    return [(name, [s for s in scores if key(s) == name]) for name in names]


def _feature_rows(scores: Sequence[Score]) -> list[list[str]]:
    maps = [s.confusion for s in scores if s.confusion.size]
    if not maps:
        return []
    total = np.sum(maps, axis=0)
    rows = []
    for i, word in enumerate(FEATURES):
        true, said, both = total[i].sum(), total[:, i].sum(), total[i, i]
        if not true and not said:
            continue
        worst = [FEATURES[j] for j in np.argsort(-total[i], kind="stable") if j != i and total[i, j]][:2]
        has = [m for m in maps if m[i].sum()]
        told = [m for m in maps if m[:, i].sum()]
        rows.append(
            [
                word,
                str(true),
                f"{100 * both / said:.1f}" if said else "-",
                f"{100 * both / true:.1f}" if true else "-",
                _percent([m[i, i] > FOUND * m[:, i].sum() for m in told]),
                _percent([m[i, i] > FOUND * m[i].sum() for m in has]),
                ", ".join(worst),
            ]
        )
    return rows


def _calibration(calls: Sequence[tuple[float, float, float]]) -> tuple[list[list[str]], float]:
    """Rows a bin of (confidence, right, weight), and the expected calibration error."""
    if not calls:
        return [], float("nan")
    said, right, weight = (np.array(column, float) for column in zip(*calls, strict=True))
    rows, error = [], 0.0
    for low, high in itertools.pairwise(BINS):
        at = (said >= low) & (said < high)
        if not at.any():
            continue
        mean_said, mean_right = (
            np.average(said[at], weights=weight[at]),
            np.average(right[at], weights=weight[at]),
        )
        share = weight[at].sum() / weight.sum()
        error += share * abs(mean_said - mean_right)
        rows.append(
            [
                f"{low:.2f}-{min(high, 1):.2f}",
                f"{100 * share:.1f}",
                f"{100 * mean_said:.1f}",
                f"{100 * mean_right:.1f}",
            ]
        )
    return rows, 100 * error


def _inside_rows(scores: Sequence[Score]) -> list[list[str]]:
    rows = []
    for name, some in [*_groups(scores, lambda s: f"{s.drawn.size} px"), ("all", scores)]:
        held = ([s.inside[0] for s in some], [s.inside[1] for s in some], [s.any_inside for s in some])
        rows.append([name, *map(_percent, held)])
    return rows


def tables(scores: Sequence[Score]) -> list[tuple[str, list[str], list[list[str]]]]:
    """All tables as (title, column heads, rows)."""
    out = []
    by = {
        "style and size": lambda s: f"{s.drawn.style} {s.drawn.size} px",
        "drawn view": lambda s: s.drawn.kind,
        "pose": lambda s: f"{s.drawn.kind}: {s.drawn.habits['pose']}",
        "contour": lambda s: str(s.drawn.habits["contour"]),
    }
    for title, key in by.items():
        rows = [[name, *_row_of(some)] for name, some in _groups(sorted(scores, key=key), key)]
        out.append((f"By {title}", [title, *HEAD], [*rows, ["all", *_row_of(scores)]]))
    confused = []
    for kind in VIEW_KINDS:
        some = [s for s in scores if s.drawn.kind == kind]
        counts = [sum(s.said_kind == said for s in some) for said in (*VIEW_KINDS, "")]
        confused.append([kind, *map(str, counts)])
    out.append(("Views, drawn by row and said by column", ["drawn", *VIEW_KINDS, "failed"], confused))
    features = _feature_rows(scores)
    if features:
        head = [
            "feature",
            "pixels",
            "precision %",
            "recall %",
            "said and there %",
            "there and found %",
            "taken for",
        ]
        out.append(("Features by pixel, and by drawing (more than half of the pixels)", head, features))
    bins = ["said", "share %", "mean said %", "right %"]
    calls = {
        "view kind": [(s.confidence, float(s.right_kind), 1.0) for s in scores if s.said_kind],
        "features, by pixel": [(c, r, float(n)) for s in scores for c, r, n in s.patch_calls],
        "features, by patch": [(c, float(r > FOUND), 1.0) for s in scores for c, r, _ in s.patch_calls],
    }
    for title, some in calls.items():
        rows, error = _calibration(some)
        if rows:
            out.append((f"Calibration of {title}: expected error {error:.1f} points", bins, rows))
    if any(s.any_inside is not None for s in scores):
        head = ["size", "W/H", "T/H", "any alternative"]
        out.append(("Truth inside the stated interval, % of drawings", head, _inside_rows(scores)))
    return out


def print_tables(scores: Sequence[Score], *, is_markdown: bool, is_brief: bool) -> None:
    """Print the tables, padded or as Markdown; brief leaves out those by pose and by contour."""
    for title, head, rows in tables(scores):
        if is_brief and title in ("By pose", "By contour"):
            continue
        grid = [head, *rows]
        widths = [max(len(row[i]) for row in grid) for i in range(len(head))]
        print(f"\n### {title}\n" if is_markdown else f"\n{title}")
        for n, row in enumerate(grid):
            cells = [cell.ljust(width) for cell, width in zip(row, widths, strict=True)]
            print(f"| {' | '.join(cells)} |" if is_markdown else "  " + "  ".join(cells).rstrip())
            if n == 0:
                rule = ["-" * width for width in widths]
                print(f"| {' | '.join(rule)} |" if is_markdown else "  " + "  ".join(rule))
    failures = [s for s in scores if s.failure]
    if failures:
        print(f"\n{len(failures)} of {len(scores)} failed, such as")
        for s in failures[:5]:
            print(f"  {s.drawn.style} {s.drawn.size} px seed {s.drawn.seed}: {s.failure}")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--style", nargs="+", default=["tuning"], choices=[*SETS, *STYLES])
    parser.add_argument("--sizes", nargs="+", type=int, default=[16, 24, 32])
    parser.add_argument("--count", type=int, default=50, help="drawings a style and size")
    parser.add_argument("--seed", type=int, default=0, help="first seed; below 10000 tunes, from 10000 tests")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--stage", choices=STAGES, default="reading")
    parser.add_argument("--markdown", action="store_true")
    parser.add_argument("--brief", action="store_true", help="leave out the tables by pose and by contour")
    parser.add_argument("--save", type=Path, help="folder for pictures of the worst cases")
    parser.add_argument("--worst", type=int, default=24, help="how many pictures to save")
    args = parser.parse_args()
    styles = list(dict.fromkeys(name for word in args.style for name in SETS.get(word, (word,))))
    cases: list[Case] = [
        (args.seed + i, style, size, args.stage)
        for style in styles
        for size in args.sizes
        for i in range(args.count)
    ]
    with ProcessPoolExecutor(args.jobs) as pool:
        scores = list(pool.map(_score_only, cases, chunksize=8))
    print_tables(scores, is_markdown=args.markdown, is_brief=args.brief)
    if args.save:
        save_worst(scores, args.save, args.worst, args.stage)


def _score_only(case: Case) -> Score:
    return read_one(case)[0]


def save_worst(scores: Sequence[Score], folder: Path, count: int, stage: str) -> None:
    """Write pictures of the worst readings: worst corners first, then most pixels wrong."""
    from tests.truth.show import picture

    folder.mkdir(parents=True, exist_ok=True)

    def badness(s: Score) -> tuple[float, float, str, int, int]:
        right, total = _pixels_right([s])
        wrong = 1 - right / total if total else 0.0
        return -s.corners_ordered, -wrong, s.drawn.style, s.drawn.size, s.drawn.seed

    ranked = sorted(scores, key=badness)
    for n, s in enumerate(ranked[:count], 1):
        d = s.drawn
        _, found = read_one((d.seed, d.style, d.size, stage))
        picture(d, found).save(folder / f"worst-{n:02d}-{d.style}-{d.size}-{d.seed}.png")


if __name__ == "__main__":
    main()
