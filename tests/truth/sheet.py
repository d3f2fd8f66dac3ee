"""Contact sheets of drawn books, to look at: ``python tests/truth/sheet.py --style tome -o sheet.png``."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

GROUND = (92, 96, 104)


def tile(rgba: np.ndarray, side: int, scale: int) -> np.ndarray:
    """One sprite, enlarged, in the middle of a square of `side` native pixels."""
    out = np.full((side, side, 3), GROUND, np.uint8)
    rows, cols = min(side, rgba.shape[0]), min(side, rgba.shape[1])
    y, x = (side - rows) // 2, (side - cols) // 2
    part = rgba[:rows, :cols]
    alpha = part[..., 3:].astype(float) / 255
    out[y : y + rows, x : x + cols] = part[..., :3] * alpha + np.array(GROUND) * (1 - alpha)
    return out.repeat(scale, 0).repeat(scale, 1)


def main() -> None:
    from PIL import Image

    from tests.truth.books import STYLES, make

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--style", choices=sorted(STYLES), default="icon")
    parser.add_argument("--size", type=int, default=16)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--columns", type=int, default=10)
    parser.add_argument("--rows", type=int, default=6)
    parser.add_argument("--scale", type=int, default=8)
    parser.add_argument("-o", "--output", required=True)
    args = parser.parse_args()
    tiles = []
    for i in range(args.columns * args.rows):
        tiles.append(tile(make(args.seed + i, args.style, args.size).rgba, args.size + 6, args.scale))
    rows = [np.concatenate(tiles[i : i + args.columns], 1) for i in range(0, len(tiles), args.columns)]
    Image.fromarray(np.concatenate(rows, 0)).save(args.output)


if __name__ == "__main__":
    main()
