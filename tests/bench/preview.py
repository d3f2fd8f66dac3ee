"""Time of the pictures and the proof: python tests/bench/preview.py [SPRITE ...]"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from pixel2make import api

SPRITES = Path(__file__).parents[2] / "demo_sprites"


def main() -> None:
    from pixel2make.pack.model.build import model_of
    from pixel2make.pack.preview.pictures import preview_files
    from pixel2make.pack.proof.picture import proof_files

    paths = [Path(p) for p in sys.argv[1:]] or sorted(SPRITES.glob("*.png"))
    print(f"{'sprite':28} {'model':>8} {'pictures':>9} {'proof':>8}  seconds of one core")
    for path in paths:
        reading = api.interpret(api.segment(api.load_sprite(path)))
        design = api.dimension(reading, size_mm=300.0)
        spent = []
        for make in (model_of, preview_files, proof_files):
            start = time.process_time()
            make(design)
            spent.append(time.process_time() - start)
        print(f"{path.stem:28} {spent[0]:8.2f} {spent[1]:9.2f} {spent[2]:8.2f}")


if __name__ == "__main__":
    main()
