"""Processor time and mesh sizes of corner pieces and bosses: python tests/bench/furniture.py [SPRITE]."""

from __future__ import annotations

import sys
import time

from pixel2make import api
from pixel2make.pack.fittings import fitting_files

CHOICES = {"corner_piece": "metal", "emblem": "metal"}


def main() -> None:
    """One line a size."""
    sprite = sys.argv[1] if len(sys.argv) > 1 else "demo_sprites/tidewardens_rule.png"
    reading = api.open_source(sprite).reading
    fitting_files(api.dimension(reading, size_mm=250.0, choices=CHOICES))
    print(f"{'height mm':>9} {'design s':>9} {'files s':>8} {'files':>6} {'triangles':>10}")
    for size in (60.0, 200.0, 400.0, 1000.0):
        start = time.process_time()
        design = api.dimension(reading, size_mm=size, choices=CHOICES)
        made = time.process_time()
        files = fitting_files(design)
        done = time.process_time()
        pieces = [piece for fitting in design.fittings for piece in fitting.print.pieces]
        triangles = sum(len(piece.solid().faces) for piece in pieces)
        print(f"{size:9g} {made - start:9.2f} {done - made:8.2f} {len(files):6} {triangles:10}")


if __name__ == "__main__":
    main()
