"""How to make and fit metalwork, in words, with its cautions."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from pixel2make import trade
from pixel2make.design.metalwork import Load, Mechanism
from pixel2make.design.model import Clasp, Design
from pixel2make.geometry.pieces import Sheet
from pixel2make.pack.clasp_pages import FORM_WORDS, piece_words
from pixel2make.pack.clasp_print import Printed, bed_of
from pixel2make.pack.drawing.table import millimetres
from pixel2make.pack.table import text_table

__all__ = ["clasp_text", "fitting_text"]

WIDTH = 96
MM3_IN_CM3 = 1000.0

CAUTIONS = ("sheet_metal", "hot_metal", "filament", "resin", "sanding", "pins", "defer")
"""Keys of the safety table, in the order in which they are met."""

_WORKS = {
    "hooked_arm": (
        "The arm hangs from a wire hinge at the edge of the front cover. Its end turns in under the back "
        "cover "
        "and ends in a lip that stands in the slot of the catch plate. The pages press the boards apart "
        "and "
        "the hook onto its bar. To open, press the book together, then swing the arm out."
    ),
    "pin_strap": (
        "A leather strap comes from the back cover round the fore-edge and ends in a pierced plate that "
        "drops "
        "over the peg on the front. To open, press the book together so that the strap slackens, and lift "
        "the tip."
    ),
    "folded_slide": (
        "The tongue of the back plate stands before the fore-edge; the front plate's flange slips over "
        "it, its "
        "sides folded round it, until the stud springs into the hole. To open, press the stud in and "
        "lift the "
        "cover."
    ),
}
_ORDER = {
    "hooked_arm": (
        "Roll the knuckles round the hinge wire or a rod of its size, the outer two of the plate up, the "
        "arm's towards the side that will lie on the fore-edge.",
        "File the gaps between the knuckles until the arm turns freely, then push the wire through and "
        "burr "
        "its ends over.",
        "Bend the hook in the vice over an edge rounded to the inside radius; bend the lip last, over a "
        "strip as "
        "thick as the catch plate's bar.",
        "Round the edges of the bar and the end of the lip with a fine file, so that they slide over each "
        "other.",
    ),
    "pin_strap": (
        "Turn or file the peg from rod, push its shank through the plate from above, rivet it over below "
        "in a "
        "countersink, and file it flush.",
        "Rivet the strap end under the leather, with the rough side of the leather to the metal.",
        "Fix the strap on the back last, pulled tight on the closed book, and pierce it where the pins come.",
    ),
    "folded_slide": (
        "Bend the sides of the sleeve round a strip as thick as the tongue and its play, then the corner.",
        "Rivet the stud into the tongue and round its top, so that it leads itself in.",
        "Slip both together, close the book, mark and pin the plates: then they stand in line.",
    ),
}


def clasp_text(clasp: Clasp, design: Design, printed: Sequence[Printed]) -> str:
    """The page of instructions of one clasp."""
    assert clasp.metal is not None
    blocks = [
        [clasp.name, "=" * len(clasp.name)],
        _wrapped(f"A {FORM_WORDS[clasp.form]}. {clasp.why} {_WORKS[clasp.form]}"),
        _wrapped(
            "Measure the closed book first: the clasp goes on last, since only then its thickness is known."
        ),
        _section("Sizes in mm", text_table(_sizes(clasp), right=(1,)).splitlines()),
        _section("Pieces", text_table(_pieces(clasp.metal)).splitlines()),
        _section("What it bears", _strength(clasp.metal)),
        _section("To print", _printing(clasp, design, printed)),
        _section("From sheet", _bending(clasp)),
        _section("To fit", _fitting(clasp, design)),
        _section("Cautions", [line for key in CAUTIONS for line in _item(_words(f"safety.{key}"))]),
    ]
    found = [f for f in design.findings if f.subject == clasp.name]
    if found:
        blocks.insert(2, _section("Look at this first", [x for f in found for x in _item(f.sentence)]))
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def fitting_text(design: Design, printed: Sequence[Printed]) -> str:
    """The page of instructions of corner pieces and bosses."""
    rows = [("piece", "hand", "made of", "holes")]
    for fitting in design.fittings:
        for piece in fitting.sheet.pieces:
            holes = sum(hole.piece == piece.name for hole in fitting.sheet.holes)
            rows.append((f"{fitting.name} {piece.title}", fitting.hand, piece_words(piece), str(holes)))
    blocks = [
        ["Corner pieces and bosses", "=" * 24],
        _wrapped(
            "Left and right are as you look at the cover, the head up. A left piece does not fit on the "
            "right: "
            "mark each on its inside. The flanges go over the board's edges; they come off the drawing of "
            "the piece at its bend lines."
        ),
        _section("Pieces", text_table(rows, right=(3,)).splitlines()),
        _section(
            "To make",
            [
                *_item(
                    "Saw along the outline, drill the holes and the ends of relief cuts, deburr every edge."
                ),
                *_item(
                    "Bend over a block with an edge rounded to the inside radius, in the vice between jaws "
                    "of wood or fibre."
                ),
                *_item("Try it on the covered board before you pin it; glue and pin it before pasting down."),
            ],
        ),
        _section("Cautions", [line for key in CAUTIONS for line in _item(_words(f"safety.{key}"))]),
    ]
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _sizes(clasp: Clasp) -> list[tuple[str, str, str]]:
    assert clasp.metal is not None
    rows = [("size", "mm", "from")]
    for label, dimension in (
        ("closed book with its play", clasp.span),
        ("reach onto the cover", clasp.plate_length),
        ("along the height of the book", clasp.width),
        ("wall of the print", clasp.wall),
        ("thickness of the sheet", clasp.sheet),
        ("inside radius of a bend", clasp.inside_radius),
    ):
        rows.append((label, millimetres(dimension.value_mm), dimension.rule or dimension.origin))
    rows.append(("upper end from the head edge", millimetres(clasp.position_mm), "sprite"))
    rows.append(("before the fore-edge", millimetres(clasp.metal.clear_mm), "air between it and the metal"))
    if clasp.metal.nip_mm:
        rows.append(("to press the book together", millimetres(clasp.metal.nip_mm), "to let go"))
    return rows


def _pieces(mechanism: Mechanism) -> list[tuple[str, str, str]]:
    rows = [("piece", "made of", "mass")]
    densities = trade.value("metal.density").value
    for piece in mechanism.pieces:
        grams = ""
        if piece.material in densities:
            mass = piece.shape.solid().volume_mm3 / MM3_IN_CM3 * densities[piece.material]
            grams = f"{mass:.1f} g"
        rows.append((piece.title, piece_words(piece), grams))
    return rows


def _strength(mechanism: Mechanism) -> list[str]:
    factor = trade.value("clasp.pull_factor").number
    rows = [("part", "formula", "MPa", "stands")]
    rows += [_load(load) for load in mechanism.loads]
    return [
        *_item(
            f"Pull F = {mechanism.pull_n:.0f} N: the book held by one cover, {factor:g} times its weight, "
            "shared "
            f"by the clasps. t is the sheet, d the peg. {_words('metal.beams')} "
            f"({trade.value('metal.beams').cited})."
        ),
        *text_table(rows, right=(2, 3)).splitlines(),
    ]


def _load(load: Load) -> tuple[str, str, str, str]:
    return load.part, load.formula, f"{load.stress_mpa:.0f}", f"{load.strength_mpa:.0f}"


def _printing(clasp: Clasp, design: Design, printed: Sequence[Printed]) -> list[str]:
    density = trade.value("printing.density_pla")
    volume = sum(piece.volume_mm3 for piece in printed) / MM3_IN_CM3
    rows = [("piece", "lies", "mm", "cm3", "support")]
    for piece in printed:
        size = " x ".join(f"{v:.1f}" for v in piece.mesh.bounds[1])
        support = f"{piece.hanging_mm2:.0f} mm2" if piece.hanging_mm2 > 1.0 else "none"
        rows.append((piece.title, piece.lay, size, f"{piece.volume_mm3 / MM3_IN_CM3:.2f}", support))
    bed = bed_of(design)
    process = str(design.taken.get("print_process", "fdm"))
    hole = trade.value(f"printing.least_hole_{process}").number
    return [
        *_item(
            "Print fit-coupon and fit-gauge first. The slot in which the gauge slides just freely has "
            "its number "
            "in notches on the back: "
            + ", ".join(
                f"{n} = {s:g} mm" for n, s in enumerate(trade.value("printing.coupon_steps").numbers, 1)
            )
            + ". Give that as the choice print_clearance and build again."
        ),
        *_item(
            f"All pieces lie on print-plate-*.3mf, within {bed.width_mm:g} x {bed.depth_mm:g} x "
            f"{bed.height_mm:g} mm. The unit of all files is the millimetre."
        ),
        *_item(f"Holes below {hole:g} mm close up: drill them after printing. The hinge wire stays metal."),
        *text_table(rows, right=(3,)).splitlines(),
        *_item(
            f"Solid {volume:.1f} cm3, {volume * density.number:.0f} g at {density.number:g} {density.unit} "
            f"({density.label})."
        ),
    ]


def _bending(clasp: Clasp) -> list[str]:
    assert clasp.metal is not None
    bent = [p for p in clasp.metal.pieces if isinstance(p.shape, Sheet) and p.source == "made"]
    names = ", ".join(f"{piece.name}_flat" for piece in bent)
    return [
        *_item(
            f"Print {names} at 100 %, measure both bars, glue them to {clasp.material} of "
            f"{millimetres(clasp.sheet.value_mm)} mm, saw along the outline, drill, file and deburr every "
            "edge."
        ),
        *_item(
            "Bend across the rolling direction where you can. Flat lengths hold for "
            f"K = {clasp.k_factor:.3g}: bend a test strip of the same sheet first."
        ),
        *[line for words in _ORDER[clasp.form] for line in _item(words)],
        *_item("Take the paper off before you anneal or solder."),
    ]


def _fitting(clasp: Clasp, design: Design) -> list[str]:
    assert clasp.metal is not None
    edge = trade.value("clasp.pin_edge_distance")
    return [
        *[line for words in _pins(clasp.metal) for line in _item(words)],
        *_item(
            f"Every hole keeps two diameters from the edge of its plate and {edge.number:g} mm from the "
            "edge of "
            "the board. Pierce the board with an awl through the plate, plate in place."
        ),
        *_item("Line the plates with thin leather or paper: bare metal marks the cover."),
    ]


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


def _section(title: str, lines: list[str]) -> list[str]:
    return [title, "-" * len(title), *lines]


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(" ".join(text.split()), WIDTH)


def _item(text: str) -> list[str]:
    return textwrap.wrap(" ".join(text.split()), WIDTH, initial_indent="- ", subsequent_indent="  ")
