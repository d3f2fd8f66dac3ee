"""From native pixels to millimetres: one edge is the maker's, the others follow with their interval."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make import trade
from pixel2make.design.facegrid import cells_on_face
from pixel2make.design.span import Span
from pixel2make.errors import DesignError
from pixel2make.quantity import Dimension
from pixel2make.reading.model import Face, Feature, Proportions, Reading

__all__ = [
    "EDGES",
    "GIVEN",
    "Box",
    "Scaled",
    "edge_spans",
    "face_named",
    "feature_masks",
    "scaled_edges",
]

EDGES = ("height", "width", "thickness")

GIVEN = "given by the maker"
"""Rule of the one dimension that sets the scale."""

_EDGES_OF_FACE: Mapping[str, tuple[str, str]] = {
    "cover": ("width", "height"),
    "back": ("width", "height"),
    "spine": ("thickness", "height"),
    "fore_edge": ("thickness", "height"),
    "head": ("width", "thickness"),
    "tail": ("width", "thickness"),
}
"""Which edges of the object run along a face's ``a`` and ``b``."""

_LEAST_SHARE = 0.1
"""A drawn edge that may be no pixel at all would give the others no upper end; a tenth of it is kept."""

_LEAST_DETERMINANT = 1e-6
"""Square pixels; a face drawn thinner than this has no inside to lie on."""


@dataclass(frozen=True)
class Box:
    """Where something lies on a face, in millimetres from the face's origin, with its size.

    Attributes
    ----------
    x_mm, y_mm : float
        Upper left corner.
    width, height : Span
    """

    x_mm: float
    y_mm: float
    width: Span
    height: Span


@dataclass(frozen=True, eq=False)
class Scaled:
    """A reading at its real size.

    Attributes
    ----------
    reading : Reading
    given : {"height", "width", "thickness"}
        The maker's edge.
    proportions : Proportions
        The ones taken.
    height, width, thickness : Dimension
        Outside of the closed object; named "height", "width", "thickness".
    px_mm : Span
        Millimetres that one native pixel stands for along the drawn height.
    taken : mapping of str to (str or float)
        The answer to every choice; a float is a length in mm.
    """

    reading: Reading
    given: str
    proportions: Proportions
    height: Dimension
    width: Dimension
    thickness: Dimension
    px_mm: Span
    taken: Mapping[str, str | float]

    def edge(self, name: str) -> Dimension:
        """Height, width or thickness."""
        return {"height": self.height, "width": self.width, "thickness": self.thickness}[name]

    def face_size(self, face: str) -> tuple[Span, Span]:
        """Real size along the face's two edges, in mm."""
        a, b = _EDGES_OF_FACE[face]
        return Span.of(self.edge(a)), Span.of(self.edge(b))

    def box(self, mask: NDArray[np.bool_], face: str) -> Box | None:
        """Where the pixels of a mask lie on a face; None where the face has no inside or no pixel."""
        found = face_named(self.reading, face)
        if found is None or not mask.any():
            return None
        cells = cells_on_face(found, mask)
        (a0, a1), (b0, b1) = cells.extent(0), cells.extent(1)
        along_a, along_b = self.face_size(face)
        return Box(
            a0 * along_a.value,
            b0 * along_b.value,
            _known_to(a1 - a0, cells.pixel[0]) * along_a,
            _known_to(b1 - b0, cells.pixel[1]) * along_b,
        )


def _known_to(value: float, pixel: float) -> Span:
    """Both ends of a drawn length are free, so it is known to a pixel up and down."""
    return Span(value, max(value - pixel, 0.0), value + pixel)


def face_named(reading: Reading, name: str) -> Face | None:
    """The face of that name, None where there is none or where it is drawn without an inside."""
    for face in reading.faces:
        if face.name == name:
            (ax, ay), (bx, by) = face.a_px, face.b_px
            return face if abs(ax * by - ay * bx) > _LEAST_DETERMINANT else None
    return None


def feature_masks(reading: Reading, feature: Feature) -> dict[str, NDArray[np.bool_]]:
    """The pixels of a feature by the face they lie on, in the order of the patches."""
    found: dict[str, NDArray[np.bool_]] = {}
    for patch in reading.patches:
        if patch.name in feature.patches and patch.face is not None:
            own = patch.mask & feature.mask
            found[patch.face] = found[patch.face] | own if patch.face in found else own
    if not found and feature.face is not None:
        found[feature.face] = feature.mask
    return {face: mask for face, mask in found.items() if mask.any()}


def edge_spans(proportions: Proportions, given: str, size_mm: float) -> dict[str, Span]:
    """Height, width and thickness in mm when one of them is known.

    A ratio's interval is carried along: of two edges that are both read from pixels, each may be at
    the other end of its interval.

    Raises
    ------
    DesignError
        Where the thickness is given and none is drawn.
    """
    width, height, thickness = (
        Span(*ends) for ends in zip(proportions.ratio, proportions.low, proportions.high, strict=True)
    )
    ratios = {"height": height, "width": width, "thickness": thickness}
    if ratios[given].value <= 0:
        raise DesignError(f"no {given} is drawn, so it cannot set the size; give --height or --width instead")
    known, drawn = Span.exact(size_mm), ratios[given]
    drawn = Span(drawn.value, max(drawn.low, _LEAST_SHARE * drawn.value), drawn.high)
    return {edge: known if edge == given else known * (ratios[edge] / drawn) for edge in EDGES}


def scaled_edges(
    reading: Reading,
    proportions: Proportions,
    *,
    given: str,
    size_mm: float,
    thickness_of: Callable[[Dimension | None, float], Dimension],
) -> tuple[dict[str, Dimension], Span]:
    """The three outside edges as dimensions, and the millimetres of one pixel along the height.

    Parameters
    ----------
    thickness_of : callable of (drawn thickness or None, height in mm)
        The kind's say about a thickness that the maker did not give as the size.

    Raises
    ------
    DesignError
        Where an edge comes out smaller or larger than anything made by the rules of the trade, with
        the sizes that would do.
    """
    spans = edge_spans(proportions, given, size_mm)
    _check_range(spans, given, size_mm)
    # The first sentence says how; the whole story stands with the proportions.
    how = proportions.why.split(". ")[0].rstrip(".")
    rule = f"{proportions.name}: {how}" if how else proportions.name
    edges = {}
    for edge, span in spans.items():
        if edge == given:
            edges[edge] = span.dimension(edge, "maker", GIVEN)
        elif span.value > 0:
            edges[edge] = span.dimension(edge, "sprite", rule, proportions.source)
    if given != "thickness":
        edges["thickness"] = thickness_of(edges.get("thickness"), spans["height"].value)
    drawn = float(np.hypot(*reading.view.height_px))
    # Both ends of the drawn edge are free, so n pixels are n - 1 to n + 1.
    px_mm = spans["height"] / Span(drawn, max(drawn - 1, drawn / 2), drawn + 1)
    return edges, px_mm


def _check_range(spans: Mapping[str, Span], given: str, size_mm: float) -> None:
    least, most = trade.value("body.size_range").numbers
    # The thickness of a thin object may well be small; whether a book fits into it, the kind tells.
    sides = [spans["height"].value, spans["width"].value]
    largest = max(*sides, spans["thickness"].value)
    if min(sides) >= least and largest <= most:
        return
    low, high = size_mm * least / min(sides), size_mm * most / largest
    wrong, edge = (min(sides), "shorter side") if min(sides) < least else (largest, "longest edge")
    advice = (
        f"choose a {given} from {_up(low)} to {_down(high)} mm"
        if low <= high
        else "no size would do with these proportions; look at the view in a plan"
    )
    raise DesignError(
        f"with {given} {size_mm:g} mm the {edge} would be {wrong:.1f} mm, outside {least:g} to {most:g} mm; "
        f"{advice}"
    )


def _up(value: float) -> str:
    return f"{np.ceil(value * 10) / 10:g}"


def _down(value: float) -> str:
    return f"{np.floor(value * 10) / 10:g}"
