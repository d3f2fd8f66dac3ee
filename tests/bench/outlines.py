"""Our outlines against general-purpose tracers, on shapes whose true outline is known.

    python tests/bench/outlines.py [--growth | --packs]

Each shape is sampled at the pixel centres of a 10 to 64 pixel grid and traced back. Measured:
pixel centres on the right side (centre-faithful), Hausdorff distance to the true outline in pixels,
nodes, time. Peers, where they are installed: scikit-image's marching squares, potracer, vtracer (each
with its defaults, on the native grid and, as their users do, on the picture enlarged eight times).
"""

from __future__ import annotations

import argparse
import io
import itertools
import math
import re
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box

ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

SIZES = (10, 16, 24, 32, 48, 64)
ENLARGED = 8
Shape = shapely.Geometry
Tracer = Callable[[np.ndarray], tuple[Shape, int]]


def star(side: float) -> Polygon:
    points = []
    for k in range(10):
        r, a = side * 0.46 * (1 if k % 2 == 0 else 0.45), -math.pi / 2 + k * math.pi / 5
        points.append((side / 2 + r * math.cos(a), side / 2 + r * math.sin(a)))
    return Polygon(points)


def wave(side: float) -> Shape:
    t = np.linspace(0, 1, 400)
    middle = side / 2 + side * 0.22 * np.sin(3 * math.pi * t)
    line = np.column_stack([side * (0.08 + 0.84 * t), middle])
    band = LineString(line).buffer(side * 0.11, quad_segs=32, cap_style="flat")
    # Its slanted ends reach beyond the picture, where no pixel could tell of them.
    return band.intersection(box(0, 0, side, side))


def letter(side: float) -> Shape:
    """A letter of stems and bowls, its counters open: an R of straight and round strokes."""
    s = side / 20
    stem = box(4 * s, 2 * s, 7 * s, 18 * s)
    bowl = Point(9 * s, 6.5 * s).buffer(4.5 * s, 48).union(box(4 * s, 2 * s, 9 * s, 11 * s))
    counter = Point(9 * s, 6.5 * s).buffer(1.6 * s, 48).union(box(7 * s, 4.9 * s, 9 * s, 8.1 * s))
    leg = Polygon([(8 * s, 10.5 * s), (11.5 * s, 10.5 * s), (16 * s, 18 * s), (12.3 * s, 18 * s)])
    return stem.union(bowl.difference(counter)).union(leg)


def shapes(side: float) -> Iterator[tuple[str, Shape]]:
    c = side / 2
    yield "disc", Point(c + 0.13, c - 0.21).buffer(side * 0.42, 128)
    yield "ring", Point(c, c).buffer(side * 0.45, 128).difference(Point(c, c).buffer(side * 0.22, 128))
    yield (
        "rounded square",
        box(c - side * 0.27, c - side * 0.27, c + side * 0.27, c + side * 0.27).buffer(side * 0.15, 64),
    )
    yield "turned square", affinity.rotate(box(side * 0.2, side * 0.2, side * 0.8, side * 0.8), 18)
    yield "star", star(side)
    yield "wave", wave(side)
    yield "letter", letter(side)


def sampled(shape: Shape, side: int) -> np.ndarray:
    y, x = np.mgrid[0:side, 0:side] + 0.5
    return shapely.contains_xy(shape, x.ravel(), y.ravel()).reshape(side, side)


def ours(style: str) -> Tracer:
    from pixel2make.geometry.outline import outlines

    def trace(mask: np.ndarray) -> tuple[Shape, int]:
        found = outlines(mask.astype(int), style=style).get(1, MultiPolygon())
        return found, shapely.get_num_coordinates(found)

    return trace


def combined(rings: list[np.ndarray]) -> tuple[Shape, int]:
    """Rings as even-odd area; what a tracer means by nested outlines."""
    area: Shape = Polygon()
    for ring in sorted((Polygon(r).buffer(0) for r in rings if len(r) > 2), key=lambda p: -p.area):
        area = area.symmetric_difference(ring)
    return area, sum(len(r) for r in rings)


def marching_squares(mask: np.ndarray) -> tuple[Shape, int]:
    from skimage.measure import find_contours

    return combined([c[:, ::-1] - 0.5 for c in find_contours(np.pad(mask, 1).astype(float), 0.5)])


def cubic(points: list[np.ndarray], steps: int = 12) -> list[np.ndarray]:
    p0, p1, p2, p3 = points
    t = np.linspace(0, 1, steps + 1)[1:, None]
    return list((1 - t) ** 3 * p0 + 3 * (1 - t) ** 2 * t * p1 + 3 * (1 - t) * t * t * p2 + t**3 * p3)


def bezier_tracer(mask: np.ndarray) -> tuple[Shape, int]:
    import potrace

    rings, nodes = [], 0
    # The package takes a boolean array the other way round, hence the paper's black as False.
    for curve in potrace.Bitmap(~mask).trace(turdsize=0):
        at = np.array([curve.start_point.x, curve.start_point.y])
        ring = [at]
        for part in curve.segments:
            end = np.array([part.end_point.x, part.end_point.y])
            if part.is_corner:
                ring += [np.array([part.c.x, part.c.y]), end]
            else:
                ring += cubic([at, np.array([part.c1.x, part.c1.y]), np.array([part.c2.x, part.c2.y]), end])
            at, nodes = end, nodes + 1
        rings.append(np.array(ring))
    return combined(rings)[0], nodes


def spline_tracer(mask: np.ndarray) -> tuple[Shape, int]:
    import vtracer
    from PIL import Image

    rgba = np.where(mask[..., None], [0, 0, 0, 255], [255, 255, 255, 255]).astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(rgba, "RGBA").save(buffer, "PNG")
    svg = vtracer.convert_raw_image_to_svg(
        buffer.getvalue(), img_format="png", colormode="binary", filter_speckle=0
    )
    rings, nodes = [], 0
    for path in re.finditer(r'd="([^"]+)"[^>]*?(?:transform="translate\(([-\d.]+),([-\d.]+)\)")?/?>', svg):
        shift = np.array([float(path.group(2) or 0), float(path.group(3) or 0)])
        for piece in re.findall(r"M[^M]+", path.group(1)):
            ring, count = svg_ring(piece)
            rings.append(ring + shift)
            nodes += count
    return combined(rings)[0], nodes


def svg_ring(piece: str) -> tuple[np.ndarray, int]:
    """One sub-path of absolute M, L, C commands, flattened."""
    tokens = re.findall(r"[MLCZ]|-?\d*\.?\d+(?:e-?\d+)?", piece)
    numbers: list[float] = []
    ring: list[np.ndarray] = []
    command, nodes, need = "M", 0, {"M": 2, "L": 2, "C": 6}
    for token in tokens:
        if token in "MLCZ":
            command = token
            continue
        numbers.append(float(token))
        if len(numbers) == need[command]:
            points = [np.array(numbers[i : i + 2]) for i in range(0, len(numbers), 2)]
            ring += cubic([ring[-1], *points]) if command == "C" else points
            nodes, numbers = nodes + 1, []
    return np.array(ring), nodes


def enlarged(tracer: Tracer) -> Tracer:
    def trace(mask: np.ndarray) -> tuple[Shape, int]:
        area, nodes = tracer(mask.repeat(ENLARGED, 0).repeat(ENLARGED, 1))
        return affinity.scale(area, 1 / ENLARGED, 1 / ENLARGED, origin=(0, 0)), nodes

    return trace


def tracers() -> dict[str, Tracer]:
    found: dict[str, Tracer] = {f"ours, {style}": ours(style) for style in ("stepped", "straight", "faired")}
    found["scikit-image find_contours"] = marching_squares
    for name, tracer in (("potracer", bezier_tracer), ("vtracer", spline_tracer)):
        try:
            tracer(np.pad(np.ones((4, 4), bool), 2))
        except ImportError:
            print(f"{name} is not installed and is left out", file=sys.stderr)
            continue
        found[name] = tracer
        found[f"{name}, enlarged {ENLARGED}x"] = enlarged(tracer)
    return found


def distance(a: Shape, b: Shape) -> float:
    if a.is_empty:
        return math.inf
    return float(a.boundary.segmentize(0.1).hausdorff_distance(b.boundary.segmentize(0.1)))


def growth() -> None:
    """Processor time for all outlines of overlapping discs, by side of the picture."""
    from pixel2make.geometry.outline import LINE_STYLES, outlines

    circles = np.random.default_rng(5).random((12, 3))
    outlines(np.ones((4, 4), int), style="faired")  # what is imported on first use
    print("| px | " + " | ".join(LINE_STYLES) + " |")
    print("| --- " * (len(LINE_STYLES) + 1) + "|")
    for side in (32, 64, 128, 256):
        y, x = np.mgrid[0:side, 0:side] / side
        labels = np.ones((side, side), int)
        for number, (cx, cy, r) in enumerate(circles, 2):
            labels[np.hypot(x - cx, y - cy) < 0.05 + 0.2 * r] = number
        cells = []
        for style in LINE_STYLES:
            start = time.process_time()
            outlines(labels, style=style)
            cells.append(f"{time.process_time() - start:.3f} s")
        print(f"| {side} | {' | '.join(cells)} |")


def packs() -> None:
    """Processor time for the outlines, masks and stencils of one book, by height of its drawing."""
    from pixel2make import kinds
    from pixel2make.design import dimension
    from pixel2make.pack.masks import masks
    from pixel2make.pack.stencils import stencil_files
    from tests.design.catalogue import CORNERS, EMBLEM, STRAP, book

    print("| px | style | outlines and all of the design | masks | stencils |")
    print("| --- " * 5 + "|")
    for side in (32, 64, 128, 256):
        reading = book(
            EMBLEM,
            STRAP,
            *CORNERS,
            width=(side * 0.6, 0.0),
            height=(0.0, side - 8.0),
            thickness=(side * 0.12, 0.0),
        )
        for style in ("stepped", "straight", "faired"):
            chosen = {"outline": style}
            seconds = [time.process_time()]
            design = dimension(reading, kinds.find("book"), given="height", size_mm=300.0, choices=chosen)
            for step in (masks, stencil_files):
                seconds.append(time.process_time())
                step(design)
            seconds.append(time.process_time())
            cells = [f"{b - a:.3f} s" for a, b in itertools.pairwise(seconds)]
            print(f"| {side} | {style} | {' | '.join(cells)} |", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--growth", action="store_true", help="only the time by size of a map of 13 colours")
    parser.add_argument("--packs", action="store_true", help="only the time of outlines, masks and stencils")
    asked = parser.parse_args()
    if asked.growth or asked.packs:
        (growth if asked.growth else packs)()
        return
    peers = tracers()
    names = [name for name, _ in shapes(20)]
    table: dict[str, dict[str, list[float]]] = {p: {n: [] for n in names} for p in peers}
    faithful: dict[str, list[float]] = {p: [] for p in peers}
    nodes: dict[str, list[float]] = {p: [] for p in peers}
    seconds: dict[str, float] = dict.fromkeys(peers, 0.0)
    for side in SIZES:
        for name, shape in shapes(side):
            mask = sampled(shape, side)
            for peer, tracer in peers.items():
                start = time.perf_counter()
                area, count = tracer(mask)
                seconds[peer] += time.perf_counter() - start
                table[peer][name].append(distance(area, shape))
                faithful[peer].append(float((sampled(area, side) == mask).mean()))
                nodes[peer].append(count)
    print("| tracer | centre-faithful | " + " | ".join(names) + " | all | nodes | s |")
    print("| --- " * (len(names) + 5) + "|")
    for peer in peers:
        cells = [f"{statistics.median(table[peer][n]):.2f}" for n in names]
        whole = [d for n in names for d in table[peer][n]]
        print(
            f"| {peer} | {100 * min(faithful[peer]):.1f} % | {' | '.join(cells)} "
            f"| {statistics.mean(whole):.3f} | {statistics.median(nodes[peer]):.0f} | {seconds[peer]:.2f} |"
        )
    print(
        f"\nDistances: median over {len(SIZES)} sizes, {SIZES[0]} to {SIZES[-1]} px; all: mean. "
        "Centre-faithful: the worst picture."
    )


if __name__ == "__main__":
    main()
