"""How to make and fit corner pieces and bosses, in words, with their cautions."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from pixel2make import trade
from pixel2make.design.metalwork import Fitting, PinHole
from pixel2make.design.model import Design
from pixel2make.geometry.pieces import Sheet
from pixel2make.pack.clasp_print import Printed, bed_of
from pixel2make.pack.table import text_table
from pixel2make.quantity import format_length

__all__ = ["fittings_text"]

WIDTH = 96
MM3_IN_CM3 = 1000.0
CAUTIONS = ("sheet_metal", "hot_metal", "filament", "resin", "sanding", "pins", "defer")

_FORMS = {
    "corner_piece": "corner piece",
    "domed_boss": "domed boss",
    "stepped_boss": "stepped boss",
}


def fittings_text(
    design: Design, groups: Sequence[tuple[Fitting, tuple[str, ...]]], printed: Sequence[Printed]
) -> str:
    """The page of instructions.

    Parameters
    ----------
    design : Design
    groups : sequence of (Fitting, words)
        Each kind once, with where its pieces sit.
    printed : sequence of Printed
        All pieces of the print.
    """
    fittings = [fitting for fitting, _ in groups]
    subjects = {fitting.name for fitting in design.fittings}
    found = list(dict.fromkeys(f.sentence for f in design.findings if f.subject in subjects))
    blocks = [
        ["Corner pieces and bosses", "=" * 24],
        *([_section("Look at this first", found)] if found else []),
        _section("Pieces", text_table(list(_rows(design, groups)), right=(1,)).splitlines(), plain=True),
    ]
    if any(fitting.hand for fitting in fittings):
        blocks.append(_section("Left and right", _hands()))
    if any(isinstance(p.shape, Sheet) for f in fittings for p in f.sheet.pieces):
        blocks.append(_section("From sheet", _from_sheet(design, fittings)))
    if any(fitting.form == "domed_boss" for fitting in fittings):
        blocks.append(_section("Domes", _domes(design, fittings)))
    if any(fitting.form == "stepped_boss" for fitting in fittings):
        blocks.append(_section("Steps", _steps()))
    blocks += [
        _section("To print", _printing(design, printed)),
        _section("To fit", _fitting(design, fittings)),
        _section("Cautions", [str(trade.value(f"safety.{key}").value) for key in CAUTIONS]),
    ]
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _rows(
    design: Design, groups: Sequence[tuple[Fitting, tuple[str, ...]]]
) -> Iterator[tuple[str, str, str, str, str]]:
    yield ("pattern", "make", "what", "where", "each")
    for fitting, where in groups:
        hand = f", {fitting.hand} hand" if fitting.hand else ""
        yield (
            fitting.name,
            str(len(where)),
            f"{_FORMS[fitting.form]}{hand}, {fitting.sheet.pieces[0].material} "
            f"{format_length(fitting.sheet_mm, design.units)}",
            "; ".join(where),
            f"{_mass_g(fitting):.1f} g",
        )


def _mass_g(fitting: Fitting) -> float:
    """From the volumes of its pieces in metal and published densities, its own pin included."""
    densities = trade.value("metal.density").value
    return sum(
        piece.shape.solid().volume_mm3 / MM3_IN_CM3 * float(densities[piece.material])
        for piece in fitting.sheet.pieces
    )


def _hands() -> Iterator[str]:
    yield (
        "Hold a piece with its outside towards you and the edge along the fore-edge (or the spine) upright. "
        "The corner of a right-hand piece comes at the upper right, that of a left-hand piece at the upper "
        "left."
    )
    yield (
        "Turning a piece does not change its hand: front head and back tail take one hand, front tail and "
        "back "
        "head the other. Scribe hand and place on the inside before you bend."
    )


def _from_sheet(design: Design, fittings: Sequence[Fitting]) -> Iterator[str]:
    units = design.units
    yield (
        "Print the *_flat pages at 100 %, measure both bars, glue them to the sheet, saw outside the line, "
        "file "
        "to it, drill, and deburr every edge. The cut sheets of the metal hold the same outlines side by "
        "side."
    )
    folded = [fitting for fitting in fittings if fitting.room_mm]
    if folded:
        shape = folded[0].sheet.pieces[0].shape
        assert isinstance(shape, Sheet)
        radius = format_length(shape.panel.folds[0].radius_mm, units)
        yield (
            "The notch where two folds meet is the relief: without it the corner tears. Bend the fold over "
            "head or tail first, then that over the fore-edge, whose flange covers the first one's end: "
            f"between jaws of hardwood or fibre, over an edge rounded to {radius}, across the rolling "
            "direction where you can. Bend a test strip of the same sheet first: the flat lengths hold for "
            f"K = {shape.k_factor:.3g}."
        )
        if any(_has_lips(fitting) for fitting in folded):
            yield (
                "Bend the lips first, while the sheet is flat, then the flanges. Push the piece onto the "
                "board from the corner; the lips lie on the squares, off the leaves."
            )
        room = format_length(folded[0].room_mm, units)
        yield (
            f"The folds go over {room}: the covering, the board and the turn-in. Measure your covered board; "
            "file the flanges where it is thinner. Solder and file the seam at the corner if you want it "
            "closed."
        )
    yield "Take the paper off before you anneal or solder."


def _has_lips(fitting: Fitting) -> bool:
    shape = fitting.sheet.pieces[0].shape
    return isinstance(shape, Sheet) and any(fold.panel.folds for fold in shape.panel.folds)


def _domes(design: Design, fittings: Sequence[Fitting]) -> Iterator[str]:
    for fitting in fittings:
        if fitting.form == "domed_boss":
            blank = format_length(fitting.blank_mm, design.units)
            yield (
                f"{fitting.name}: cut a disc of {blank} across, anneal it, and dome it in a block with "
                "punches of "
                "falling size until its rim lies on the line of the drawing; anneal again when it stiffens. "
                "The "
                "disc has the area of the cap, so the sheet grows thinner at the crown only a little."
            )
            how = "Glue" if fitting.sheet.pieces[0].material == "aluminium" else "Solder"
            yield (
                f"{how} the pin upright inside the crown, its head in the dome; fill the dome with epoxy "
                "putty if "
                "it will be leaned on, and file the rim flat on a sheet of emery."
            )


def _steps() -> Iterator[str]:
    yield (
        "Cut each plate from its own page, drill the pins' holes through all of them clamped together, file "
        "the "
        "edges to one slope, and sweat-solder the steps (aluminium: glue them) before you pin them."
    )


def _printing(design: Design, printed: Sequence[Printed]) -> Iterator[str]:
    bed = bed_of(design)
    volume = sum(piece.volume_mm3 for piece in printed) / MM3_IN_CM3
    density = trade.value("printing.density_pla")
    process = str(design.taken.get("print_process", "fdm"))
    hole = trade.value(f"printing.least_hole_{process}").number
    yield (
        f"All pieces, as many as are needed, lie on print-plate-*.3mf within {bed.width_mm:g} x "
        f"{bed.depth_mm:g} x {bed.height_mm:g} mm, each with its outside down where that is flat, so that "
        "folds "
        "stand up and need no support. The unit of all files is the millimetre."
    )
    hanging = dict.fromkeys(piece.mesh.name for piece in printed if piece.hanging_mm2 > 1.0)
    if hanging and any(_has_lips(fitting) for fitting in design.fittings):
        yield "Lips inside the board hang over the plate: print them with support."
    elif hanging:
        yield f"Where a bend leaves the bed its round hangs over: {', '.join(hanging)}. Sand off what sags."
    yield f"Holes below {hole:g} mm close up: drill them after printing. The pins stay metal."
    yield f"Solid {volume:.1f} cm3, {volume * density.number:.0f} g at {density.number:g} {density.unit}."


def _fitting(design: Design, fittings: Sequence[Fitting]) -> Iterator[str]:
    units = design.units
    holes = [hole for fitting in design.fittings for hole in fitting.sheet.holes]
    yield from _pins(holes, units)
    board = design.dimension("board_thickness").value_mm
    pins = {hole.pin_mm for hole in holes} | {
        piece.shape.profile[1][0] * 2
        for fitting in fittings
        for piece in fitting.sheet.pieces
        if piece.source == "rod" and not isinstance(piece.shape, Sheet)
    }
    if pins:
        from pixel2make.design.pull_out import pull_out_n

        density = trade.value("boards.density").number
        alone = pull_out_n(min(pins), board, density)
        yield (
            f"A pin that is only driven into the board comes out at about {alone:.0f} N "
            f"({trade.value('metal.nail_withdrawal').source}; an estimate for board): head it over a washer "
            "on "
            "the inside, in a countersink, before the endpapers are pasted down."
        )
    edge = trade.value("clasp.pin_edge_distance").number
    yield (
        f"Holes keep two diameters from every edge and bend of the piece, and {format_length(edge, units)} "
        "from "
        "the board's edge where the piece is large enough. Pierce the board with an awl through the piece, "
        "the "
        "piece in its place."
    )
    yield "Line the pieces with thin leather or paper: bare metal marks the cover. Round every outer corner."


def _pins(holes: Sequence[PinHole], units: str) -> Iterator[str]:
    groups: dict[tuple[float, float, float], int] = {}
    for hole in holes:
        key = (hole.pin_mm, hole.length_mm, hole.grip_mm)
        groups[key] = groups.get(key, 0) + 1
    head = trade.value("clasp.rivet_head").number
    for (pin, length, grip), count in groups.items():
        size = f"{pin:g} x {length:g} mm" if length else f"{pin:g} mm rod"
        yield (
            f"{count} escutcheon pins {size}: they hold {format_length(grip, units)} together, "
            f"{format_length(head * pin, units)} stand out behind to be headed; nip off the rest."
        )


def _section(title: str, lines: Iterable[str], *, plain: bool = False) -> list[str]:
    body = list(lines) if plain else [line for text in lines for line in _item(text)]
    return [title, "-" * len(title), *body]


def _item(text: str) -> list[str]:
    return textwrap.wrap(" ".join(text.split()), WIDTH, initial_indent="- ", subsequent_indent="  ")
