"""A folded slide: two bent plates that slip into one another across the fore-edge.

The back plate's flange is a tongue that stands before the fore-edge; the front plate's flange comes down
over it and has both its sides folded round the tongue. A stud on the tongue springs into a hole of the
flange. To let go, the stud is pressed in and the cover lifted.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry import Polygon, box

from pixel2make import trade
from pixel2make.design.metalwork import Mechanism
from pixel2make.geometry.folded import Fold, Matrix, Panel
from pixel2make.geometry.pieces import Piece, Pose, Sheet, Turned, moved, placing
from pixel2make.kinds.book.metalwork.holes import pierced, pin_diameter_mm, pin_holes, pin_places
from pixel2make.kinds.book.metalwork.hooked_arm import arm_width_mm, one_piece
from pixel2make.kinds.book.metalwork.place import Gauge, Site
from pixel2make.kinds.book.metalwork.relief import relief_mm, relieved
from pixel2make.kinds.book.metalwork.turning import about_x, swung

__all__ = ["folded_slide", "most_stud_mm", "stud_height_mm"]

_STEPS = 5
"""Positions on the way out that are checked."""
_STUD_ROOM = 2.2
"""Stud diameters of overlap: the hole and half a diameter of metal before and behind it."""

_MOST_OVERLAP = 0.35
"""Share of the clasp's depth; more overlap would leave the tongue too short to give way."""

_SWING_MM = 0.25
"""Play for the turn of the cover: more would let the closed clasp rattle."""


@dataclass(frozen=True)
class _Pressed:
    """The tongue as it gives way, and what its stud does then."""

    tongue: tuple[str, Sheet]
    turn: Matrix


def folded_slide(site: Site, gauge: Gauge) -> Mechanism:
    """Sleeve on the front, tongue with its stud on the back.

    Parameters
    ----------
    site : Site
    gauge : Gauge
    """
    t, radius, play = gauge.sheet_mm, gauge.radius_mm, gauge.slide_mm
    snug = play / 2
    stud, height = gauge.peg_mm, stud_height_mm(gauge)
    aside = max(play, 0.3)
    low, high = site.across(arm_width_mm(site))
    wide = high - low

    overlap = overlap_mm(site, gauge)
    relief = relief_mm(t, radius)[1]
    tongue_top = site.front_mm - radius - relief
    sleeve_mm = site.front_mm - radius - (tongue_top - overlap)
    # on a book too thin for it the tongue keeps a length, and the checks say that it cannot work
    tongue_mm = max(tongue_top - site.back_mm - radius, 2 * t)
    lever = tongue_mm - overlap / 2
    given = (height + trade.value("clasp.release").number) * tongue_mm / lever
    room = t + given + play + _swing_mm(site, overlap)
    """Inside the folded sides: the tongue, and what its end gives way by."""

    # the sleeve: plate, flange over the fore-edge, both sides folded back round the tongue
    reach = aside + t + room - radius
    hem = room / 2
    side = min(4 * t, wide / 4)
    hem_mm = sleeve_mm - relief
    hems = (
        Fold((sleeve_mm, wide), (relief, wide), -180.0, hem, Panel("side", box(0, 0, side, hem_mm))),
        Fold((relief, 0.0), (sleeve_mm, 0.0), -180.0, hem, Panel("side", box(0, 0, side, hem_mm))),
    )
    stud_at = (sleeve_mm - overlap / 2, wide / 2)
    flange = pierced(_notched(sleeve_mm, wide, relief, hem, t), (stud_at,), stud + play)
    sleeve_flange = Panel("flange", flange, hems)
    outline = one_piece(site.front_outline.union(box(-t, low, reach, high)))
    outline = relieved(outline, reach, ((low, -1), (high, 1)), gauge, radius)
    pin = pin_diameter_mm(site.board_mm)
    bore = pin + trade.value("clasp.pin_hole_play").number
    front_pins = pin_places(outline, keep_mm=-(2 * t + radius), pin_mm=pin)
    sleeve = Panel(
        "sleeve",
        pierced(outline, front_pins, bore),
        (Fold((reach, low), (reach, high), -90.0, radius, sleeve_flange),),
    )

    # the tongue
    tongue_low, tongue_high = site.flipped((low + snug, high - snug))
    tongue_wide = tongue_high - tongue_low
    bevel = min(t, tongue_wide / 6)
    tongue_flange = Panel(
        "tongue",
        Polygon(
            [
                (0, 0),
                (tongue_mm - bevel, 0),
                (tongue_mm, bevel),
                (tongue_mm, tongue_wide - bevel),
                (tongue_mm - bevel, tongue_wide),
                (0, tongue_wide),
            ]
        ),
    )
    behind = reach - snug - t
    back_outline = one_piece(site.back_outline.union(box(-t, tongue_low, behind, tongue_high)))
    back_outline = relieved(back_outline, behind, ((tongue_low, -1), (tongue_high, 1)), gauge, radius)
    back_pins = pin_places(back_outline, keep_mm=-(2 * t + radius), pin_mm=pin)
    base = pierced(back_outline, back_pins, bore)

    def tongue_bent(angle: float) -> Panel:
        fold = Fold((behind, tongue_low), (behind, tongue_high), -angle, radius, tongue_flange)
        return Panel("tongue plate", base, (fold,))

    press = math.degrees(math.atan2(given, tongue_mm))
    pressed = _Pressed(
        (f"{site.name}_tongue_plate", Sheet(tongue_bent(90.0 + press), t, gauge.k_factor)),
        swung(site.fore_edge_mm + behind, site.back_mm + radius, press),
    )
    stud_z = site.front_mm - radius - stud_at[0]
    face = site.fore_edge_mm + reach + radius - snug
    """x of the tongue's outer face; the stud stands on it and is riveted through."""
    stud_shape = Turned(_stud(stud, height + snug, t))

    def piece(key: str, panel: Panel, at: Matrix, body: str) -> Piece:
        shape = Sheet(panel, t, gauge.k_factor)
        return Piece(f"{site.name}_{key}", panel.name, shape, placing(at), body, gauge.material, gauge.color)

    pieces = (
        piece("sleeve", sleeve, site.front, "front"),
        piece("tongue_plate", tongue_bent(90.0), site.back, "back"),
        Piece(
            f"{site.name}_stud",
            "stud",
            stud_shape,
            placing(moved(face, site.low_mm + (low + high) / 2, stud_z) @ about_x()),
            "tongue",
            gauge.material,
            gauge.color,
            "rod",
            f"{site.name}_tongue_plate",
        ),
    )
    return Mechanism(
        "folded_slide",
        gauge.way,
        pieces,
        tuple(_poses(site, overlap, pressed, play + stud / 2, t)),
        clear_mm=aside,
        opening_deg=math.degrees((overlap + 2 * t) / (site.fore_edge_mm - site.joint_mm)),
        holes=(
            *pin_holes(f"{site.name}_sleeve", front_pins, pin, t + site.cover_mm),
            *pin_holes(f"{site.name}_tongue_plate", back_pins, pin, t + site.cover_mm),
        ),
    )


def _notched(long: float, wide: float, start: float, hem_mm: float, sheet_mm: float) -> Polygon:
    """The flange of the sleeve with a relief cut where each folded side begins."""
    across, deep = relief_mm(sheet_mm, hem_mm)
    deep = min(deep, wide / 4)
    cuts = [box(start - across, -1, start, deep), box(start - across, wide - deep, start, wide + 1)]
    return one_piece(box(0, 0, long, wide).difference(cuts[0]).difference(cuts[1]))


def overlap_mm(site: Site, gauge: Gauge) -> float:
    """How far the flange comes down over the tongue: enough for the stud and its hole.

    The cover turns about its joint, so what slides out swings inwards too. The longer the overlap, the more
    play that takes, see `_swing_mm`; a quarter of a millimetre is the aim.
    """
    radius = site.fore_edge_mm - site.joint_mm
    return min(max(math.sqrt(_SWING_MM * radius), _STUD_ROOM * gauge.peg_mm), _MOST_OVERLAP * site.deep_mm)


def most_stud_mm(site: Site) -> float:
    """The thickest stud whose hole leaves metal all round it in the flange."""
    return min(_MOST_OVERLAP * site.deep_mm, arm_width_mm(site)) / _STUD_ROOM


def _swing_mm(site: Site, overlap: float) -> float:
    """Play that the turn of the cover takes while the slide comes apart.

    After a way d at the radius r the flange has gone inwards by d^2 / 2r and leans by d / r, which comes to
    d^2 / r over the overlap.
    """
    return 1.5 * overlap**2 / (site.fore_edge_mm - site.joint_mm)


def stud_height_mm(gauge: Gauge) -> float:
    """What the stud stands into its hole."""
    return min(0.6 * gauge.sheet_mm, 0.8) if gauge.way == "sheet" else 0.8


def _stud(diameter: float, height: float, sheet: float) -> tuple[tuple[float, float], ...]:
    """A shank through the tongue and a head with a bevelled top, which leads it in."""
    shank, head = diameter * 0.35, diameter / 2
    return (
        (0.0, -sheet),
        (shank, -sheet),
        (shank, 0.0),
        (head, 0.0),
        (head, height * 0.5),
        (head * 0.7, height),
        (0.0, height),
    )


def _poses(site: Site, overlap: float, pressed: _Pressed, barred_mm: float, t: float) -> list[Pose]:
    """The tongue pressed in, the cover turned up about its joint until the slide is apart; once without."""
    radius = site.fore_edge_mm - site.joint_mm
    away = overlap + 2 * t
    stud = ("tongue", placing(pressed.turn))
    poses = [Pose("stud pressed", (stud,), (pressed.tongue,))]
    for step in range(1, _STEPS + 1):
        lift = away * step / _STEPS
        turn = swung(site.joint_mm, site.front_mm, math.degrees(math.asin(min(1.0, lift / radius))))
        name = f"stud pressed, cover lifted {lift:.1f} mm"
        poses.append(Pose(name, (("front", placing(turn)), stud), (pressed.tongue,)))
    poses.append(Pose("pulled without pressing", (("front", placing(moved(z=barred_mm))),), is_barred=True))
    return poses
