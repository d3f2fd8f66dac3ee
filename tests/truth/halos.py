"""Opaque glow and cast shadow painted round a drawn book, as sprites without half-transparency have them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tests.truth.model import Drawn
from tests.truth.raster import grow, shifted

__all__ = ["HALOS", "with_opaque_halo"]

HALOS = ("offset shadow", "pool", "collar", "flames")
STREAM = 53
"""Keeps the halo's numbers apart from those that the drawing itself is made with."""
ROOM = 6
"""Pixels added on all sides for the halo."""
GLOWS = ((255, 220, 90), (90, 200, 255), (120, 255, 120), (230, 110, 255), (255, 120, 60))
SHADOWS = ((20, 18, 26), (34, 32, 34), (30, 24, 50), (0, 0, 0), (40, 30, 24))


def with_opaque_halo(drawn: Drawn, kind: str) -> Drawn:
    """The same book with a halo of opaque pixels, which are background.

    Parameters
    ----------
    drawn : Drawn
    kind : str
        One of `HALOS`: a shadow that is the book's own outline moved down and sideways, a pool of shadow
        under it, an even rim of light, or flames.
    """
    rng = np.random.default_rng([drawn.seed, drawn.size, HALOS.index(kind), STREAM])
    rgba = np.pad(drawn.rgba, ((ROOM, ROOM), (ROOM, ROOM), (0, 0)))
    features = np.pad(drawn.features, ROOM, constant_values="background")
    faces = np.pad(drawn.faces, ROOM, constant_values="")
    rgba[features == "background"] = 0
    book = features != "background"
    glow, dark = GLOWS[int(rng.integers(len(GLOWS)))], SHADOWS[int(rng.integers(len(SHADOWS)))]
    for mask, rgb in _layers(kind, book, rng, np.array(glow, float), np.array(dark, float)):
        at = mask & (rgba[..., 3] == 0)
        rgba[at, :3], rgba[at, 3] = np.clip(rgb, 0, 255).astype(np.uint8), 255
    box = replace(drawn.box, origin=(drawn.box.origin[0] + ROOM, drawn.box.origin[1] + ROOM))
    return replace(
        drawn, rgba=rgba, features=features, faces=faces, box=box, habits=drawn.habits | {"halo": kind}
    )


def _layers(
    kind: str,
    book: NDArray[np.bool_],
    rng: np.random.Generator,
    glow: NDArray[np.float64],
    dark: NDArray[np.float64],
) -> list[tuple[NDArray[np.bool_], NDArray[np.float64]]]:
    """(mask, colour), innermost first."""
    ys, xs = np.nonzero(book)
    tall = int(ys.max() - ys.min()) + 1
    if kind == "offset shadow":
        down, across = (
            int(rng.integers(1, 2 + tall // 12)),
            int(rng.choice([-1, 1])) * int(rng.integers(1, 4)),
        )
        mask = np.zeros_like(book)
        for i in range(1, max(down, abs(across)) + 1):
            share = i / max(down, abs(across))
            mask |= shifted(book, round(across * share), round(down * share))
        return [(mask, dark)]
    if kind == "pool":
        rows, cols = np.indices(book.shape)
        wide, high = (xs.max() - xs.min()) / 2 + rng.integers(2, 5), max(2.0, tall * rng.uniform(0.12, 0.2))
        x, y = (xs.max() + xs.min()) / 2 + rng.integers(-2, 3), ys.max() - high * rng.uniform(0.0, 0.4)
        return [((((cols - x) / wide) ** 2 + ((rows - y) / high) ** 2) <= 1, dark)]
    rings = []
    mask = book
    if kind == "collar":
        for i in range(int(rng.integers(1, 3))):
            mask = grow(mask)
            rings.append((mask, glow * (1 - 0.25 * i)))
        return rings
    steps = int(rng.integers(3, 5))
    for i in range(steps):
        wider = grow(mask)
        mask = mask | (wider & ((rng.random(book.shape) < 0.62) | (i == 0)))
        rings.append((mask, glow * (1 - 0.2 * i)))
    if rng.random() < 0.5:
        rings.append((grow(mask), dark))
    return rings
