"""How to make and fit metalwork, in words, with its cautions, in the maker's unit of length."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.design.metalwork import Load, Mechanism
from pixel2make.design.model import Clasp, Design
from pixel2make.geometry.folded import bend_deduction, folds_of
from pixel2make.geometry.pieces import Piece, Sheet
from pixel2make.pack.clasp_pages import piece_words
from pixel2make.pack.clasp_print import Printed, bed_of
from pixel2make.pack.clasp_words import CAUTIONS, FORM_WORDS, ORDER, TOOLS, WORKS
from pixel2make.pack.table import text_table
from pixel2make.quantity import UNIT_WORDS, in_units, length_digits

__all__ = ["clasp_text"]

WIDTH = 96
MM3_IN_CM3 = 1000.0
_STRIP_MM = 60.0
"""Length of the strip that is bent to try the allowance."""


@dataclass(frozen=True)
class _Prose:
    """Lines of text whose lengths are in the maker's unit."""

    units: str

    def lines(self, text: str) -> list[str]:
        """A paragraph."""
        return textwrap.wrap(" ".join(in_units(text, self.units).split()), WIDTH)

    def items(self, *texts: str) -> list[str]:
        """A list, one entry a text."""
        return [
            line
            for text in texts
            for line in textwrap.wrap(
                " ".join(in_units(text, self.units).split()),
                WIDTH,
                initial_indent="- ",
                subsequent_indent="  ",
            )
        ]

    def number(self, mm: float) -> str:
        """A length without its unit."""
        return length_digits(mm, self.units)


def clasp_text(clasp: Clasp, design: Design, printed: Sequence[Printed]) -> str:
    """The page of instructions of one clasp."""
    assert clasp.metal is not None
    prose = _Prose(design.units)
    found = [f.sentence for f in design.findings if f.subject == clasp.name]
    blocks = [
        [clasp.name, "=" * len(clasp.name)],
        prose.lines(f"A {FORM_WORDS[clasp.form]}. {clasp.why} {WORKS[clasp.form]}"),
        _section("Look at this first", prose.items(*found)) if found else [],
        prose.lines(
            "Measure the closed book first: the clasp goes on last, since only then its thickness is known. "
            f"{clasp.name}_section shows how the pieces lie in one another and how it opens, "
            f"{clasp.name}_drawing where it sits; all pieces are made either of sheet or by printing."
        ),
        _section(f"Sizes in {UNIT_WORDS[prose.units]}", _table(_sizes(clasp, prose), 1)),
        _section("Pieces", _table(_pieces(clasp.metal, prose))),
        _section("What it bears", _strength(clasp.metal, prose)),
        _section("To print", _printing(clasp, design, printed, prose)),
        _section("From sheet", _bending(clasp, prose)),
        _section("To fit", _fitting(clasp.metal, prose)),
        _section("Cautions", prose.items(*(_words(f"safety.{key}") for key in CAUTIONS))),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _sizes(clasp: Clasp, prose: _Prose) -> list[tuple[str, str, str]]:
    assert clasp.metal is not None
    rows = [("size", prose.units, "from")]
    for label, dimension in (
        ("closed book with its play", clasp.span),
        ("reach onto the cover", clasp.plate_length),
        ("along the height of the book", clasp.width),
        ("wall of the print", clasp.wall),
        ("thickness of the sheet", clasp.sheet),
        ("inside radius of a bend", clasp.inside_radius),
    ):
        rule = in_units(dimension.rule or dimension.origin, prose.units)
        rows.append((label, prose.number(dimension.value_mm), rule))
    rows.append(("upper end from the head edge", prose.number(clasp.position_mm), "sprite"))
    air = "air between it and the metal"
    rows.append(("before the fore-edge", prose.number(clasp.metal.clear_mm), air))
    if clasp.metal.nip_mm:
        rows.append(("to press the book together", prose.number(clasp.metal.nip_mm), "to let go"))
    return rows


def _pieces(mechanism: Mechanism, prose: _Prose) -> list[tuple[str, str, str]]:
    rows = [("piece", "made of", "mass")]
    densities = trade.value("metal.density").value
    for piece in mechanism.pieces:
        grams = ""
        if piece.material in densities:
            mass = piece.shape.solid().volume_mm3 / MM3_IN_CM3 * densities[piece.material]
            grams = f"{mass:.1f} g"
        rows.append((piece.title, piece_words(piece, prose.units), grams))
    return rows


def _strength(mechanism: Mechanism, prose: _Prose) -> list[str]:
    factor = trade.value("clasp.pull_factor").number
    rows = [("part", "formula (N, mm)", "MPa", "stands")]
    rows += [_load(load) for load in mechanism.loads]
    return [
        *prose.items(
            f"Pull F = {mechanism.pull_n:.0f} N: the book held by one cover, {factor:g} times its weight, "
            f"shared by the clasps. t is the sheet, d the peg. {_words('metal.beams')} "
            f"({trade.value('metal.beams').cited})."
        ),
        *_table(rows, 2, 3),
    ]


def _load(load: Load) -> tuple[str, str, str, str]:
    return load.part, load.formula, f"{load.stress_mpa:.0f}", f"{load.strength_mpa:.0f}"


def _printing(clasp: Clasp, design: Design, printed: Sequence[Printed], prose: _Prose) -> list[str]:
    density = trade.value("printing.density_pla")
    volume = sum(piece.volume_mm3 for piece in printed) / MM3_IN_CM3
    rows = [("piece", "print it", prose.units, "cm3", "support")]
    for piece in printed:
        size = " x ".join(prose.number(float(v)) for v in piece.mesh.bounds[1])
        support = f"{piece.hanging_mm2:.0f} mm2" if piece.hanging_mm2 > 1.0 else "none"
        rows.append((piece.title, piece.lay, size, f"{piece.volume_mm3 / MM3_IN_CM3:.2f}", support))
    bed = bed_of(design)
    process = str(design.taken.get("print_process", "fdm"))
    hole = trade.value(f"printing.least_hole_{process}").number
    answer = design.taken.get("print_clearance", "by_process")
    steps = enumerate(trade.value("printing.coupon_steps").numbers, 1)
    joint = (
        [
            "Pieces in parts are larger than the printer: each part has half of a dovetail key. Glue them "
            "on a flat plate with two-part epoxy, the key pressed home, and pin or screw across the joint."
        ]
        if any("part 1 of" in piece.title for piece in printed)
        else []
    )
    coupon = (
        f"Your answer of {answer:g} mm from the fit coupon is in these pieces."
        if isinstance(answer, float)
        else "Print fit-coupon and fit-gauge first. The slot in which the gauge slides just freely has its "
        f"number in notches on the back: {', '.join(f'{n} = {step:g} mm' for n, step in steps)}. Build again "
        "with that answer, such as --set print_clearance=0.3mm; without it the usual clearance is taken."
    )
    return [
        *prose.items(
            coupon,
            f"All pieces lie on print-plate-*.3mf, within {bed.width_mm:g} x {bed.depth_mm:g} x "
            f"{bed.height_mm:g} mm. The unit of all files is the millimetre, whatever this page says.",
            *joint,
            f"Holes below {hole:g} mm close up: drill them after printing. The hinge wire stays metal.",
        ),
        *_table(rows, 3),
        *prose.items(
            f"Solid {volume:.1f} cm3, {volume * density.number:.0f} g at {density.number:g} {density.unit} "
            f"({density.label})."
        ),
    ]


def _bending(clasp: Clasp, prose: _Prose) -> list[str]:
    assert clasp.metal is not None
    bent = [p for p in clasp.metal.pieces if isinstance(p.shape, Sheet) and p.source == "made"]
    sheet, radius = clasp.sheet.value_mm, clasp.inside_radius.value_mm
    less = bend_deduction(90.0, radius, sheet, clasp.k_factor)
    return prose.items(
        TOOLS,
        f"Print {', '.join(f'{piece.name}_flat' for piece in bent)} at 100 %, measure both bars, glue them "
        f"to {clasp.material} of {sheet:g} mm, saw along the outline, drill, file and deburr every edge.",
        "Take the paper off before you anneal or solder.",
        "Bend across the rolling direction where you can. Flat lengths hold for "
        f"K = {clasp.k_factor:.3g}. Try it: bend a strip of the same sheet, {_STRIP_MM:g} mm long, to a "
        f"right angle; both legs, measured outside, are together {less:.2f} mm longer than the strip was. If "
        "yours are longer still, draw what lies on either side of each bend shorter by half of the "
        "difference, else longer.",
        *ORDER[clasp.form],
        *_tight(bent, radius),
    )


def _tight(pieces: Sequence[Piece], least_mm: float) -> Iterator[str]:
    """Bends below the least radius of the metal as it is bought."""
    for piece in pieces:
        assert isinstance(piece.shape, Sheet)
        found = {(f.panel.name, f.radius_mm) for f in folds_of(piece.shape.panel)}
        for name, radius in sorted(found):
            if radius < least_mm - 1e-6:
                yield (
                    f"The {name} of the {piece.title} bends round {radius:.2f} mm, tighter than the "
                    f"{least_mm:.2f} mm that the sheet takes as it is bought: anneal that end first, heated "
                    "to a dull red in dim light and left to cool or quenched in water; aluminium only until "
                    "soap on it turns brown."
                )


def _fitting(mechanism: Mechanism, prose: _Prose) -> list[str]:
    edge = trade.value("clasp.pin_edge_distance")
    return prose.items(
        *_pins(mechanism),
        f"Every hole keeps two diameters from the edge of its plate and {edge.number:g} mm from the edge of "
        "the board. Pierce the board with an awl through the plate, plate in place.",
        "Line the plates with thin leather or paper: bare metal marks the cover.",
    )


def _pins(mechanism: Mechanism) -> Iterator[str]:
    """Which pins go where, and how much of each stands out to be headed."""
    titles = {piece.name: piece.title for piece in mechanism.pieces}
    groups: dict[tuple[float, float, float], list[str]] = {}
    for hole in mechanism.holes:
        groups.setdefault((hole.pin_mm, hole.length_mm, hole.grip_mm), []).append(titles[hole.piece])
    head = trade.value("clasp.rivet_head").number
    for (pin, length, grip), where in groups.items():
        size = f"{pin:g} x {length:g} mm" if length else f"{pin:g} mm rod"
        yield (
            f"{len(where)} escutcheon pins {size} for {_listed(dict.fromkeys(where))}: they hold "
            f"{grip:.1f} mm together, {head * pin:.1f} mm stand out behind to be headed over a washer; nip "
            "off the rest."
        )


def _listed(names: Iterable[str]) -> str:
    return " and ".join(names)


def _words(key: str) -> str:
    return str(trade.value(key).value)


def _table(rows: Sequence[Sequence[str]], *right: int) -> list[str]:
    return text_table(rows, right=right).splitlines()


def _section(title: str, lines: list[str]) -> list[str]:
    return [title, "-" * len(title), *lines]
