"""From the bytes of a picture file to the RGBA pixels of one frame.

Colour profiles are not applied: pixel art is drawn in plain sRGB, and a profile would move its few
colours apart. A turn that the file asks for (EXIF orientation) is carried out, as every viewer does.
"""

from __future__ import annotations

import hashlib
import stat
import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from pixel2make.errors import SpriteError

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["FORMATS", "MAX_FILE_BYTES", "MAX_FILE_PIXELS", "MAX_FILE_SIDE_PX", "Frame", "read_frame"]

FORMATS = ("PNG", "GIF", "BMP", "WEBP", "TIFF", "JPEG")
"""Decoders that are let loose on the file; everything else is refused."""

MAX_FILE_BYTES = 16 * 2**20
"""Sprites take a few kilobytes; this leaves room for one that was enlarged 100 times."""
MAX_FILE_SIDE_PX = 8192
MAX_FILE_PIXELS = 2**24
"""64 MiB as RGBA, a quarter of the memory that a whole run may take."""

_DEEP_MODES = ("I", "I;16", "I;16B", "I;16L", "I;16N")
_PNG_DEPTH_AT = 24
"""Byte of a PNG file that holds the bits of a sample (PNG specification, 11.2.2: signature, length, IHDR,
width, height, depth)."""
_SAVE_AGAIN = "save it again as PNG"


@dataclass(frozen=True, eq=False)
class Frame:
    """One frame of a picture file.

    Attributes
    ----------
    rgba : ndarray of shape (H, W, 4), uint8
        File pixels, not premultiplied.
    sha256 : str
        Of the whole file.
    index, count : int
        Which frame this is, from 0, and how many the file has.
    format : str
        A name in FORMATS.
    """

    rgba: NDArray[np.uint8]
    sha256: str
    index: int
    count: int
    format: str


def read_frame(path: Path, frame: int = 0) -> Frame:
    """Read and decode one frame.

    Parameters
    ----------
    path : Path
        PNG, GIF, BMP, WebP, TIFF or JPEG, told by its content, not by its name.
    frame : int
        From 0; for a still picture only 0.

    Raises
    ------
    SpriteError
        The file cannot be read, is over a limit or is no such picture, or there is no such frame.
    """
    content = _content(path)
    rgba, count, name = _decode(content, frame)
    return Frame(rgba, hashlib.sha256(content).hexdigest(), frame, count, name)


def _content(path: Path) -> bytes:
    try:
        mode = path.stat().st_mode
        content = _read(path) if stat.S_ISREG(mode) else None
    except FileNotFoundError as error:
        raise SpriteError("is not there; check the name and the folder") from error
    except (OSError, ValueError) as error:  # ValueError: a name with a null character
        reason = (getattr(error, "strerror", None) or "bad name").lower()
        raise SpriteError(f"cannot be opened ({reason}); check the name and the rights") from error
    if content is None:
        what = "a folder" if stat.S_ISDIR(mode) else "not an ordinary file"
        raise SpriteError(f"is {what}; name a picture file")
    if not content:
        raise SpriteError(f"is empty (0 bytes); {_SAVE_AGAIN}")
    if len(content) > MAX_FILE_BYTES:
        raise SpriteError(
            f"is larger than {MAX_FILE_BYTES // 2**20} MiB; cut the sprite out and save it as PNG"
        )
    return content


def _read(path: Path) -> bytes:
    with path.open("rb") as stream:
        return stream.read(MAX_FILE_BYTES + 1)


def _decode(content: bytes, frame: int) -> tuple[NDArray[np.uint8], int, str]:
    from PIL import Image, ImageOps, UnidentifiedImageError

    with warnings.catch_warnings():
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        warnings.filterwarnings("ignore", module=r"PIL\.")  # odd but harmless metadata
        try:
            with Image.open(BytesIO(content), formats=FORMATS) as image:
                _check_size(*image.size)
                count = int(getattr(image, "n_frames", 1))
                _check_frame(frame, count)
                image.seek(frame)
                image.load()
                if image.format == "PNG":
                    _scale_clear_color(image, depth=content[_PNG_DEPTH_AT])
                return _rgba(ImageOps.exif_transpose(image)), count, str(image.format)
        except SpriteError:
            raise
        except UnidentifiedImageError as error:
            raise SpriteError(
                "is not a picture that can be read; give a PNG, GIF, BMP, WebP, TIFF or JPEG file"
            ) from error
        except (Image.DecompressionBombWarning, Image.DecompressionBombError) as error:
            raise SpriteError(
                f"has far too many pixels; cut the sprite out, at most {MAX_FILE_SIDE_PX} pixels a side"
            ) from error
        except Exception as error:  # decoders raise nearly anything on a damaged file
            reason = " ".join(str(error).split())[:80] or type(error).__name__
            raise SpriteError(f"is damaged or cut short ({reason}); {_SAVE_AGAIN}") from error


def _check_size(width: int, height: int) -> None:
    if max(width, height) > MAX_FILE_SIDE_PX or width * height > MAX_FILE_PIXELS:
        raise SpriteError(
            f"is {width} x {height} pixels; a file may have {MAX_FILE_SIDE_PX} a side and "
            f"{MAX_FILE_PIXELS // 10**6} million in all; cut the sprite out"
        )


def _check_frame(frame: int, count: int) -> None:
    if 0 <= frame < count:
        return
    if count == 1:
        raise SpriteError(f"has no frame {frame}: it is a still picture; leave out --frame")
    raise SpriteError(f"has no frame {frame}; it has {count} frames, give --frame 0 to {count - 1}")


def _scale_clear_color(image: Image, *, depth: int) -> None:
    """Bring the one transparent colour of a PNG to eight bits, as the decoder does with the samples.

    A colour of 16 bits is compared by its upper bytes: what differs only below them turns clear as well.
    """
    clear = image.info.get("transparency")
    if isinstance(clear, int) and image.mode == "L" and depth in (2, 4):
        image.info["transparency"] = clear * 255 // (2**depth - 1)
    elif isinstance(clear, tuple) and image.mode == "RGB" and depth == 16:
        image.info["transparency"] = tuple(sample >> 8 for sample in clear)


def _rgba(image: Image) -> NDArray[np.uint8]:
    """Eight bits a channel; a deep grey picture is scaled, not clipped."""
    if image.mode == "F":
        raise SpriteError("holds floating-point numbers, not colours; save it as PNG with 8 bits a channel")
    if image.mode in _DEEP_MODES:
        return _rgba_of_deep_grey(image)
    return np.array(image.convert("RGBA"), np.uint8)


def _rgba_of_deep_grey(image: Image) -> NDArray[np.uint8]:
    """Divide by 257, since 16-bit white is 65535 = 255 * 257 (PNG specification, 13.12)."""
    deep = np.array(image).astype(np.int64)
    if deep.min() < 0 or deep.max() > 0xFFFF:
        raise SpriteError("has more than 16 bits a channel; save it as PNG with 8 bits a channel")
    grey = ((deep + 128) // 257).astype(np.uint8)
    clear = image.info.get("transparency")
    alpha = (
        np.where(deep == clear, 0, 255).astype(np.uint8)
        if isinstance(clear, int)
        else np.full_like(grey, 255)
    )
    return np.stack([grey, grey, grey, alpha], -1)
