"""Frames of the animations, what they draw, and whether they flash."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pixel2make import trade
from pixel2make.design.light.engine import MODES, Light
from pixel2make.design.light.model import Rgb

__all__ = [
    "MODES",
    "flashes_a_second",
    "frame_currents_ma",
    "frames",
    "gamma_table",
    "light_of",
    "wave_table",
]

Frames = NDArray[np.uint8]


@lru_cache
def wave_table() -> bytes:
    """One raised cosine in 256 steps, 0 to 255 and back."""
    return bytes(round(255 * (1 - math.cos(2 * math.pi * k / 256)) / 2) for k in range(256))


@lru_cache
def gamma_table(exponent: float) -> bytes:
    """round(255 (v / 255)^exponent) for v of 0..255.

    >>> [gamma_table(g)[128] for g in (2.2, 2.6, 2.8)]
    [56, 42, 37]
    """
    return bytes(round(255 * (v / 255) ** exponent) for v in range(256))


def periods(rate: float) -> dict[str, int]:
    """Frames of each animation's period at a frame rate."""
    seconds = trade.value("light.animation").value
    return {
        "band": max(2, round(seconds["band_s"] * rate)),
        "fade": max(2, round(seconds["fade_s"] * rate)),
        "breath": max(2, round(seconds["breathing_s"] * rate)),
        "candle": max(2, round(seconds["candle_s"] * rate)),
    }


def light_of(count: int, colors: Sequence[Rgb], cap: int, rate: float) -> Light:
    """The engine with the trade's periods and gamma."""
    gamma = gamma_table(trade.value("light.gamma").number)
    return Light(count, tuple(colors), wave_table(), gamma, cap, **periods(rate))


def frames(light: Light, mode: str, count: int, first: int = 0) -> Frames:
    """Frames of one animation, shape (count, LEDs, 3): red, green, blue as sent."""
    index = MODES.index(mode)
    shown = [bytes(light.frame(index, n)) for n in range(first, first + count)]
    return np.frombuffer(b"".join(shown), np.uint8).reshape(count, light.count, 3)


def frame_currents_ma(shown: Frames, *, led_ma: float, dark_ma: float) -> NDArray[np.float64]:
    """Current of the strip in each frame: each channel draws a third of full white, in proportion."""
    lit = shown.astype(float).sum(axis=(1, 2)) / (3 * 255) * led_ma
    return np.asarray(lit + dark_ma * shown.shape[1])


def flashes_a_second(shown: Frames, rate: float, *, full: int = 255) -> int:
    """Most flashes in any one second, of any LED or of the strip as a whole, after WCAG 2.x 2.3.1.

    A general flash is a pair of opposing changes of relative luminance of a tenth of full or more, the
    darker state below 0.8; a red flash is a pair of opposing changes of (R - G - B) x 320 above 20 to or
    from a saturated red. LEDs are dimmed by the share of time they are on, so what is sent is linear light.

    Parameters
    ----------
    shown : ndarray of shape (F, N, 3), uint8
    rate : float
        Frames a second.
    full : int
        What counts as full light; the program's cap makes the test the stricter.
    """
    whole = shown.astype(float).mean(axis=1, keepdims=True)
    linear = np.concatenate([shown.astype(float), whole], axis=1) / full
    red = trade.value("light.flash.red").value
    luminance = linear @ np.array([0.2126, 0.7152, 0.0722])
    total = linear.sum(axis=2)
    is_red = linear[..., 0] >= red["share"] * np.maximum(total, 1e-9)
    redness = np.maximum(0.0, (linear[..., 0] - linear[..., 1] - linear[..., 2]) * red["factor"])
    change = trade.value("light.flash.change").number
    dark = trade.value("light.flash.darker_below").number
    window = math.ceil(rate)
    worst = 0
    for led in range(linear.shape[1]):
        general = _turns(luminance[:, led], change, dark)
        reddish = _turns(redness[:, led], red["change"], math.inf)
        reddish = [n for n in reddish if is_red[max(0, n - window) : n + 1, led].any()]
        worst = max(worst, _most_pairs(general, window), _most_pairs(reddish, window))
    return worst


def _turns(series: NDArray[np.float64], change: float, dark: float) -> list[int]:
    """Frames at which a change of at least `change` against the one before is complete, up and down in turn.

    A change counts where its darker end lies below `dark`.
    """
    found: list[int] = []
    low = high = float(series[0])
    way = 0
    for n, value in enumerate(series.tolist()):
        low, high = min(low, value), max(high, value)
        if way <= 0 and value - low >= change and low < dark:
            found.append(n)
            way, high = 1, value
        elif way >= 0 and high - value >= change and value < dark:
            found.append(n)
            way, low = -1, value
    return found


def _most_pairs(turns: Sequence[int], window: int) -> int:
    """Pairs of opposing changes in the fullest window; the first of each pair may lie before it."""
    most = 0
    for i, start in enumerate(turns):
        inside = sum(1 for n in turns[i:] if n < start + window)
        most = max(most, (inside + 1) // 2)
    return most
