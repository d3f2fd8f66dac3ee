"""A drawn book with what a clasp could be mistaken for, or with a clasp that hardly shows.

Spine fittings that wrap round onto the cover, specks of grain near the fore-edge, clasps in a shade of the
cover, and clasps and corner pieces of one metal: the styles draw few of these.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tests.truth.hands import METALS, along_steps
from tests.truth.model import Drawn
from tests.truth.raster import steps

__all__ = ["matched", "speckled", "spine_fitted"]

STREAMS = {"spine_fitted": 73, "speckled": 79, "matched": 83}
"""Keep these numbers apart from those that the drawing itself is made with."""

Mask = NDArray[np.bool_]


def _rng(drawn: Drawn, name: str) -> np.random.Generator:
    return np.random.default_rng([drawn.seed, drawn.size, STREAMS[name]])


def _shades(drawn: Drawn, rng: np.random.Generator) -> NDArray[np.float64]:
    """Dark, middle and light of the corner pieces' metal, else of any."""
    corner = drawn.features == "corner_piece"
    if corner.any():
        base = np.median(drawn.rgba[corner][:, :3], axis=0)
        return np.stack([base * 0.6, base, np.minimum(255, base * 1.25)])
    return np.array(METALS[int(rng.integers(len(METALS)))], float)


def spine_fitted(drawn: Drawn) -> Drawn:
    """The same book with one to three metal bands that wrap from the spine onto the cover.

    They are borders across the spine, and keep that word where they lie on the cover.
    """
    rng = _rng(drawn, "spine_fitted")
    lb, la = steps(drawn.box.v), steps(drawn.box.u)
    # A flat front does not tell its spine from its fore-edge; there this would be a clasp.
    if min(la, lb) < 7 or not np.isin(drawn.faces, ("spine", "fore_edge")).any():
        return drawn
    a, b, _ = along_steps(drawn)
    metal = _shades(drawn, rng)
    count = int(rng.integers(1, 4))
    middles = {1: (0.5,), 2: (0.3, 0.7), 3: (0.2, 0.5, 0.8)}[count]
    tall, wide = max(1.0, round(lb * rng.uniform(0.07, 0.16))), max(1.0, round(la * rng.uniform(0.06, 0.2)))
    rgba, features = drawn.rgba.copy(), drawn.features.copy()
    body = np.isin(drawn.faces, ("cover", "spine")) & np.isin(drawn.features, ("cover", "spine", "border"))
    for middle in middles:
        low = round(middle * lb - tall / 2)
        row = body & (b >= low) & (b < low + tall)
        mask = row & ((drawn.faces == "spine") | (a < wide))
        level = np.where(b < low + 1, 2, np.where((b >= low + tall - 1) & (tall >= 3), 0, 1))
        rgba[mask, :3] = metal[level][mask].astype(np.uint8)
        features[mask] = "border"
    return replace(drawn, rgba=rgba, features=features)


def speckled(drawn: Drawn) -> Drawn:
    """The same book with grain on its cover: specks and short streaks, more of them at the fore-edge."""
    rng = _rng(drawn, "speckled")
    la = max(1.0, steps(drawn.box.u))
    a, _, _ = along_steps(drawn)
    cover = (drawn.features == "cover") & (drawn.faces == "cover")
    base = np.median(drawn.rgba[cover][:, :3], axis=0) if cover.any() else np.zeros(3)
    chance = rng.uniform(0.02, 0.12) * (0.4 + a / la)
    at = cover & (rng.random(cover.shape) < chance)
    if rng.random() < 0.5:
        at |= cover & np.roll(at, (0, 1), (0, 1))
    turn = np.array([rng.uniform(0.6, 1.5) for _ in range(3)])
    rgba = drawn.rgba.copy()
    rgba[at, :3] = np.clip(base * turn, 0, 255).astype(np.uint8)
    return replace(drawn, rgba=rgba)


def matched(drawn: Drawn) -> Drawn:
    """The same book with its clasp in a shade of the cover, or in the metal of its corner pieces."""
    rng = _rng(drawn, "matched")
    clasp, cover = drawn.features == "clasp", drawn.features == "cover"
    if not clasp.any() or not cover.any():
        return drawn
    if (drawn.features == "corner_piece").any() and rng.random() < 0.5:
        metal = _shades(drawn, rng)
    else:
        base = np.median(drawn.rgba[cover][:, :3], axis=0)
        factor = float(rng.choice([0.5, 0.65, 1.35, 1.6]))
        metal = np.stack([base * factor * 0.8, base * factor, base * factor * 1.2])
    light = drawn.rgba[..., :3].astype(float).sum(axis=-1)
    low, high = np.quantile(light[clasp], (0.25, 0.75))
    level = np.where(light <= low, 0, np.where(light >= high, 2, 1))
    rgba = drawn.rgba.copy()
    rgba[clasp, :3] = np.clip(metal[level][clasp], 0, 255).astype(np.uint8)
    return replace(drawn, rgba=rgba)
