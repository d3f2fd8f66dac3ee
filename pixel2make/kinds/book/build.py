"""What a book is made of: the answers to the questions of `pixel2make.design.kind`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from pixel2make import trade
from pixel2make.design.kind import ChoiceKey, Lengths, Made
from pixel2make.design.model import Clasp, Finding
from pixel2make.design.outlines import OUTLINE_STYLES
from pixel2make.design.scale import Scaled
from pixel2make.design.span import Span
from pixel2make.kinds.book import rules
from pixel2make.kinds.book.areas import book_areas, treatment_keys
from pixel2make.kinds.book.block import block_for
from pixel2make.kinds.book.boards import book_parts
from pixel2make.kinds.book.clasp import book_clasps, clasp_part
from pixel2make.kinds.book.furniture import bookmarks, metal_corner_pieces, straps
from pixel2make.kinds.book.lengths import EDGE_NAMES, book_lengths
from pixel2make.kinds.book.materials import book_mass_g, book_materials
from pixel2make.kinds.book.steps import book_steps
from pixel2make.quantity import Dimension
from pixel2make.reading.model import Reading

__all__ = ["BookBuild"]

_THICKNESSES = ("usual", "thin", "thick")


class BookBuild:
    """A cased book with a flat spine, after `pixel2make.design.kind.DesignKind`."""

    edge_names: Mapping[str, str] = EDGE_NAMES

    def choice_keys(self, reading: Reading) -> Iterable[ChoiceKey]:
        """What shops or readings answer differently, for what was drawn."""
        yield _thickness_key(reading)
        yield ChoiceKey(
            "covering",
            "What is the book covered with?",
            rules.COVERINGS,
            "leather",
            shows=("covering_thickness", "joint_gap", "leaf_width", "covering_width"),
        )
        yield ChoiceKey(
            "pages",
            "What is between the boards? A foam core with leaves around it is about half as heavy.",
            ("leaves", "foam_core"),
            "leaves",
            shows=("sewn_spine_thickness", "spine_piece_width"),
        )
        yield ChoiceKey(
            "square",
            "How far do the boards overhang the pages?",
            rules.SQUARES if reading.square_px is None else (*rules.SQUARES, "drawn"),
            "by_height",
            takes_length=True,
            idle=("drawn",),
            shows=("square", "leaf_height", "leaf_width"),
        )
        yield ChoiceKey(
            "joint_gap",
            "How wide is the gap between board and spine piece? Shops teach different rules.",
            rules.JOINT_RULES,
            "usual",
            takes_length=True,
            shows=("joint_gap", "board_width", "covering_width"),
        )
        yield ChoiceKey(
            "spine_piece",
            "How wide is the spine piece? Measure the sewn block before you cut it.",
            rules.SPINES,
            "stiff",
            shows=("spine_piece_width", "leaf_width", "covering_width"),
        )
        yield ChoiceKey(
            "corner_radius",
            "Are the corners of the boards rounded?",
            ("square",) if reading.corner_rounding is None else ("drawn", "square"),
            "square" if reading.corner_rounding is None else "drawn",
            takes_length=True,
            idle=("drawn",),
        )
        yield ChoiceKey(
            "outline",
            "How do the outlines of painted and gilded areas run? Along the pixels' edges, along straight "
            "lines through the steps, or along fair curves.",
            OUTLINE_STYLES,
            "stepped",
        )
        yield from treatment_keys(reading)

    def thickness(
        self, drawn: Dimension | None, height_mm: float, taken: Mapping[str, str | float]
    ) -> Dimension:
        """The maker's word, the drawn thickness, or a share of the height, known only roughly."""
        answer = taken["thickness"]
        if isinstance(answer, float):
            return Span.exact(answer).dimension("thickness", "maker", "chosen by the maker")
        if drawn is not None:
            return drawn
        value = trade.value("boards.usual_thickness")
        shares = value.value
        low, high = shares["thin"], shares["thick"]
        if answer != "usual":
            low = high = shares[answer]
        span = Span(shares[answer], low, high) * height_mm
        rule = f"{shares[answer]:.0%} of the height, {answer} for a book"
        return span.dimension("thickness", "rule", rule, value.cited)

    def lengths(self, scaled: Scaled) -> Lengths:
        """All dimensions at that size."""
        return book_lengths(scaled)

    def make(self, scaled: Scaled, lengths: Lengths) -> Made:
        """Parts, areas, clasps, materials, order of work and mass."""
        covering = str(scaled.taken["covering"])
        has_core = scaled.taken["pages"] == "foam_core"
        block = block_for(lengths["block_thickness"], has_core=has_core)
        areas = book_areas(scaled)
        clasps, clasp_dimensions, warnings = book_clasps(scaled, lengths)
        strap_parts, strap_dimensions = straps(scaled, lengths)
        parts = (
            *book_parts(lengths, block, covering=covering),
            *strap_parts,
            *bookmarks(scaled, lengths),
            *metal_corner_pieces(scaled),
            *(clasp_part(clasp) for clasp in clasps),
        )
        return Made(
            parts=parts,
            areas=areas,
            clasps=clasps,
            materials=book_materials(lengths, block, parts, areas, clasps),
            steps=book_steps(parts, areas, clasps, block, covering=covering),
            mass_g=book_mass_g(parts, clasps),
            dimensions=(*clasp_dimensions, *strap_dimensions),
            findings=tuple(_findings(lengths, clasps)),
            warnings=warnings,
        )


def _thickness_key(reading: Reading) -> ChoiceKey:
    is_drawn = all(proportions.ratio[2] > 0 for proportions in reading.proportions)
    unseen = "" if is_drawn else " The drawing does not show it."
    return ChoiceKey(
        "thickness",
        f"How thick is the closed book?{unseen}",
        ("drawn",) if is_drawn else _THICKNESSES,
        "drawn" if is_drawn else "usual",
        takes_length=True,
        shows=("book_thickness", "spine_piece_width", "covering_width"),
        idle=_THICKNESSES if is_drawn else ("drawn",),
    )


def _findings(lengths: Lengths, clasps: Iterable[Clasp]) -> Iterator[Finding]:
    """Checks that only a book knows."""
    square, limits = lengths["square"], trade.value("boards.square.range")
    low, high = limits.numbers
    if not low <= square <= high:
        yield Finding(
            "odd-square",
            "square",
            f"The boards overhang the pages by {square:.1f} mm; books have {low:g} to {high:g} mm. "
            "Choose another square in the plan.",
            square,
            low if square < low else high,
            limits.cited,
        )
    stock = trade.value("stock.paper")
    sheet = sorted((2 * lengths["leaf_width"], lengths["leaf_height"]))
    for side, limit in zip(sheet, sorted(stock.numbers), strict=True):
        if side > limit:
            yield Finding(
                "folio-larger-than-stock",
                "text_block_leaf",
                f"A folded sheet is {sheet[0]:.0f} x {sheet[1]:.0f} mm before folding, larger than B1; "
                "guard single leaves together or make a hollow block.",
                side,
                limit,
                stock.cited,
            )
            break
    height = lengths["cover_height"]
    for clasp in clasps:
        if clasp.width.value_mm > height:
            yield Finding(
                "clasp-wider-than-book",
                clasp.name,
                f"{clasp.name.capitalize()} is {clasp.width.value_mm:.1f} mm wide, the book only "
                f"{height:.1f} mm high; choose a height from {clasp.width.value_mm:.0f} mm on.",
                clasp.width.value_mm,
                height,
                "common practice",
            )
