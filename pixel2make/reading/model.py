"""What the reading stage hands on: what is drawn, how it is turned, and how sure that is.

All lengths are native pixels. Points are (x, y), x right, y down; pixel (3, 5) covers x 3..4 and
y 5..6, so a face whose leftmost column is 3 begins at x = 3.0.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.regions.model import RegionMap

__all__ = [
    "FACES",
    "VIEW_KINDS",
    "Band",
    "Candidate",
    "Face",
    "Feature",
    "Overrides",
    "Patch",
    "Proportions",
    "Question",
    "Reading",
    "Rounding",
    "View",
]

VIEW_KINDS = ("front", "front_with_edges", "oblique", "axonometric")
FACES = ("cover", "spine", "fore_edge", "head", "tail", "back")

Point = tuple[float, float]


@dataclass(frozen=True)
class Rounding:
    """A length that the pixels allow only within an interval, in native pixels."""

    value_px: float
    low_px: float
    high_px: float
    why: str


@dataclass(frozen=True)
class Band:
    """One raised band across the spine, as drawn.

    Lengths are shares of the spine's height (face coordinate ``b`` of the face "spine"), so that they
    scale with the book.

    Attributes
    ----------
    at, at_low, at_high : float
        Middle of the band: 0 at the head, 1 at the tail, and what the pixels allow.
    width, width_low, width_high : float
        Breadth along the spine, and what the pixels allow.
    confidence : float
        0..1, that this is a band and not a line of tooling or of lettering.
    why : str
    """

    at: float
    at_low: float
    at_high: float
    width: float
    width_low: float
    width_high: float
    confidence: float
    why: str


@dataclass(frozen=True)
class View:
    """One drawn box that explains the sprite.

    The cover's corner c lies at ``origin_px + a * width_px + b * height_px`` with (a, b) =
    (0, 0) head-spine, (1, 0) head-fore-edge, (1, 1) tail-fore-edge, (0, 1) tail-spine; the back
    cover lies ``thickness_px`` further. The corners are the outer edge of the cover without the
    drawn contour.

    Attributes
    ----------
    kind : {"front", "front_with_edges", "oblique", "axonometric"}
    confidence : float
        0..1, that the kind is right.
    origin_px : (x, y)
        Head-spine corner of the cover.
    width_px, height_px : (dx, dy)
        From spine to fore-edge, from head to tail.
    thickness_px : (dx, dy) or None
        From the front cover to the back cover; None where no thickness is drawn.
    strip_px : (dx, dy) or None
        Breadth of a second side face that is drawn flat beside the cover, as ``thickness_px`` is for the
        first; only in "front_with_edges".
    uncertainty_px : float
        How far each corner may be off, one standard deviation in native pixels per coordinate.
    why : tuple of str
        Short sentences.
    score : float
        0..1; how much of the sprite the box explains, to rank the runners-up.
    """

    kind: str
    confidence: float
    origin_px: Point
    width_px: Point
    height_px: Point
    thickness_px: Point | None = None
    uncertainty_px: float = 0.4
    why: tuple[str, ...] = ()
    score: float = 0.0
    strip_px: Point | None = None

    @property
    def cover_corners_px(self) -> tuple[Point, Point, Point, Point]:
        """Head-spine, head-fore-edge, tail-fore-edge, tail-spine."""
        (x, y), (ux, uy), (vx, vy) = self.origin_px, self.width_px, self.height_px
        return ((x, y), (x + ux, y + uy), (x + ux + vx, y + uy + vy), (x + vx, y + vy))


@dataclass(frozen=True, eq=False)
class Face:
    """One face of the drawn box and the pixels that show it.

    Attributes
    ----------
    name : {"cover", "spine", "fore_edge", "head", "tail", "back"}
    origin_px : (x, y)
    a_px, b_px : (dx, dy)
        Drawn vectors of the face's two edges. ``a`` runs along the width (cover, back, head, tail)
        or the thickness (spine, fore_edge), ``b`` along the height (cover, back, spine, fore_edge)
        or the thickness (head, tail).
    is_visible : bool
        A hidden face is completed by a rule; its mask is empty.
    mask : ndarray of shape (M, N), bool
        Pixels of this face, contour excluded. Read-only.
    """

    name: str
    origin_px: Point
    a_px: Point
    b_px: Point
    is_visible: bool
    mask: NDArray[np.bool_]

    def to_face(self, points_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Map picture points (K, 2) to face coordinates (K, 2); (0, 0) is origin, (1, 1) opposite."""
        basis = np.array([self.a_px, self.b_px], float).T
        return np.linalg.solve(basis, (np.asarray(points_px, float) - self.origin_px).T).T

    def to_picture(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Map face coordinates (K, 2) to picture points (K, 2) in native pixels."""
        return np.asarray(points, float) @ np.array([self.a_px, self.b_px], float) + self.origin_px


@dataclass(frozen=True)
class Candidate:
    """One thing that a patch could be; scores of a patch's candidates add up to at most 1."""

    feature: str
    score: float


@dataclass(frozen=True, eq=False)
class Patch:
    """The part of one region that lies on one face: what a plan names, and features are made of.

    Attributes
    ----------
    name : str
        "r7" where the whole region lies on one face, else "r7.cover", "r7.spine" ...
    region : int
        The region's id; 0 is the background.
    face : str or None
    mask : ndarray of shape (M, N), bool
    feature : str
        What it was taken for.
    confidence : float
    why : tuple of str
    candidates : tuple of Candidate
        Best first, the taken one included unless the maker named another.
    origin : {"sprite", "maker"}
        "maker" where a plan says so.
    """

    name: str
    region: int
    face: str | None
    mask: NDArray[np.bool_]
    feature: str
    confidence: float
    why: tuple[str, ...] = ()
    candidates: tuple[Candidate, ...] = ()
    origin: str = "sprite"


@dataclass(frozen=True, eq=False)
class Feature:
    """One thing on the object: the cover, one corner piece, one clasp with its highlights.

    Attributes
    ----------
    id : str
        "clasp-1", "corner_piece-3"; numbered in raster order of the first pixel.
    feature : str
        A word of the kind's vocabulary.
    patches : tuple of str
        Names of the patches it is made of.
    face : str or None
    mask : ndarray of shape (M, N), bool
    confidence : float
    why : tuple of str
    """

    id: str
    feature: str
    patches: tuple[str, ...]
    face: str | None
    mask: NDArray[np.bool_]
    confidence: float
    why: tuple[str, ...] = ()


@dataclass(frozen=True)
class Proportions:
    """True width : height : thickness behind the drawing, height = 1.

    Attributes
    ----------
    name : str
        "as_drawn", "orthographic", "cabinet", "cavalier", "vertical_counted" ...
    ratio, low, high : (width, height, thickness)
        With thickness 0.0 in all three where none is drawn. ``low``/``high`` bound what the pixels allow.
    weight : float
        0..1, all alternatives add up to 1; the largest is taken.
    why : str
    source : str
        "sprite" plus the rule, such as "Gauss's theorem of axonometry" or "ISO 5456-3:1996, cabinet".
    """

    name: str
    ratio: tuple[float, float, float]
    low: tuple[float, float, float]
    high: tuple[float, float, float]
    weight: float
    why: str
    source: str


@dataclass(frozen=True)
class Overrides:
    """What the maker's plan says about the reading; nothing of it is second-guessed.

    Attributes
    ----------
    view : View or None
        Pins the drawn box.
    features : tuple of (patch name, feature)
        A region's name without a face ("r7") stands for all its patches.
    boxes : tuple of (x, y, w, h, feature)
        Native pixels that become a patch of their own, named "box1", "box2" ... in order.
    proportions : str or None
        Name of the alternative to take.
    """

    view: View | None = None
    features: tuple[tuple[str, str], ...] = ()
    boxes: tuple[tuple[int, int, int, int, str], ...] = ()
    proportions: str | None = None


@dataclass(frozen=True)
class Question:
    """Something the sprite does not tell and the maker should."""

    subject: str
    question: str
    options: tuple[str, ...]
    taken: str


@dataclass(frozen=True, eq=False)
class Reading:
    """Everything that was told from the sprite.

    Attributes
    ----------
    regions : RegionMap
    kind : str
        Name of the kind of object, the folder under ``kinds``.
    view : View
    alternatives : tuple of View
        Runners-up, best first.
    proportions : tuple of Proportions
        Best first; the first is taken.
    faces : tuple of Face
        All six, hidden ones too.
    patches : tuple of Patch
        Cover every pixel of the sprite exactly once, background included.
    features : tuple of Feature
        Cover every pixel exactly once, background included.
    corner_rounding, square_px : Rounding or None
        Radius of the cover's corners; how far the cover overhangs the pages.
    bands : tuple of Band
        Raised bands on the spine, from head to tail; empty where none are drawn or no spine shows.
    chamfer : Rounding or None
        Breadth, on the cover's face, of a bevelled edge of the front board; None where no bevel is drawn.
        Its ``low_px`` is 0 where the drawing may as well mean a sharp edge in the light.
    questions : tuple of Question
    notes : tuple of str
    """

    regions: RegionMap
    kind: str
    view: View
    alternatives: tuple[View, ...]
    proportions: tuple[Proportions, ...]
    faces: tuple[Face, ...]
    patches: tuple[Patch, ...]
    features: tuple[Feature, ...]
    corner_rounding: Rounding | None = None
    square_px: Rounding | None = None
    bands: tuple[Band, ...] = ()
    chamfer: Rounding | None = None
    questions: tuple[Question, ...] = ()
    notes: tuple[str, ...] = ()

    def face(self, name: str) -> Face:
        """The face of that name."""
        return next(face for face in self.faces if face.name == name)

    def patch(self, name: str) -> Patch:
        """The patch of that name; KeyError where there is none."""
        for patch in self.patches:
            if patch.name == name:
                return patch
        raise KeyError(name)
