"""Named sets of drawing habits. Some are for tuning; those in `HELD_OUT` no tuning ever sees."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

__all__ = ["HELD_OUT", "STYLES", "TEST_SEEDS", "TUNE_SEEDS", "TUNING", "Style", "pick"]

TUNE_SEEDS = range(10000)
TEST_SEEDS = range(10000, 1000000)

Odds = dict[str, float]


def pick(rng: np.random.Generator, odds: Odds) -> str:
    """One of the words, by their weights."""
    words = list(odds)
    weights = np.array([odds[w] for w in words], float)
    return words[int(rng.choice(len(words), p=weights / weights.sum()))]


@dataclass(frozen=True)
class Style:
    """How often an artist does what; odds are weights, chances are 0..1, ranges are (low, high)."""

    views: Odds
    poses: Odds
    palettes: Odds
    contour: Odds
    inner: Odds
    textures: Odds
    lights: Odds = field(default_factory=lambda: {"upper_left": 6, "upper_right": 2, "top": 2})
    pages: Odds = field(
        default_factory=lambda: {"cream": 4, "white": 2, "grey": 1, "parchment": 2, "gilt": 0.2}
    )
    page_bands: Odds = field(default_factory=lambda: {"lines": 5, "ends": 2, "flat": 2, "dither": 1})
    metals: Odds = field(default_factory=lambda: {"gold": 6, "silver": 2, "bronze": 1, "iron": 1})
    emblems: Odds = field(
        default_factory=lambda: {"disc": 2, "diamond": 3, "cross": 2, "star": 2, "gem": 2, "ring": 2}
    )
    clasps: Odds = field(default_factory=lambda: {"plate": 3, "studded": 1})
    corner_shapes: Odds = field(default_factory=lambda: {"triangle": 3, "square": 2, "round": 1})
    shades: tuple[int, int] = (3, 5)
    contrast: tuple[float, float] = (0.14, 0.24)
    hue_shift: tuple[float, float] = (5, 30)
    wide_rises: bool = False
    turned: float = 1.5
    two_strips: float = 0.15
    upside_down: float = 0.07
    clean: float = 0.85
    mirror: float = 0.25
    edge_light: float = 0.5
    edge_shade: float = 0.4
    gradient: float = 0.4
    dither: float = 0.2
    rounded: float = 0.45
    squares: float = 0.3
    front_board: float = 0.25
    back_board: float = 0.45
    bulge: float = 0.35
    hinge: float = 0.25
    spine_bands: float = 0.4
    other_spine: float = 0.25
    title: float = 0.4
    panel: float = 0.4
    emblem: float = 0.45
    border: float = 0.25
    corners: float = 0.3
    strap: float = 0.25
    clasp: float = 0.3
    bookmark: float = 0.15
    glow: float = 0.08
    shadow: float = 0.08
    square_contour: float = 0.25
    glint: float = 0.25
    sheen: float = 0.15
    soft_steps: float = 0.1
    ringed: float = 0.15
    spine_title: float = 0.3
    cast: float = 0.0
    bold: float = 0.0
    bevel: float = 0.0
    uneven: float = 0.0
    tone_marks: float = 0.0
    edge_lines: float = 0.0
    ribbon_across: float = 0.0
    mottle: float = 0.0


_ALL_VIEWS = {"front": 1, "front_with_edges": 3, "oblique": 2.5, "axonometric": 3.5}
_ALL_POSES = {"standing": 2, "flat": 2, "tipped": 4}

TUNING: dict[str, Style] = {
    # Small item icons: black line around everything, few shades, tipped on a diagonal.
    "icon": Style(
        views={"front": 0.7, "front_with_edges": 2.5, "oblique": 2, "axonometric": 5},
        poses={"standing": 1, "flat": 2, "tipped": 6},
        palettes={"vivid": 4, "leather": 3, "muted": 2, "extreme": 1},
        contour={"black": 5, "dark": 4, "selective": 1, "lit": 1},
        inner={"line": 4, "shade": 3, "none": 2},
        textures={"none": 6, "speckle": 2},
        shades=(3, 4),
    ),
    # Old leather tomes with straps, clasps and corner pieces, noisy texture, dark local contour.
    "tome": Style(
        views=_ALL_VIEWS,
        poses=_ALL_POSES,
        palettes={"leather": 5, "muted": 3, "extreme": 2},
        contour={"dark": 5, "black": 2, "selective": 2},
        inner={"line": 3, "shade": 4, "none": 1},
        textures={"speckle": 4, "blotch": 3, "none": 2},
        pages={"parchment": 4, "cream": 4, "grey": 1},
        strap=0.5,
        clasp=0.55,
        corners=0.5,
        spine_bands=0.7,
        front_board=0.4,
        back_board=0.65,
        shades=(4, 5),
    ),
    # Clean modern sprites: no contour or a selective one, many shades with hue shift.
    "clean": Style(
        views=_ALL_VIEWS,
        poses={"standing": 3, "flat": 3, "tipped": 2},
        palettes={"vivid": 5, "candy": 3, "extreme": 1},
        contour={"none": 3, "selective": 4, "dark": 3, "lit": 2},
        inner={"none": 4, "shade": 4, "line": 1},
        textures={"none": 5, "blotch": 1},
        shades=(4, 5),
        hue_shift=(20, 50),
        edge_light=0.8,
        gradient=0.7,
    ),
    # Spell books: emblem and border, glow, coloured contour.
    "arcane": Style(
        views=_ALL_VIEWS,
        poses=_ALL_POSES,
        palettes={"vivid": 3, "abyss": 3, "extreme": 2},
        contour={"coloured": 4, "black": 3, "dark": 2},
        inner={"line": 4, "shade": 2, "none": 2},
        textures={"none": 4, "speckle": 2, "blotch": 2},
        emblem=0.8,
        border=0.45,
        corners=0.45,
        glow=0.3,
        title=0.2,
    ),
    # Library books: fronts and spines, title rows, dithering, few fittings.
    "library": Style(
        views={"front": 2, "front_with_edges": 4, "oblique": 3, "axonometric": 2},
        poses={"standing": 5, "flat": 2, "tipped": 1},
        palettes={"muted": 5, "leather": 2, "vivid": 2, "extreme": 1},
        contour={"black": 3, "dark": 4, "none": 1, "selective": 2},
        inner={"line": 3, "shade": 3, "none": 2},
        textures={"none": 4, "speckle": 1},
        title=0.8,
        panel=0.5,
        emblem=0.25,
        strap=0.08,
        clasp=0.08,
        corners=0.1,
        dither=0.5,
        bookmark=0.3,
    ),
    # Few colours: two or three shades a material, strong black line, square corners.
    "retro": Style(
        views=_ALL_VIEWS,
        poses=_ALL_POSES,
        palettes={"vivid": 4, "muted": 2, "extreme": 2, "candy": 1},
        contour={"black": 7, "lit": 1, "none": 1},
        inner={"line": 5, "none": 3},
        textures={"none": 6, "speckle": 1},
        shades=(2, 3),
        square_contour=0.5,
        dither=0.35,
        gradient=0.2,
        soft_steps=0.0,
        glow=0.02,
    ),
    # Bold strokes: a line of two pixels, bevelled boards, spine and pages of unlike breadth at two sides.
    "signboard": Style(
        views={"front": 1.5, "front_with_edges": 4, "oblique": 2, "axonometric": 2},
        poses=_ALL_POSES,
        palettes={"leather": 3, "vivid": 3, "muted": 2, "extreme": 1},
        contour={"black": 4, "dark": 3, "none": 1},
        inner={"line": 2, "shade": 3, "none": 3},
        textures={"none": 4, "speckle": 2, "blotch": 2},
        bold=0.5,
        bevel=0.4,
        uneven=0.5,
        edge_light=0.4,
        other_spine=0.35,
    ),
    # Things that stand on a floor: a dark opaque shadow cast to one side, dark leathers, coarse grain.
    "cellar": Style(
        views={"front": 1.5, "front_with_edges": 3, "oblique": 2.5, "axonometric": 3},
        poses=_ALL_POSES,
        palettes={"leather": 3, "muted": 3, "abyss": 2, "extreme": 2},
        contour={"dark": 3, "black": 3, "none": 2, "selective": 2},
        inner={"line": 2, "shade": 3, "none": 3},
        textures={"speckle": 4, "blotch": 2, "none": 2},
        pages={"parchment": 3, "grey": 3, "cream": 2},
        cast=0.5,
        uneven=0.3,
        shadow=0.0,
        glow=0.0,
        contrast=(0.1, 0.2),
    ),
    # Chapbooks: lettering and emblems in a shade of the cover, several rows, lines along the edges, ribbons
    # laid across; and as many sprinkled, grained or dithered covers without any mark.
    "chapbook": Style(
        views=_ALL_VIEWS,
        poses=_ALL_POSES,
        palettes={"vivid": 3, "leather": 3, "muted": 2, "extreme": 3, "candy": 1},
        contour={"black": 4, "dark": 4, "none": 1, "selective": 1},
        inner={"line": 3, "shade": 3, "none": 2},
        textures={"none": 4, "speckle": 2, "blotch": 2, "grain": 3},
        tone_marks=0.5,
        edge_lines=0.14,
        ribbon_across=0.3,
        mottle=0.25,
        gradient=0.5,
        title=0.0,
        emblem=0.08,
        border=0.08,
        corners=0.2,
        strap=0.1,
        clasp=0.15,
        glow=0.0,
        shadow=0.0,
    ),
}

HELD_OUT_STYLES: dict[str, Style] = {
    # Gloomy hues, hue-shifted coloured contour, steep slopes, woven texture, hooked clasps.
    "drowned": Style(
        views={"front": 0.8, "front_with_edges": 2.5, "oblique": 2.5, "axonometric": 4},
        poses={"standing": 2, "flat": 1, "tipped": 4},
        palettes={"abyss": 5, "muted": 1},
        contour={"shifted": 6, "selective": 2},
        inner={"line": 3, "shade": 3, "none": 2},
        textures={"weave": 3, "scales": 3, "none": 2},
        pages={"bluish": 3, "grey": 2, "parchment": 1},
        metals={"copper": 3, "brass": 3, "iron": 2},
        emblems={"eye": 3, "wave": 2, "gem": 1, "bars": 2},
        clasps={"hook": 3, "buckle": 3},
        corner_shapes={"bracket": 3, "round": 2},
        wide_rises=True,
        mirror=0.4,
        strap=0.4,
        clasp=0.45,
        corners=0.4,
    ),
    # Sweet-shop colours, light lines, seen from the other side, big rounded corners.
    "fair": Style(
        views={"front": 1, "front_with_edges": 3, "oblique": 3, "axonometric": 3},
        poses={"standing": 2, "flat": 3, "tipped": 3},
        palettes={"candy": 5, "extreme": 2},
        contour={"shifted": 3, "dark": 2, "none": 2},
        inner={"none": 3, "shade": 3, "line": 1},
        textures={"none": 3, "scales": 1, "stripes": 2},
        pages={"white": 2, "pinkish": 3, "bluish": 1},
        metals={"brass": 3, "silver": 3, "copper": 1},
        emblems={"heart": 3, "star": 1, "bars": 2, "eye": 1},
        clasps={"buckle": 3, "plate": 1},
        corner_shapes={"round": 3, "bracket": 1},
        lights={"upper_right": 5, "top": 3, "upper_left": 2},
        wide_rises=True,
        mirror=0.5,
        rounded=0.8,
        contrast=(0.08, 0.16),
        hue_shift=(25, 60),
    ),
    # Four shades of one hue for everything, steep and upside-down turns, dithering.
    "quartet": Style(
        views={"front": 1, "front_with_edges": 2.5, "oblique": 3, "axonometric": 4},
        poses={"standing": 2, "flat": 2, "tipped": 4},
        palettes={"quartet": 1},
        contour={"black": 5, "none": 1},
        inner={"line": 4, "none": 2},
        textures={"none": 5, "weave": 1, "stripes": 1},
        emblems={"eye": 2, "heart": 1, "wave": 1, "ring": 1, "cross": 1},
        clasps={"hook": 1, "buckle": 2},
        corner_shapes={"bracket": 1, "triangle": 1},
        lights={"upper_right": 3, "upper_left": 3, "top": 1},
        wide_rises=True,
        upside_down=0.25,
        mirror=0.4,
        dither=0.5,
        gradient=0.6,
        soft_steps=0.0,
        glow=0.0,
        shadow=0.0,
    ),
    # Woodcut: thick coloured lines or none, shadows that fall on a table, bevelled boards, striped grain.
    "woodcut": Style(
        views={"front": 1.5, "front_with_edges": 3.5, "oblique": 2.5, "axonometric": 3},
        poses={"standing": 2, "flat": 2, "tipped": 3},
        palettes={"muted": 3, "candy": 1, "abyss": 2},
        contour={"shifted": 4, "lit": 2, "none": 2},
        inner={"shade": 3, "line": 2, "none": 2},
        textures={"stripes": 3, "weave": 1, "none": 3},
        pages={"pinkish": 1, "parchment": 3, "grey": 2},
        metals={"copper": 2, "iron": 2, "silver": 1},
        emblems={"wave": 1, "heart": 1, "eye": 2, "bars": 2},
        clasps={"hook": 2, "plate": 1, "buckle": 1},
        corner_shapes={"bracket": 2, "square": 1},
        lights={"upper_right": 2, "top": 2, "upper_left": 4},
        wide_rises=True,
        mirror=0.3,
        cast=0.3,
        bold=0.35,
        bevel=0.3,
        uneven=0.4,
        shadow=0.0,
    ),
}
HELD_OUT = tuple(HELD_OUT_STYLES)
STYLES = TUNING | HELD_OUT_STYLES
