"""Time and size of a book's metalwork: python -m tests.bench.metalwork [sprite ...]

After the imports and with empty caches: all pieces as solids, bent and turned, and as prints that are laid,
split and joined ("made"); then all files of the metalwork, drawings and text among them ("files").
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from pixel2make import api
from pixel2make.geometry import pieces
from pixel2make.pack.clasp import assembly, clasp_files
from pixel2make.pack.clasp_print import printed_pieces

FORMS = ("hooked_arm", "pin_strap", "folded_slide")
SPRITE = Path(__file__).parents[2] / "demo_sprites" / "saltglass_ledger.png"


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Seconds that it takes, and what it gives."""
    start = time.perf_counter()
    found = work()
    return time.perf_counter() - start, found


def main(sprites: list[str]) -> None:
    print(f"{'sprite':22} {'form':14} {'mm':>5} {'clasps':>6} {'made s':>7} {'files s':>8} {'triangles':>10}")
    for sprite in sprites or [str(SPRITE)]:
        source = api.open_source(sprite)
        for form in FORMS:
            for height in (60, 300, 1000):
                choices = {"clasp_form": form}
                size = ("height", f"{height}mm")
                api.measure(source, size=size, choices=choices)
                for cache in (pieces._bent, pieces._turned):
                    cache.cache_clear()
                design = api.measure(source, size=size, choices=choices)
                for cache in (pieces._bent, pieces._turned):
                    cache.cache_clear()
                made, _ = timed(lambda design=design: (assembly(design), printed_pieces(design)))
                files, _ = timed(lambda design=design: clasp_files(design))
                triangles = sum(len(piece.mesh.faces) for piece in printed_pieces(design))
                print(
                    f"{Path(sprite).stem:22} {form:14} {height:5} {len(design.clasps):6} "
                    f"{made:7.3f} {files:8.3f} {triangles:10}"
                )


if __name__ == "__main__":
    main(sys.argv[1:])
