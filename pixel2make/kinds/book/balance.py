"""Where a closed book balances: between its spine and its fore-edge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pixel2make.design.kind import Lengths
from pixel2make.design.model import Clasp, Part
from pixel2make.design.span import Span
from pixel2make.kinds.book.boards import has_spine_piece, spine_mm
from pixel2make.quantity import Dimension

__all__ = ["balance_dimensions", "part_centre_mm"]

_AT_SPINE = ("spine_piece", "spine_lining", "headband", "mull", "covering_spine", "raised_band")


def balance_dimensions(
    lengths: Lengths, parts: Sequence[Part], clasps: Sequence[Clasp], mass_g: Sequence[tuple[str, float]]
) -> Iterator[Dimension]:
    """Distance of the centre of mass from the outside of the spine.

    Each part counts with its mass at its own middle.
    """
    reach = {clasp.name: clasp.plate_length.value_mm for clasp in clasps}
    total = sum(grams for _, grams in mass_g)
    moment = sum(
        grams * part_centre_mm(part, lengths, reach) for part, (_, grams) in zip(parts, mass_g, strict=True)
    )
    yield Span.exact(moment / total).dimension(
        "balance_from_spine", "rule", "masses of the parts at their middles", "statics"
    )


def part_centre_mm(part: Part, lengths: Lengths, clasp_reach: dict[str, float]) -> float:
    """Middle of a part from the outside of the spine, the book closed."""
    width, leather = lengths["cover_width"], lengths["covering_thickness"]
    lining = lengths["spine_piece_thickness" if has_spine_piece(lengths) else "spine_lining_thickness"]
    if part.name in clasp_reach:
        return width - clasp_reach[part.name] / 2
    if part.name.startswith(("corner_piece", "covering_corner", "strap")):
        return width - min(part.size_mm[0], width) / 2
    if part.name.endswith("_board"):
        return width - lengths["board_width"] / 2
    if part.name == "covering":
        return _covering_centre(lengths)
    if part.name == "covering_side":
        return width - (part.size_mm[0] - lengths["turn_in"]) / 2
    if part.name == "covering_spine":
        reach = (part.size_mm[0] - spine_mm(lengths)) / 2
        return reach * reach / part.size_mm[0]
    if part.name in _AT_SPINE:
        return leather + lining / 2
    return leather + lining + lengths["leaf_width"] / 2


def _covering_centre(lengths: Lengths) -> float:
    """Spine at nought, sides up to the fore-edge, turn-ins folded back from it."""
    width, turn_in = lengths["cover_width"], lengths["turn_in"]
    pieces = ((spine_mm(lengths), 0.0), (2 * width, width / 2), (2 * turn_in, width - turn_in / 2))
    return sum(length * middle for length, middle in pieces) / sum(length for length, _ in pieces)
