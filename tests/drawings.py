"""Sprites that the tests draw themselves, apart from the demo."""

import numpy as np

COLORS = {
    ".": (0, 0, 0, 0),
    "k": (26, 20, 34, 255),
    "r": (150, 44, 52, 255),
    "R": (176, 62, 62, 255),
    "d": (116, 32, 48, 255),
    "w": (236, 226, 200, 255),
    "W": (214, 198, 166, 255),
    "y": (226, 178, 60, 255),
    "Y": (250, 222, 122, 255),
    "b": (52, 92, 150, 255),
}

FRONT_WITH_EDGE = """\
................
.kkkkkkkkkkkkk..
.kRRRRRRRRRRkwk.
.kRrrrrrrrrrkWk.
.kRryyyyyyrrkwk.
.kRrrrrrrrrrkWk.
.kRrrrrrrrrrkwk.
.kRrrrbbrrrrkWk.
.kRrrbbbbrrYyyk.
.kRrrbbbbrrYyyk.
.kRrrrbbrrrrkWk.
.kRrrrrrrrrrkwk.
.kRrrrrrrrrrkWk.
.kRrrrrrrrrrkwk.
.kRrrrrrrrrrkWk.
.kdddddddddrkwk.
.kkkkkkkkkkkkk..
................
"""
"""A red book from the front: page edge at the right, a gold clasp over it, a blue disc, a gold title."""


def rgba_of(text: str) -> np.ndarray:
    return np.array([[COLORS[c] for c in line] for line in text.splitlines()], np.uint8)
