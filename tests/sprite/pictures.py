"""Pictures for the tests of the sprite stage: the demo sprites, enlarged and spoiled in known ways."""

from io import BytesIO
from pathlib import Path

import numpy as np
from PIL import Image

DEMO = Path(__file__).parents[2] / "demo_sprites"
NATIVE_NAMES = ("cullet_primer", "ferry_tally", "furnace_book", "harbour_registry", "tidewardens_rule")
"""Demo sprites that are stored on their native grid: three views, 13 to 44 pixels."""

NEAREST, LINEAR, CUBIC = Image.Resampling.NEAREST, Image.Resampling.BILINEAR, Image.Resampling.BICUBIC


def demo(name: str) -> np.ndarray:
    with Image.open(DEMO / f"{name}.png") as image:
        return np.array(image.convert("RGBA"))


def enlarged(rgba: np.ndarray, scale: float, how: Image.Resampling = NEAREST) -> np.ndarray:
    """As a picture editor does it; sides are rounded to whole pixels."""
    rows, columns = rgba.shape[:2]
    size = (round(columns * scale), round(rows * scale))
    return np.array(Image.fromarray(rgba, "RGBA").resize(size, how))


def padded(rgba: np.ndarray, margin: int = 2) -> np.ndarray:
    return np.pad(rgba, ((margin, margin), (margin, margin), (0, 0)))


def laid_over(rgba: np.ndarray, ground: np.ndarray | tuple[int, int, int]) -> np.ndarray:
    """`rgba` on an opaque ground."""
    below = np.zeros_like(rgba)
    below[:, :, :3] = ground
    below[:, :, 3] = 255
    image = Image.fromarray(below, "RGBA")
    image.alpha_composite(Image.fromarray(rgba, "RGBA"))
    return np.array(image)


def checkerboard(rows: int, columns: int, side: int) -> np.ndarray:
    """White and light grey squares, as viewers show clear pixels."""
    y, x = np.mgrid[:rows, :columns]
    return np.where(((y // side + x // side) % 2)[:, :, None] == 0, 255, 204) * np.ones(3, int)


def jpeg(rgba: np.ndarray, quality: int) -> bytes:
    out = BytesIO()
    Image.fromarray(rgba, "RGBA").convert("RGB").save(out, "JPEG", quality=quality)
    return out.getvalue()


def visible(rgba: np.ndarray) -> np.ndarray:
    """Signed copy in which all clear pixels are one colour."""
    out = rgba.astype(int)
    out[out[:, :, 3] == 0] = 0
    return out
