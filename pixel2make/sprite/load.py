"""The sprite stage as a whole: file, part, native grid, background, objects."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pixel2make.errors import SpriteError
from pixel2make.sprite.background import tell_background
from pixel2make.sprite.checkerboard import find_checkerboard
from pixel2make.sprite.decode import read_frame
from pixel2make.sprite.model import Sprite
from pixel2make.sprite.native_grid import Recovery, recover
from pixel2make.sprite.objects import Part, check_one_object, find_parts, several_message
from pixel2make.sprite.part import Box, part_box

__all__ = ["MAX_NATIVE_SIDE_PX", "load_sprite"]

MAX_NATIVE_SIDE_PX = 512
"""A drawing of one item on more native pixels is a painting, and its reading would take minutes."""

PHOTO_SIDE_PX, PHOTO_COLORS = 64, 1024
"""No palette of pixel art is so large; a smaller picture with so many colours may be a sprite that
lossy compression has blurred on its native grid."""
GREY_PHOTO_COLORS, GREY_PHOTO_CHANGES = 128, 0.5
"""A grey photo has at most 256 levels, but few neighbours are alike; pixel art has runs."""


def load_sprite(
    path: str | Path,
    *,
    frame: int = 0,
    region: tuple[int, int, int, int] | None = None,
    cell: tuple[int, int, int, int] | None = None,
) -> Sprite:
    """Read a picture file onto its native pixel grid and tell the object from the background.

    Parameters
    ----------
    path : str or Path
        PNG, GIF, BMP, WebP, TIFF or JPEG.
    frame : int
        Of an animated file, from 0.
    region : (x, y, w, h), optional
        Part of the file to read, in file pixels. Several objects in it are taken as one.
    cell : (w, h, column, row), optional
        One cell of a sheet: its size in file pixels and its place, from 0.

    Returns
    -------
    Sprite
        Native coordinates count from the upper left corner of the part that was read; margins stay.

    Raises
    ------
    SpriteError
        One line that says what is wrong and what to do, without the file's name in front.
    """
    path = Path(path)
    file = read_frame(path, frame)
    height, width = file.rgba.shape[:2]
    box = part_box((width, height), region, cell)
    x, y, w, h = box or (0, 0, width, height)
    picture = file.rgba[y : y + h, x : x + w]
    _check_drawn(picture)
    board = find_checkerboard(picture)
    recovery = recover(picture, board)
    _check_is_drawing(recovery)
    if board is None:
        is_lossy = recovery.is_lossy or file.format == "JPEG"
        background, kind, glow = tell_background(recovery.rgba, is_lossy=is_lossy)
    else:
        background, kind = recovery.to_native(board), "checkerboard"
        glow = np.zeros_like(background)
    parts = find_parts(~background, glow)
    rivals = check_one_object(parts)
    if len(rivals) > 1 and box is None:
        raise SpriteError(several_message([_file_box(part.box, recovery) for part in rivals]))
    return Sprite(
        path.name,
        file.sha256,
        recovery.rgba,
        background,
        kind,
        glow,
        recovery.grid,
        frame,
        box,
        tuple(_notes(recovery, kind, glow, parts, rivals, file.count)),
    )


def _check_drawn(picture: NDArray[np.uint8]) -> None:
    """Refuse what holds no drawing at all, in file pixels."""
    if not picture[:, :, 3].any():
        raise SpriteError(
            "is fully transparent; nothing is drawn in it: name another file, --frame or --region"
        )
    if picture.shape[:2] == (1, 1):
        raise SpriteError("is a single pixel; draw the book at 12 pixels a side or more")
    if (picture == picture[0, 0]).all():
        raise SpriteError("is one colour all over; nothing is drawn in it: name another file or --region")


def _check_is_drawing(recovery: Recovery) -> None:
    """Refuse what is too large, or too rich in colours, to be one sprite."""
    rows, columns = recovery.rgba.shape[:2]
    found = "no pixel grid" if recovery.grid.scale == 1.0 else f"a pixel grid of {recovery.grid.scale:.4g}"
    if max(rows, columns) > MAX_NATIVE_SIDE_PX:
        raise SpriteError(
            f"is {columns} x {rows} native pixels ({found} was found); a sprite has at most "
            f"{MAX_NATIVE_SIDE_PX} a side: cut one out with --region x,y,w,h or --cell W,H,COLUMN,ROW"
        )
    if recovery.grid.scale != 1.0 or min(rows, columns) < PHOTO_SIDE_PX:
        return
    colors = len(np.unique(recovery.rgba.reshape(-1, 4), axis=0))
    if _is_photo(recovery.rgba, colors):
        raise SpriteError(
            f"looks like a photo or a painting: {colors} colours on {columns} x {rows} pixels and {found} "
            "was found; give pixel art, saved as PNG"
        )


def _is_photo(rgba: NDArray[np.uint8], colors: int) -> bool:
    changes = (rgba[:, 1:] != rgba[:, :-1]).any(axis=2).mean()
    return colors > PHOTO_COLORS or (colors > GREY_PHOTO_COLORS and bool(changes > GREY_PHOTO_CHANGES))


def _file_box(box: Box, recovery: Recovery) -> Box:
    """A box of native pixels in file pixels of the part that was read."""
    x, y, w, h = box
    columns, rows = recovery.x_axis.bounds, recovery.y_axis.bounds
    left, top = int(columns[x]), int(rows[y])
    return left, top, int(columns[x + w]) - left, int(rows[y + h]) - top


def _notes(
    recovery: Recovery,
    kind: str,
    glow: NDArray[np.bool_],
    parts: tuple[Part, ...],
    rivals: tuple[Part, ...],
    frames: int,
) -> list[str]:
    notes = []
    if recovery.grid.scale != 1.0:
        notes.append(f"The picture was enlarged {recovery.grid.scale:.4g} times.")
    if frames > 1:
        notes.append(f"The file has {frames} frames; one was read.")
    if kind == "flat":
        notes.append("One flat colour around the object was taken for background.")
    if kind == "none":
        notes.append("No background was found; the object fills the picture.")
    if glow.any():
        notes.append(f"{int(glow.sum())} half-transparent pixels were taken for glow or shadow.")
    if len(rivals) > 1:
        notes.append(f"{len(rivals)} separate objects in the region were taken as one.")
    small = len(parts) - len(rivals)
    if small:
        notes.append(f"{small} small mark{'s' * (small > 1)} apart from the object were kept with it.")
    return notes
