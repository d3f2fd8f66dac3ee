"""Regions cut along the faces of the drawn box: the patches that a plan names."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import srgb_to_lab
from pixel2make.reading.figures import figures
from pixel2make.reading.framed import frame_line
from pixel2make.reading.marks import marks
from pixel2make.reading.model import Face, Patch, View
from pixel2make.reading.other_half import with_other_halves
from pixel2make.reading.strap_ends import Strip, strap_ends, strips
from pixel2make.reading.tabs import lumps, medallions, tabs
from pixel2make.regions.model import Region, RegionMap

__all__ = ["BACKGROUND", "Scene", "grown", "is_ground", "split"]

BACKGROUND = "r0"
"""Name of the patch of all pixels where no object is drawn."""

_OFF = "off"
"""Suffix of a patch that lies on no face, where its region also lies on one."""

_FLAT = 1e-6
"""A face with less drawn area than this (px^2) is seen edge on."""
_STICKS_OUT_PX = 1.0
"""What lies further than this past the head or the tail is no part of a face; within it, the drawn edge
may be meant."""

_SPILL_OF_PIECE = 0.25
_SPILL_OF_FACE = 0.2
"""A piece spills over a face's border where it is one pixel thin and not more than these shares of the
region's main piece and of the face it spills onto: a drawn edge is known to a pixel, but a strip that
fills its face, such as a spine one pixel wide, is no spill."""

_TABBED = ("cover", "fore_edge")
"""Faces on which a clasp may be drawn in shades of the ground."""
_FIGURED = ("cover",)
"""Faces on which a frame or a band may be drawn in a shade of the ground."""

_STRETCH_BESIDE = 0.2
"""A stretch of a frame's line has no more than this share of its pixels beside the line."""
_FRAME_LEFT = 0.7
"""A strap of one colour crosses a frame twice and takes a tenth of its line; what has lost more is drawn
already."""

Mask = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Scene:
    """What the patches of one sprite are judged from.

    Attributes
    ----------
    regions : RegionMap
    view : View
    faces : tuple of Face
    patches : tuple of Patch
        All but the background; their features are not told yet.
    """

    regions: RegionMap
    view: View
    faces: tuple[Face, ...]
    patches: tuple[Patch, ...]

    def face(self, name: str) -> Face:
        """The face of that name."""
        return next(face for face in self.faces if face.name == name)

    def region(self, patch: Patch) -> Region:
        """The region that a patch was cut from."""
        return self.regions.regions[patch.region - 1]

    @cached_property
    def labs(self) -> NDArray[np.float64]:
        """CIELAB of every patch, shape (N, 3): of a figure that was drawn apart from its ground and of a
        small part of a region its own middle shade, of all others their region's."""
        rgba = self.regions.sprite.rgba
        out = np.zeros((len(self.patches), 3))
        for number, patch in enumerate(self.patches):
            out[number] = self.region(patch).lab
            is_small = 2 * int(patch.mask.sum()) < self.region(patch).area_px
            if is_small or patch.name.rsplit(".", 1)[-1].isdigit():
                own = srgb_to_lab(rgba[patch.mask][:, :3])
                # Of the pixels in order of lightness the middle one: a colour that is there.
                out[number] = own[np.argsort(own[:, 0], kind="stable")[len(own) // 2]]
        return out

    @cached_property
    def index(self) -> NDArray[np.int64]:
        """Number of the patch of every pixel, shape (M, N); -1 for the background."""
        out = np.full(self.regions.sprite.shape, -1, np.int64)
        for number, patch in enumerate(self.patches):
            out[patch.mask] = number
        return out


def is_ground(patch: Patch) -> bool:
    """True for the background, and for opaque glow and shadow unless a plan says what they are."""
    return patch.region == 0 and patch.name.split(".")[0] == BACKGROUND


def grown(mask: Mask) -> Mask:
    """`mask` and the pixels that share an edge with it."""
    out = mask.copy()
    out[1:] |= mask[:-1]
    out[:-1] |= mask[1:]
    out[:, 1:] |= mask[:, :-1]
    out[:, :-1] |= mask[:, 1:]
    return out


def split(
    regions: RegionMap, faces: Sequence[Face], boxes: Sequence[tuple[int, int, int, int, str]] = ()
) -> tuple[Patch, ...]:
    """Cut every region along the faces of the drawn box.

    Parameters
    ----------
    regions : RegionMap
    faces : sequence of Face
        Their masks do not overlap.
    boxes : sequence of (x, y, w, h, feature)
        Pixels that become patches of their own, "box1", "box2" ...; of two boxes the later one keeps
        the pixels that both hold.

    Returns
    -------
    tuple of Patch
        "r0" first (the background), then "r0.glow" and "r0.shadow" where they are opaque; then region by
        region in the order of the faces, then the boxes. A
        region on one face is "r7", its parts on several are "r7.cover", "r7.spine", "r7.off" (on none); a
        frame, band or lettering in a shade of the region is "r7.cover.2", "r7.cover.3" and so on.
        They cover every pixel exactly once; the features are not told yet, but for the boxes.
    """
    beyond = _beyond(faces, regions.sprite.shape)
    cut = tuple(replace(face, mask=face.mask & ~beyond) for face in faces)
    owner = np.zeros(regions.sprite.shape, np.int64)
    for number, (x, y, w, h, _) in enumerate(boxes, 1):
        owner[y : y + h, x : x + w] = number
    free = owner == 0
    ground = (regions.labels == 0) & free
    halos = _halos(regions, ground)
    bare = ground & ~np.logical_or.reduce([p.mask for p in halos]) if halos else ground
    found = [_patch(BACKGROUND, 0, None, bare, "background"), *halos]
    rgb = regions.sprite.rgba[..., :3]
    lab = srgb_to_lab(rgb)
    figured = [face for face in cut if face.name in _FIGURED]
    frames = {face.name: frame_line(face, lab) for face in figured}
    bands = {face.name: strips(regions, face) for face in figured}
    drawing = _Drawing(rgb, lab, frames, bands)
    for region in regions.regions:
        found += _pieces(region, regions.mask(region.id) & free, cut, drawing)
    contours = frozenset(region.id for region in regions.regions if region.is_contour)
    found = with_other_halves(found, cut, lab, contours)
    for number, box in enumerate(boxes, 1):
        mask = owner == number
        found.append(_patch(f"box{number}", _main(regions.labels, mask), _face_of(mask, cut), mask, box[4]))
    return tuple(patch for patch in found if patch.mask.any() or patch.name == BACKGROUND)


def _halos(regions: RegionMap, ground: Mask) -> list[Patch]:
    """A patch for each opaque glow or shadow."""
    out: list[Patch] = []
    for halo in regions.halo:
        name = f"{BACKGROUND}.{halo.kind}"
        again = sum(patch.name.startswith(name) for patch in out)
        name = f"{name}.{again + 1}" if again else name
        out.append(_patch(name, 0, None, halo.mask & ground, "background"))
    return out


def _beyond(faces: Sequence[Face], shape: tuple[int, int]) -> Mask:
    """Pixels that stick out of the box past its head or tail, such as a ribbon; shape (M, N)."""
    cover = next((face for face in faces if face.name == "cover"), None)
    if cover is None or abs(cover.a_px[0] * cover.b_px[1] - cover.a_px[1] * cover.b_px[0]) < _FLAT:
        return np.zeros(shape, bool)
    corners = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    shown = [face for face in faces if face.is_visible or face.name == "cover"]
    ends = [cover.to_face(face.to_picture(corners))[:, 1] for face in shown]
    margin = _STICKS_OUT_PX / max(abs(cover.b_px[0]), abs(cover.b_px[1]))
    ys, xs = np.indices(shape)
    along = cover.to_face(np.stack([xs.ravel() + 0.5, ys.ravel() + 0.5], 1))[:, 1].reshape(shape)
    return np.asarray((along < np.min(ends) - margin) | (along > np.max(ends) + margin))


def _patch(name: str, region: int, face: str | None, mask: Mask, feature: str = "") -> Patch:
    mask = mask.copy()
    mask.flags.writeable = False
    return Patch(name, region, face, mask, feature, 0.0)


def _main(labels: NDArray[np.int32], mask: Mask) -> int:
    """The label that most pixels of a mask have, of equals the smallest; 0 for an empty one."""
    return int(np.bincount(labels[mask]).argmax()) if mask.any() else 0


def _face_of(mask: Mask, faces: Sequence[Face]) -> str | None:
    """The face that holds most of a mask, None where that is none."""
    counts = [int((face.mask & mask).sum()) for face in faces] or [0]
    best = int(np.array(counts).argmax())
    return faces[best].name if counts[best] else None


@dataclass(frozen=True, eq=False)
class _Drawing:
    """What all regions are looked at against: colours, and each face's frame and straps by its name.

    ``rgb`` (M, N, 3) uint8; ``lab`` (M, N, 3).
    """

    rgb: NDArray[np.uint8]
    lab: NDArray[np.float64]
    frames: Mapping[str, Mask | None]
    bands: Mapping[str, tuple[Strip, ...]]


def _pieces(region: Region, mask: Mask, faces: Sequence[Face], drawing: _Drawing) -> Iterator[Patch]:
    if region.is_contour:
        yield _patch(f"r{region.id}", region.id, None, mask)
        return
    pieces: dict[str | None, Mask] = {face.name: mask & face.mask for face in faces}
    pieces[None] = mask & ~np.logical_or.reduce([face.mask for face in faces])
    pieces = {name: piece for name, piece in pieces.items() if piece.any()}
    pieces = _absorbed(pieces, {face.name: int(face.mask.sum()) for face in faces})
    by_name = {face.name: face for face in faces}
    for name, piece in pieces.items():
        drawn = _drawn_apart(piece, by_name.get(name or ""), drawing)
        is_whole = len(pieces) == 1 and not drawn
        own = f"r{region.id}" if is_whole else f"r{region.id}.{name or _OFF}"
        for number, part in enumerate(drawn, 2):
            yield _patch(f"r{region.id}.{name}.{number}", region.id, name, part)
            piece = piece & ~part
        yield _patch(own, region.id, name, piece)


def _drawn_apart(piece: Mask, face: Face | None, drawing: _Drawing) -> tuple[Mask, ...]:
    """What the form of a region's part of a face tells apart: tabs, frames, bands, lettering, lumps."""
    if face is None:
        return ()
    rgb, lab, frame = drawing.rgb, drawing.lab, drawing.frames.get(face.name)
    bands = drawing.bands.get(face.name, ())
    found: list[Mask] = []
    free = piece
    finders: list[Callable[[Mask], tuple[Mask, ...]]] = []
    if face.name in _TABBED:
        finders.append(lambda rest: tabs(rest, face, lab))
    if face.name in _FIGURED:
        finders += [
            lambda rest: strap_ends(rest, face, lab, bands),
            lambda rest: _lines(rest, piece, face, frame, rgb),
            lambda rest: marks(rest, face, lab),
            lambda rest: medallions(rest, face, lab),
            lambda rest: lumps(rest, face),
        ]
    for find in finders:
        for part in find(free):
            if (part & free).any() and (free & ~part).any():
                found.append(part & free)
                free = free & ~part
    return tuple(found)


def _lines(
    rest: Mask, piece: Mask, face: Face, frame: Mask | None, rgb: NDArray[np.uint8]
) -> tuple[Mask, ...]:
    """Frames, bands and marks of one colour, and in the cover's ground the frame that light breaks up.

    What is of one colour is surer and may cross the frame's line, so it goes first; but where it is only a
    stretch of that line, the line is whole. Where it has taken much of the line, the frame is drawn already.
    """
    found = figures(rest, face, rgb)
    if frame is None or 2 * piece.sum() < face.mask.sum():
        return found
    apart = tuple(part for part in found if (part & ~frame).sum() > _STRETCH_BESIDE * part.sum())
    left = frame & rest & ~np.logical_or.reduce([np.zeros_like(rest), *apart])
    if left.sum() < _FRAME_LEFT * (frame & piece).sum():
        return found
    return (*apart, left)


def _absorbed(pieces: dict[str | None, Mask], face_px: dict[str, int]) -> dict[str | None, Mask]:
    """Give what spills over a face's border by one pixel to the region's main piece."""
    if len(pieces) < 2:
        return pieces
    # Of equal halves the one off the box is the main one: a ribbon is rooted in the pages.
    main = max(pieces, key=lambda name: (int(pieces[name].sum()), name is None))
    kept = dict(pieces)
    near = grown(pieces[main])
    for name, piece in pieces.items():
        if name == main or (piece & ~near).any():
            continue
        size = int(piece.sum())
        small = size <= _SPILL_OF_PIECE * pieces[main].sum()
        if name is None or main is None or (small and size <= _SPILL_OF_FACE * face_px[name]):
            kept[main] = kept[main] | piece
            del kept[name]
    return kept
