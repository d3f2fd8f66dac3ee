"""View to faces: which pixels show which face, what the hidden ones look like, and the squares."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import FACES, Face, Rounding, View
from pixel2make.regions.model import RegionMap

__all__ = ["find_faces", "rectify", "squares", "visible_sides"]

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

FLAT = 1e-6
"""A face whose drawn area is below this (px^2) is seen edge on."""

EDGE_ON_PX = 1e-3
"""A side face less broad than this is seen edge on."""

NUDGE = (1.3e-6, 2.1e-6)
"""Moves pixel centres off the edges, so that a centre on an edge belongs to one face only."""


def find_faces(view: View, regions: RegionMap) -> tuple[Face, ...]:
    """All six faces of the drawn box, in the order of `FACES`.

    Parameters
    ----------
    view : View
    regions : RegionMap

    Returns
    -------
    tuple of Face
        Every object pixel that is not contour lies in exactly one mask: the face it is drawn on, or the
        nearest face for what sticks out. Ties go to the first face in the order of `FACES`. A hidden face
        is the parallel move of its visible opposite and has an empty mask.
    """
    shape = regions.labels.shape
    boxes = _placed(view)
    visible = visible_sides(view)
    distance = np.stack(
        [_distance(boxes[name], shape) if name in visible else np.full(shape, np.inf) for name in FACES]
    )
    owner = distance.argmin(axis=0)
    body = regions.sprite.object & ~regions.contour
    out = []
    for i, name in enumerate(FACES):
        mask = body & (owner == i) & (name in visible)
        mask.flags.writeable = False
        origin, a, b = boxes[name]
        out.append(Face(name, _pair(origin), _pair(a), _pair(b), name in visible, mask))
    return tuple(out)


def _pair(vector: Floats) -> tuple[float, float]:
    return float(vector[0]), float(vector[1])


def _placed(view: View) -> dict[str, tuple[Floats, Floats, Floats]]:
    """Origin and edges of the six faces; a face drawn as the second strip has that strip's breadth."""
    o, u, v = (np.array(p, float) for p in (view.origin_px, view.width_px, view.height_px))
    t = np.array(view.thickness_px or (0.0, 0.0), float)
    second = _shown_by(view, view.strip_px)
    depth = {name: np.array(view.strip_px, float) if name in second else t for name in FACES}
    return {
        "cover": (o, u, v),
        "spine": (o, depth["spine"], v),
        "fore_edge": (o + u, depth["fore_edge"], v),
        "head": (o, u, depth["head"]),
        "tail": (o + v, u, depth["tail"]),
        "back": (o + t, u, v),
    }


def _cross(one: Floats, two: Floats) -> float:
    return float(one[0] * two[1] - one[1] * two[0])


def _shown_by(view: View, thickness: tuple[float, float] | None) -> tuple[str, ...]:
    """Names of the side faces that a thickness vector shows beside the cover."""
    if thickness is None:
        return ()
    u, v, t = (np.array(p, float) for p in (view.width_px, view.height_px, thickness))
    area = _cross(u, v)
    # t = a u + b v in the picture: the back cover peeks out where a and b point.
    a, b = _cross(t, v) / area, _cross(u, t) / area
    names = []
    if abs(a) * np.hypot(*u) > EDGE_ON_PX:
        names.append("fore_edge" if a > 0 else "spine")
    if abs(b) * np.hypot(*v) > EDGE_ON_PX:
        names.append("tail" if b > 0 else "head")
    return tuple(names)


def visible_sides(view: View) -> tuple[str, ...]:
    """Names of the faces that the drawing shows."""
    return ("cover", *_shown_by(view, view.thickness_px), *_shown_by(view, view.strip_px))


def _distance(face: tuple[Floats, Floats, Floats], shape: tuple[int, ...]) -> Floats:
    """Distance in pixels of each pixel centre from a parallelogram; 0 inside."""
    origin, a, b = face
    rows, cols = shape
    ys, xs = np.mgrid[0:rows, 0:cols]
    points = np.stack([xs + 0.5 + NUDGE[0], ys + 0.5 + NUDGE[1]], axis=-1) - origin
    if abs(_cross(a, b)) <= FLAT:
        return np.full((rows, cols), np.inf)
    local = points @ np.linalg.inv(np.stack([a, b]))
    inside = ((local >= 0) & (local < 1)).all(axis=-1)
    corners = [np.zeros(2), a, a + b, b]
    off = [_to_segment(points, corners[i], corners[(i + 1) % 4]) for i in range(4)]
    return np.where(inside, 0.0, np.maximum(np.min(off, axis=0), 1e-9))


def _to_segment(points: Floats, start: Floats, stop: Floats) -> Floats:
    way = stop - start
    along = np.clip((points - start) @ way / (way @ way), 0, 1)
    off = points - start - along[..., None] * way
    return np.asarray(np.hypot(off[..., 0], off[..., 1]))


def rectify(face: Face, rgba: NDArray[np.uint8], px_per_unit: float) -> NDArray[np.uint8]:
    """The face as seen face on.

    Parameters
    ----------
    face : Face
    rgba : ndarray of shape (M, N, 4), uint8
        The sprite's native pixels.
    px_per_unit : float
        Pixels of the result for one drawn pixel of the face's edges.

    Returns
    -------
    ndarray of shape (round(|b| * px_per_unit), round(|a| * px_per_unit), 4), uint8
        Edge a runs right, edge b down; nearest neighbour; transparent where the picture ends or the
        face is hidden or seen edge on. At least one pixel each way.
    """
    a, b = np.array(face.a_px, float), np.array(face.b_px, float)
    cols, rows = (max(1, round(float(np.hypot(*e)) * px_per_unit)) for e in (a, b))
    out = np.zeros((rows, cols, 4), np.uint8)
    if not face.is_visible or abs(_cross(a, b)) <= FLAT:
        return out
    ys, xs = np.mgrid[0:rows, 0:cols]
    places = np.stack([(xs.ravel() + 0.5) / cols, (ys.ravel() + 0.5) / rows], axis=1)
    at = np.floor(face.to_picture(places)).astype(int)
    height, width = rgba.shape[:2]
    good = (at >= 0).all(axis=1) & (at[:, 0] < width) & (at[:, 1] < height)
    flat = out.reshape(-1, 4)
    flat[good] = rgba[at[good, 1], at[good, 0]]
    return out


def squares(view: View, regions: RegionMap, faces: tuple[Face, ...]) -> Rounding | None:
    """How far the cover overhangs the pages, from the ends of a page face that are not drawn.

    Parameters
    ----------
    view : View
    regions : RegionMap
    faces : tuple of Face

    Returns
    -------
    Rounding or None
        In native pixels; None where no page face is drawn with a free end.
    """
    body = regions.sprite.object & ~regions.contour
    visible = visible_sides(view)
    insets = [
        inset
        for face in faces
        if face.is_visible and face.name in _PAGE_ENDS
        for is_far, beyond in _PAGE_ENDS[face.name]
        if beyond not in visible
        if (inset := _inset(face, body, is_far=is_far)) is not None
    ]
    if not insets:
        return None
    value = round(float(np.mean(insets)), 2)
    why = f"The pages stay {value:g} px behind the covers where their ends lie free."
    return Rounding(value, max(0.0, value - FREE_END_PX), value + FREE_END_PX, why)


_PAGE_ENDS = {
    "fore_edge": ((False, "head"), (True, "tail")),
    "head": ((True, "fore_edge"),),
    "tail": ((True, "fore_edge"),),
}
"""Ends of the page faces along the cover (False at the face's origin) and the face beyond each."""

FREE_END_PX = 1.0
"""A length between two free ends is known to a pixel either way, common practice."""


def _inset(face: Face, body: Mask, *, is_far: bool) -> float | None:
    """Mean length of the face's edge that is not drawn at one end; None where it is too narrow to tell."""
    a, b = np.array(face.a_px, float), np.array(face.b_px, float)
    along, deep = (b, a) if face.name == "fore_edge" else (a, b)
    breadth = abs(_cross(along, deep)) / float(np.hypot(*along))
    if breadth < LEAST_STRIP_PX:
        return None
    rows, cols = body.shape
    ys, xs = np.mgrid[0:rows, 0:cols]
    local = face.to_face(np.stack([xs.ravel() + 0.5 + NUDGE[0], ys.ravel() + 0.5 + NUDGE[1]], axis=1))
    place = local[:, 1 if face.name == "fore_edge" else 0].reshape(rows, cols)
    inside = ((local >= 0) & (local < 1)).all(axis=1).reshape(rows, cols)
    half = place >= 0.5 if is_far else place < 0.5
    lost = float((inside & half & ~body).sum())
    # Lost pixels fill a strip as broad as the face, square to its edge.
    return lost / breadth


LEAST_STRIP_PX = 1.5
"""On a narrower face a single pixel of a rounded corner would pass for a square."""
