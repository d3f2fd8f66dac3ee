"""Corner pieces and bosses of a book: which there are, on which board, how each is made in both ways."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely.affinity import affine_transform, translate
from shapely.geometry import Point, Polygon
from shapely.geometry.polygon import orient

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.metalwork import Fitting, Mechanism
from pixel2make.design.model import Clasp, Finding, Part
from pixel2make.design.scale import Scaled
from pixel2make.design.span import Span
from pixel2make.geometry.folded import Matrix, Panel
from pixel2make.geometry.pieces import Piece, Sheet, moved, placing
from pixel2make.geometry.solids import common_volume
from pixel2make.kinds.book.boards import corner_radius_mm
from pixel2make.kinds.book.metalwork.boss import boss_form, dome_of, domed_pieces, stepped_pieces
from pixel2make.kinds.book.metalwork.corner_piece import BoardEdge, corner_frame, corner_panel
from pixel2make.kinds.book.metalwork.drawn_corner import (
    DrawnFitting,
    alike,
    drawn_fittings,
    on_both_boards,
    one_a_corner,
)
from pixel2make.kinds.book.metalwork.findings import bend_findings, few_pins, pin_findings
from pixel2make.kinds.book.metalwork.fit import SPECK_MM3
from pixel2make.kinds.book.metalwork.gauges import print_gauges, sheet_gauges, taken_metal
from pixel2make.kinds.book.metalwork.holes import pierced, pin_diameter_mm, pin_holes
from pixel2make.kinds.book.metalwork.pin_spots import pin_spots
from pixel2make.kinds.book.metalwork.place import Gauge
from pixel2make.quantity import Dimension, rounded_down, rounded_up

__all__ = ["MadeFittings", "book_fittings", "meetings"]

_LEAST_PINS = 2
_QUARTER = 32
"""Sides of a quarter of a disc."""


@dataclass(frozen=True)
class MadeFittings:
    """Corner pieces and bosses with their parts, dimensions and findings."""

    fittings: tuple[Fitting, ...] = ()
    parts: tuple[Part, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    findings: tuple[Finding, ...] = ()
    warnings: tuple[str, ...] = ()


def book_fittings(scaled: Scaled, lengths: Lengths) -> MadeFittings:
    """Every corner piece and boss that the maker wants of metal, as many as the drawing shows.

    What a drawing cannot show, the other board's, is completed with mirror images where the maker wants both.
    """
    words = [word for word in ("corner_piece", "emblem") if scaled.taken.get(word) == "metal"]
    found, warnings = drawn_fittings(scaled, words)
    drawn = alike(one_a_corner(found))
    if not drawn:
        return MadeFittings(warnings=tuple(warnings))
    pieces = on_both_boards(drawn) if scaled.taken.get("furniture_on") == "both_boards" else drawn
    # one board's bosses are enough: an emblem is no protection
    pieces = [p for p in pieces if p.origin == "sprite" or p.feature != "emblem"]
    made = [_made(scaled, lengths, piece) for piece in pieces]
    return MadeFittings(
        tuple(one.fitting for one in made),
        tuple(part for one in made for part in _parts(one.fitting)),
        tuple(dimension for one in made for dimension in one.dimensions),
        tuple(finding for one in made for finding in one.findings),
        tuple(warnings),
    )


def meetings(fittings: Sequence[Fitting], clasps: Sequence[Clasp]) -> Iterator[Finding]:
    """Fittings that run into each other or into a clasp, by the volumes of their solids in sheet metal."""
    owners = [(fitting.name, fitting.sheet) for fitting in fittings]
    owners += [(clasp.name, clasp.metal) for clasp in clasps if clasp.metal is not None]
    solids = [(name, [p.solid() for p in way.pieces if p.source == "made"]) for name, way in owners]
    for number, (one, mine) in enumerate(solids[: len(fittings)]):
        for other, theirs in solids[number + 1 :]:
            shared = sum(common_volume(a, b) for a in mine for b in theirs)
            if shared > SPECK_MM3:
                yield Finding(
                    "fittings-meet",
                    one,
                    f"{one} and {other} meet ({shared:.1f} mm3). Choose corner_fold flat, or give the region "
                    "of one of them another word in the plan.",
                    source="volumes of the intersecting solids",
                )


@dataclass(frozen=True)
class _Made:
    fitting: Fitting
    dimensions: tuple[Dimension, ...]
    findings: tuple[Finding, ...]


def _made(scaled: Scaled, lengths: Lengths, drawn: DrawnFitting) -> _Made:
    sheet, printed = gauges_of(scaled.taken, drawn)
    make = _corner if drawn.is_corner else _boss
    form, hand, in_metal, said = make(scaled, lengths, drawn, sheet)
    _, _, in_print, _ = make(scaled, lengths, drawn, printed)
    is_dome = form == "domed_boss"
    edge = _edge(scaled, lengths, drawn)
    fitting = Fitting(
        drawn.name,
        drawn.feature,
        form,
        hand,
        drawn.corner.words if drawn.is_corner else f"{drawn.corner.board} board",
        drawn.origin,
        in_metal,
        in_print,
        sheet.sheet_mm,
        printed.sheet_mm,
        edge.room_mm if _has_folds(in_metal) else 0.0,
        dome_of(drawn.outline).blank_mm(sheet.sheet_mm) if is_dome else 0.0,
    )
    found = [*said]
    if drawn.origin == "sprite":
        found += [*bend_findings(drawn.name, sheet, in_metal), *pin_findings(drawn.name, in_metal, lengths)]
        if drawn.is_corner:
            found += few_pins(drawn.name, in_metal, lengths)
    return _Made(fitting, tuple(_dimensions(scaled, drawn, fitting, sheet)), tuple(_once(found)))


def _once(found: Sequence[Finding]) -> Iterator[Finding]:
    yield from {(finding.code, finding.sentence): finding for finding in found}.values()


def gauges_of(taken: Mapping[str, str | float], drawn: DrawnFitting) -> tuple[Gauge, Gauge]:
    """How thick a fitting is in sheet metal and as a print."""
    metal = taken_metal(taken, drawn.color)
    usual = trade.value("metal.clasp_sheet").value
    x0, y0, x1, y1 = drawn.outline.bounds
    longest = max(x1 - x0, y1 - y0)
    answer = taken.get("corner_thickness", "by_rule")
    is_long = longest > trade.value("metal.long_plate").number
    thick = answer if isinstance(answer, float) else float(usual["long_plate" if is_long else "decorative"])
    own = {**taken, "clasp_thickness": thick}
    sheet = next(sheet_gauges(own, metal=metal, color=drawn.color, plate_mm=longest, width_mm=longest))
    return sheet, next(print_gauges(taken, color=drawn.color, width_mm=longest))


def _edge(scaled: Scaled, lengths: Lengths, drawn: DrawnFitting) -> BoardEdge:
    at_fore_edge = drawn.corner.side == "fore_edge"
    return BoardEdge(
        lengths["board_thickness"],
        lengths["covering_thickness"],
        lengths["square"],
        corner_radius_mm(lengths) if at_fore_edge else 0.0,
        at_fore_edge,
        str(scaled.taken.get("corner_fold", "over_edge")),
    )


def _frame(lengths: Lengths, drawn: DrawnFitting) -> tuple[Matrix, bool]:
    corner = drawn.corner
    width, height = lengths["cover_width"], lengths["cover_height"]
    spine = width - lengths["board_width"]
    spots = (
        width if corner.side == "fore_edge" else spine,
        height if corner.end == "head" else 0.0,
        lengths["book_thickness"] if corner.board == "front" else 0.0,
    )
    return corner_frame(side=corner.side, end=corner.end, board=corner.board, spots_mm=spots)


def _corner(
    scaled: Scaled, lengths: Lengths, drawn: DrawnFitting, gauge: Gauge
) -> tuple[str, str, Mechanism, tuple[Finding, ...]]:
    at, is_right = _frame(lengths, drawn)
    edge = _edge(scaled, lengths, drawn)
    edge, said = _possible(drawn, edge, gauge)
    panel, unfolded = corner_panel(drawn.outline, edge, gauge, is_right=is_right)
    pin = pin_diameter_mm(lengths["board_thickness"])
    usual = max(trade.value("clasp.pin_edge_distance").number, 3 * pin)
    spots = pin_spots(panel.outline, pin_mm=pin, edge_mm=usual)
    if len(spots) < _LEAST_PINS:
        # what is folded over the edge cannot split it
        spots = pin_spots(panel.outline, pin_mm=pin, edge_mm=3 * pin)
    bore = pin + trade.value("clasp.pin_hole_play").number
    panel = Panel(panel.name, orient(pierced(panel.outline, spots, bore)), panel.folds)
    name = f"{drawn.name}_plate"
    piece = Piece(
        name,
        "corner piece",
        Sheet(panel, gauge.sheet_mm, gauge.k_factor),
        placing(at),
        drawn.corner.board,
        gauge.material,
        gauge.color,
        hand="right" if is_right else "left",
    )
    grip = gauge.sheet_mm + edge.covering_mm + edge.board_mm
    mechanism = Mechanism("corner_piece", gauge.way, (piece,), holes=pin_holes(name, spots, pin, grip))
    found = [*said]
    if drawn.origin == "sprite" and gauge.way == "sheet":
        found += [_unfolded(drawn, words) for words in unfolded]
    return "corner_piece", piece.hand, mechanism, tuple(found)


def _possible(drawn: DrawnFitting, edge: BoardEdge, gauge: Gauge) -> tuple[BoardEdge, list[Finding]]:
    """Round the board only where the wall between two bends and the square leave room; else over the edge."""
    if edge.fold != "round_board":
        return edge, []
    rule = trade.value("metal.least_channel")
    wall = edge.room_mm + gauge.slide_mm / 2 - 2 * gauge.radius_mm
    least = rule.number * gauge.sheet_mm
    if wall >= least and edge.lip_mm(gauge) >= gauge.sheet_mm:
        return edge, []
    why, measured, limit = (
        (
            f"its wall would be {rounded_down(wall)} mm straight between two bends, it needs at least "
            f"{rounded_up(least)} mm",
            wall,
            least,
        )
        if wall < least
        else (
            f"the square of {rounded_down(edge.square_mm)} mm leaves no room for a lip beside the leaves",
            edge.square_mm,
            edge.square_mm + gauge.sheet_mm - edge.lip_mm(gauge),
        )
    )
    sentence = f"{drawn.name} cannot go round the board: {why}. It is folded over the edge; choose a thinner "
    finding = Finding(
        "no-lip", drawn.name, f"{sentence}corner_thickness or a larger square.", measured, limit, rule.cited
    )
    is_said = drawn.origin == "sprite" and gauge.way == "sheet"
    return replace(edge, fold="over_edge"), [finding] if is_said else []


def _unfolded(drawn: DrawnFitting, words: str) -> Finding:
    return Finding(
        "not-folded",
        drawn.name,
        f"{drawn.name}: {words}. It lies flat there; choose corner_radius square, or a larger size.",
        source="common practice",
    )


def _boss(
    scaled: Scaled, lengths: Lengths, drawn: DrawnFitting, gauge: Gauge
) -> tuple[str, str, Mechanism, tuple[Finding, ...]]:
    at, outline = _seen(lengths, drawn)
    form = boss_form(outline, str(scaled.taken.get("boss_form", "proposed")))
    pin = pin_diameter_mm(lengths["board_thickness"])
    behind = lengths["covering_thickness"] + lengths["board_thickness"]
    body = drawn.corner.board
    if form == "domed":
        pieces = domed_pieces(drawn.name, outline, at, gauge, body, pin_mm=pin, board_mm=behind)
        return "domed_boss", "", Mechanism("domed_boss", gauge.way, pieces), ()
    pieces, spots = stepped_pieces(drawn.name, outline, at, gauge, body, pin_mm=pin)
    holes = pin_holes(pieces[0].name, spots, pin, len(pieces) * gauge.sheet_mm + behind)
    found = []
    if not spots and gauge.way == "sheet":
        found.append(
            Finding(
                "few-pins",
                drawn.name,
                f"{drawn.name} has no room for a pin of {pin:g} mm two diameters from its edges; glue it, or "
                "choose a larger size.",
                0.0,
                pin,
                trade.value("clasp.hole_edge").cited,
            )
        )
    return "stepped_boss", "", Mechanism("stepped_boss", gauge.way, pieces, holes=holes), tuple(found)


def _seen(lengths: Lengths, drawn: DrawnFitting) -> tuple[Matrix, Polygon]:
    """A boss as it is seen on its board, the head up: its own axes, and its outline in them."""
    corner = drawn.corner
    width, height = lengths["cover_width"], lengths["cover_height"]
    is_front = corner.board == "front"
    at = np.diag([1.0 if is_front else -1.0, 1.0, 1.0 if is_front else -1.0, 1.0])
    at[:3, 3] = (0.0, 0.0, lengths["book_thickness"] if is_front else 0.0)
    # x from the spine on, seen on the back it runs to the left
    across = (-1, width) if corner.side == "fore_edge" else (1, 0.0)
    up = (-1, height) if corner.end == "head" else (1, 0.0)
    turn = 1 if is_front else -1
    shape = affine_transform(drawn.outline, (turn * across[0], 0, 0, up[0], turn * across[1], up[1]))
    x0, y0, _, _ = shape.bounds
    at = at @ moved(x0, y0)
    return at, orient(translate(shape, -x0, -y0).simplify(0))


def _has_folds(mechanism: Mechanism) -> bool:
    return any(isinstance(p.shape, Sheet) and bool(p.shape.panel.folds) for p in mechanism.pieces)


def _dimensions(scaled: Scaled, drawn: DrawnFitting, fitting: Fitting, gauge: Gauge) -> Iterator[Dimension]:
    """Of pieces that are drawn; a mirror image has those of its model."""
    if drawn.origin != "sprite":
        return
    name = drawn.name.replace("-", "_")
    x0, y0, x1, y1 = drawn.outline.bounds
    source = scaled.proportions.source
    for key, value, pixel, rule in (
        ("plate_width", x1 - x0, drawn.pixel_mm[0], "across the board, as drawn"),
        ("plate_height", y1 - y0, drawn.pixel_mm[1], "along the board's height, as drawn"),
    ):
        span = Span(value, max(0.0, value - pixel), value + pixel)
        yield span.dimension(f"{name}_{key}", "sprite", rule, source)
    is_chosen = isinstance(scaled.taken.get("corner_thickness"), float)
    yield Span.exact(gauge.sheet_mm).dimension(
        f"{name}_sheet",
        "maker" if is_chosen else "stock",
        f"{gauge.material} sheet",
        trade.value("metal.clasp_sheet").cited,
    )
    if fitting.room_mm:
        yield Span.exact(fitting.room_mm).dimension(
            f"{name}_room", "rule", "covering, board and turn-in inside the fold", "common practice"
        )
        yield Span.exact(gauge.radius_mm).dimension(
            f"{name}_inside_radius",
            "rule",
            f"{gauge.radius_mm / gauge.sheet_mm:g} sheet thicknesses for {gauge.material}",
            trade.value("metal.least_radius").cited,
        )


def _parts(fitting: Fitting) -> Iterator[Part]:
    """Its flat patterns; of a dome the disc."""
    for number, piece in enumerate(p for p in fitting.sheet.pieces if p.source == "made"):
        outline: Polygon
        if isinstance(piece.shape, Sheet):
            outline = piece.shape.flat().outline
        else:
            outline = Point(0, 0).buffer(fitting.blank_mm / 2, quad_segs=_QUARTER)
        x0, _, _, y1 = outline.bounds
        # a part's y runs down, a panel's up: the outside faces the reader on both
        turned = affine_transform(outline, (1, 0, 0, -1, -x0, y1))
        name = f"{fitting.name}-step-{number}" if number else fitting.name
        yield Part(name, piece.material, 1, fitting.sheet_mm, turned, marks=_bends(piece, (x0, y1)))


def _bends(piece: Piece, corner: tuple[float, float]) -> tuple[tuple[str, Polygon], ...]:
    """Where each bend begins and ends on the flat pattern."""
    if not isinstance(piece.shape, Sheet):
        return ()
    x0, y1 = corner
    found = []
    for bend in piece.shape.flat().bends:
        (ax, ay), (bx, by) = bend.line(0.0)
        (cx, cy), (dx, dy) = bend.line(1.0)
        strip = Polygon([(ax, ay), (bx, by), (dx, dy), (cx, cy)])
        found.append(("bend", affine_transform(strip, (1, 0, 0, -1, -x0, y1))))
    return tuple(found)
