"""What a book is made of: the answers to the questions of `pixel2make.design.kind`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from pixel2make import trade
from pixel2make.design.cutting import cutting_of
from pixel2make.design.finishing import finishing_of
from pixel2make.design.joints import joins
from pixel2make.design.kind import ChoiceKey, Lengths, Made
from pixel2make.design.outlines import OUTLINE_STYLES
from pixel2make.design.scale import Scaled
from pixel2make.design.span import Span
from pixel2make.kinds.book import rules
from pixel2make.kinds.book.areas import book_areas, outline_keys, treatment_keys
from pixel2make.kinds.book.asked import block_keys, board_key, sewing_keys, structure_keys, turn_in_key
from pixel2make.kinds.book.balance import balance_dimensions
from pixel2make.kinds.book.bands import band_findings, band_parts, bands_key, cord_places
from pixel2make.kinds.book.bevel import bevel_findings, bevel_key, bevel_mm
from pixel2make.kinds.book.block import block_of, text_stock
from pixel2make.kinds.book.boards import book_parts, corner_radius_mm
from pixel2make.kinds.book.clasp import book_clasps, clasp_part
from pixel2make.kinds.book.colors import colored
from pixel2make.kinds.book.covering import covered_key, covering_parts
from pixel2make.kinds.book.findings import book_findings
from pixel2make.kinds.book.furniture import bookmarks, straps
from pixel2make.kinds.book.lengths import EDGE_NAMES, book_lengths
from pixel2make.kinds.book.lining import headband_dimensions, spine_parts
from pixel2make.kinds.book.materials import book_mass_g, book_materials
from pixel2make.kinds.book.metalwork.fitting_keys import fitting_keys
from pixel2make.kinds.book.metalwork.fittings import book_fittings, meetings
from pixel2make.kinds.book.metalwork.keys import metalwork_keys
from pixel2make.kinds.book.seen import seen
from pixel2make.kinds.book.sewing import sewing_of
from pixel2make.kinds.book.sewing_lengths import trim_mm
from pixel2make.kinds.book.steps import book_steps
from pixel2make.kinds.book.structure import lacing_holes
from pixel2make.kinds.book.templates import sewing_template
from pixel2make.quantity import Dimension
from pixel2make.reading.model import Reading

__all__ = ["BookBuild"]

_THICKNESSES = ("usual", "thin", "thick")


class BookBuild:
    """A book with a flat spine, cased or laced in, after `pixel2make.design.kind.DesignKind`."""

    edge_names: Mapping[str, str] = EDGE_NAMES

    def choice_keys(self, reading: Reading) -> Iterable[ChoiceKey]:
        """What shops or readings answer differently, for what was drawn."""
        yield _thickness_key(reading)
        yield from structure_keys()
        yield ChoiceKey(
            "covering",
            "What is the book covered with?",
            rules.COVERINGS,
            "leather",
            shows=("covering_thickness", "joint_gap", "leaf_width", "covering_width"),
        )
        yield covered_key(reading)
        yield ChoiceKey(
            "pages",
            "What is between the boards? A foam core with leaves around it is about half as heavy.",
            ("leaves", "foam_core"),
            "leaves",
            shows=("sewn_spine_thickness", "spine_piece_width"),
        )
        yield from block_keys()
        yield board_key()
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
            "How wide is the gap between board and spine piece of a case? Shops teach different rules; "
            "laced boards stand close, whatever the rule.",
            rules.JOINT_RULES,
            "usual",
            takes_length=True,
            shows=("joint_gap", "board_width", "covering_width"),
        )
        yield ChoiceKey(
            "spine_piece",
            "How wide is the spine piece of a case? Measure the sewn block before you cut it.",
            rules.SPINES,
            "stiff",
            shows=("spine_piece_width", "leaf_width", "covering_width"),
        )
        yield turn_in_key()
        yield from sewing_keys()
        yield bands_key(reading)
        yield ChoiceKey(
            "spine_lettering",
            "How does the title run on the spine? Usual is across between raised bands, else down, which the "
            "standard ISO 6357 asks for: upright when the book lies front cover up.",
            ("usual", "down", "up", "across", "none"),
            "usual",
        )
        yield ChoiceKey(
            "corner_radius",
            "Are the corners of the boards rounded?",
            ("square",) if reading.corner_rounding is None else ("drawn", "square"),
            "square" if reading.corner_rounding is None else "drawn",
            takes_length=True,
            shows=("corner_radius",),
            idle=("drawn",),
        )
        yield bevel_key(reading)
        yield ChoiceKey(
            "outline",
            "How do the outlines of painted and gilded areas run? Along the pixels' edges, along straight "
            "lines through the steps, or along fair curves.",
            OUTLINE_STYLES,
            "stepped",
        )
        yield from outline_keys(reading)
        yield from treatment_keys(reading)
        yield from metalwork_keys(reading)
        yield from fitting_keys(reading)

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
        """Parts, areas, clasps, materials, templates, order of work and mass."""
        taken = scaled.taken
        covering = str(taken["covering"])
        block = block_of(taken, lengths["block_thickness"])
        cords = cord_places(
            taken, scaled.reading, height_mm=lengths["board_height"], square_mm=lengths["square"]
        )
        sewing = sewing_of(taken, block, lengths["leaf_height"], cords)
        stock = text_stock(taken)
        areas = book_areas(scaled)
        strap_parts, strap_dimensions = straps(scaled, lengths)
        is_laced = taken["structure"] == "laced"
        furniture = book_fittings(scaled, lengths)
        holes = lacing_holes(taken, sewing, lengths)
        parts = (
            *book_parts(
                lengths,
                block,
                covering=covering_parts(lengths, covering=covering, covered=str(taken["covered"])),
                holes=holes,
            ),
            *spine_parts(lengths, sewing, is_laced=is_laced),
            *band_parts(lengths, is_laced=is_laced),
            *strap_parts,
            *bookmarks(scaled, lengths),
            *furniture.parts,
        )
        bare = book_mass_g(parts, (), grammage=block.grammage, lengths=lengths)
        bare_g = sum(grams for _, grams in bare)
        made = book_clasps(scaled, lengths, mass_g=bare_g)
        clasps = made.clasps
        parts = colored((*parts, *made.parts, *(clasp_part(clasp) for clasp in clasps)), scaled.reading)
        mass_g = book_mass_g(parts, clasps, grammage=block.grammage, lengths=lengths)
        return Made(
            parts=parts,
            areas=areas,
            clasps=clasps,
            materials=book_materials(
                lengths,
                block,
                parts,
                areas,
                clasps,
                sewing=sewing,
                stock=stock,
                leaf=finishing_of(taken).leaf,
                fittings=furniture.fittings,
            ),
            steps=book_steps(
                parts,
                areas,
                clasps,
                block,
                sewing,
                is_laced=is_laced,
                is_trimmed=taken["edges"] == "trimmed",
                is_rounded=corner_radius_mm(lengths) > 0,
                is_bevelled=bevel_mm(lengths) > 0,
                is_sunk=is_laced and taken["bands"] == "none",
                joins=joins(parts, cutting_of(taken)),
            ),
            mass_g=mass_g,
            dimensions=seen(
                (
                    *headband_dimensions(lengths, sewing),
                    *made.dimensions,
                    *furniture.dimensions,
                    *strap_dimensions,
                    *balance_dimensions(lengths, parts, clasps, mass_g),
                )
            ),
            findings=(
                *book_findings(
                    lengths,
                    clasps,
                    stock,
                    areas=areas,
                    block_mass_g=dict(mass_g)["text_block_leaf"],
                    is_laced=is_laced,
                ),
                *bevel_findings(lengths, taken=taken["bevel"]),
                *band_findings(taken, sewing, cords),
                *made.findings,
                *furniture.findings,
                *meetings(furniture.fittings, clasps),
            ),
            warnings=(*made.warnings, *furniture.warnings),
            fittings=furniture.fittings,
            templates=(sewing_template(lengths, sewing, trim_mm(taken)),),
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
