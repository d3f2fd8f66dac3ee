"""Readings of books that the tests draw themselves, from a box and what lies on its faces.

Every pixel whose centre lies on a face of the drawn box belongs to that face, so the truth about each
face is known without any reader.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from skimage.color import rgb2lab

from pixel2make.reading.model import Face, Feature, Patch, Proportions, Reading, Rounding, View
from pixel2make.regions.model import Region, RegionMap
from pixel2make.sprite.model import Sprite

RED, CREAM, GOLD, GREY, BLUE, BROWN = "#96342c", "#ece2c8", "#e2b23c", "#c0c0c0", "#345c96", "#5a3a22"


@dataclass(frozen=True)
class Mark:
    """Something drawn on a face where `inside(a, b)` holds, in face coordinates 0..1."""

    id: str
    face: str
    inside: Callable[[np.ndarray, np.ndarray], np.ndarray]
    color: str

    @property
    def feature(self) -> str:
        return self.id.rsplit("-", 1)[0]


def rectangle(a0, b0, a1, b1):
    return lambda a, b: (a > a0) & (a < a1) & (b > b0) & (b < b1)


def book(
    *marks: Mark,
    width=(20.0, 0.0),
    height=(0.0, 30.0),
    thickness=(4.0, 0.0),
    origin=(3.0, 3.0),
    ratio=None,
    low=None,
    high=None,
    kind="front_with_edges",
    rounding: Rounding | None = None,
    square: Rounding | None = None,
    more: tuple[Proportions, ...] = (),
) -> Reading:
    """A book whose cover and fore-edge are drawn; `thickness` None for a cover alone."""
    width, height, origin = (np.asarray(v, float) for v in (width, height, origin))
    faces = {"cover": (origin, width, height)}
    if thickness is not None:
        faces["fore_edge"] = (origin + width, np.asarray(thickness, float), height)
    ends = np.array([o + i * a + j * b for o, a, b in faces.values() for i in (0, 1) for j in (0, 1)])
    columns, rows = (int(v) + 4 for v in np.ceil(ends.max(axis=0)))
    masks = {name: _inside(name, *vectors, rows, columns, faces) for name, vectors in faces.items()}
    ground = {"cover": Mark("cover-1", "cover", rectangle(-1, -1, 2, 2), RED)}
    ground["fore_edge"] = Mark("page_edge-1", "fore_edge", rectangle(-1, -1, 2, 2), CREAM)
    layers = [ground[name] for name in faces] + list(marks)
    owner = np.zeros((rows, columns), int)
    for number, mark in enumerate(layers, 1):
        a, b = _coordinates(*faces[mark.face], rows, columns)
        owner[masks[mark.face] & mark.inside(a, b)] = number
    return _reading(layers, owner, faces, masks, locals())


def _coordinates(origin, a_px, b_px, rows, columns):
    ys, xs = np.mgrid[0:rows, 0:columns] + 0.5
    on_face = np.linalg.solve(np.array([a_px, b_px]).T, np.stack([xs.ravel(), ys.ravel()]) - origin[:, None])
    return on_face[0].reshape(rows, columns), on_face[1].reshape(rows, columns)


def _inside(name, origin, a_px, b_px, rows, columns, faces):
    a, b = _coordinates(origin, a_px, b_px, rows, columns)
    return (a > 0) & (a < 1) & (b > 0) & (b < 1)


def _reading(layers, owner, faces, masks, given) -> Reading:
    colors = ["#000000", *(layer.color for layer in layers)]
    rgb = np.array([[int(c[i : i + 2], 16) for i in (1, 3, 5)] for c in colors], np.uint8)
    rgba = np.dstack([rgb[owner], np.where(owner > 0, 255, 0).astype(np.uint8)])
    sprite = Sprite("tome.png", "0" * 64, rgba, owner == 0)
    regions, patches, by_id = [], [], {}
    for number, layer in enumerate(layers, 1):
        mask = owner == number
        if not mask.any():
            continue
        ys, xs = np.nonzero(mask)
        lab = tuple(float(v) for v in rgb2lab(rgb[number][None, None] / 255)[0, 0])
        bbox = (int(xs.min()), int(ys.min()), int(xs.max()) + 1, int(ys.max()) + 1)
        regions.append(Region(number, number, False, int(mask.sum()), bbox, lab, layer.color, (layer.color,)))
        patches.append(Patch(f"r{number}", number, layer.face, mask, layer.feature, 0.9))
        by_id.setdefault(layer.id, []).append((f"r{number}", layer.face, mask))
    features = [
        Feature(
            name,
            name.rsplit("-", 1)[0],
            tuple(patch for patch, _, _ in pieces),
            pieces[0][1],
            np.logical_or.reduce([mask for _, _, mask in pieces]),
            0.9,
        )
        for name, pieces in by_id.items()
    ]
    width, height, thickness = given["width"], given["height"], given["thickness"]
    lengths = [float(np.hypot(*v)) if v is not None else 0.0 for v in (width, height, thickness)]
    ratio = given["ratio"] or tuple(v / lengths[1] for v in lengths)
    low = given["low"] or tuple(max(v - 1 / lengths[1], 0.0) if i != 1 else 1.0 for i, v in enumerate(ratio))
    high = given["high"] or tuple(
        (v + 1 / lengths[1] if v else 0.0) if i != 1 else 1.0 for i, v in enumerate(ratio)
    )
    own = Proportions("as_drawn", ratio, low, high, 1.0, "counted along the edges", "sprite")
    view = View(
        given["kind"] if thickness is not None else "front",
        0.9,
        tuple(given["origin"]),
        tuple(width),
        tuple(height),
        None if thickness is None else tuple(float(v) for v in thickness),
    )
    return Reading(
        RegionMap(sprite, owner, tuple(regions)),
        "book",
        view,
        (),
        (own, *given["more"]),
        tuple(
            Face(name, tuple(o), tuple(a), tuple(b), True, masks[name]) for name, (o, a, b) in faces.items()
        ),
        tuple(patches),
        tuple(features),
        corner_rounding=given["rounding"],
        square_px=given["square"],
    )


EMBLEM = Mark("emblem-1", "cover", lambda a, b: (a - 0.45) ** 2 + ((b - 0.5) * 1.5) ** 2 < 0.16**2, GOLD)
TITLE = Mark("title_area-1", "cover", rectangle(0.2, 0.1, 0.8, 0.2), GOLD)
CLASP = (
    Mark("clasp-1", "cover", rectangle(0.85, 0.6, 1, 0.7), GOLD),
    Mark("clasp-1", "fore_edge", rectangle(0, 0.6, 1, 0.7), GOLD),
)
CORNERS = (
    Mark("corner_piece-1", "cover", lambda a, b: (1 - a) + 1.5 * b < 0.2, GREY),
    Mark("corner_piece-2", "cover", lambda a, b: (1 - a) + 1.5 * (1 - b) < 0.2, GREY),
)
STRAP = Mark("strap-1", "cover", rectangle(0.5, 0.3, 1, 0.4), BROWN)
RIBBON = Mark("bookmark-1", "cover", rectangle(0.1, 0.9, 0.2, 1), BLUE)


def plain() -> Reading:
    """Cover 20 x 30 pixels, 4 thick, with emblem, title and clasp."""
    return book(EMBLEM, TITLE, *CLASP)


def furnished(**changes) -> Reading:
    """With everything that the kind knows."""
    return book(EMBLEM, TITLE, *CORNERS, STRAP, RIBBON, *CLASP, **changes)


def front() -> Reading:
    """A cover alone: no thickness is drawn."""
    return book(EMBLEM, thickness=None)


def slanted() -> Reading:
    """A cover lying 2 : 1: width along (2, 1), height along (-2, 1), thickness down."""
    return book(
        EMBLEM,
        TITLE,
        *CLASP,
        width=(40.0, 20.0),
        height=(-60.0, 30.0),
        thickness=(0.0, 12.0),
        origin=(64.0, 4.0),
        ratio=(2 / 3, 1.0, 0.15),
        kind="axonometric",
    )
