"""A pin with a pierced strap end.

A peg stands on a plate on the front cover. A leather strap, fixed to the back cover, comes round the
fore-edge and ends in a pierced plate that is dropped over the peg: the pull of the strap bears on the peg.
To let go, the book is nipped so that the strap slackens, and the strap end lifted off.
"""

from __future__ import annotations

from shapely.geometry import Polygon, box

from pixel2make import trade
from pixel2make.design.metalwork import Mechanism
from pixel2make.geometry.folded import Fold, Matrix, Panel
from pixel2make.geometry.pieces import Piece, Pose, Sheet, Turned, moved, placing
from pixel2make.kinds.book.metalwork.holes import pierced, pin_diameter_mm, pin_holes, pin_places
from pixel2make.kinds.book.metalwork.hooked_arm import arm_width_mm, one_piece
from pixel2make.kinds.book.metalwork.place import Gauge, Site
from pixel2make.kinds.book.metalwork.relief import relief_mm

__all__ = ["peg_height_mm", "peg_place_mm", "pin_strap"]

_REST_MM = 0.1
"""Air between plates that lie on each other: paint, leaf or a burr."""
_LIFT_DEG = 25.0
"""The tip of the strap end is turned up for the finger."""


def pin_strap(site: Site, gauge: Gauge) -> Mechanism:
    """Pin plate with its peg, strap end, strap, and the plate that holds the strap on the back.

    Parameters
    ----------
    site : Site
    gauge : Gauge
    """
    t, peg = gauge.sheet_mm, gauge.peg_mm
    leather = trade.value("covering.strap_thickness").number
    pin = pin_diameter_mm(site.board_mm)
    pin_bore = pin + trade.value("clasp.pin_hole_play").number
    wide = arm_width_mm(site)
    low, high = site.across(wide)
    middle = (low + high) / 2
    turn = 2 * t + _REST_MM + 0.5
    """Inside radius of the strap over the front edge: it comes down from on top of the strap end."""
    place = peg_place_mm(gauge)
    lap = lap_mm()
    start = -(turn + 0.5)

    # the pin plate and its peg
    shank = peg * 0.6
    outline = one_piece(site.front_outline)
    front_pins = tuple(
        (u, v)
        for u, v in pin_places(outline, keep_mm=-2 * t, pin_mm=pin)
        if abs(u + place) > 1.5 * peg or abs(v - middle) > 1.5 * peg
    )
    plate = Panel("pin plate", pierced(pierced(outline, front_pins, pin_bore), ((-place, middle),), shank))
    height = peg_height_mm(gauge)
    peg_shape = Turned(_peg(peg, shank, height, t))

    # the strap end: lap under the leather, hole, tip turned up
    nose = 1.5 * peg + peg / 2
    inner = -(place + nose)
    tip = Panel("tip", box(0, 0, max(3.0, 2 * t), wide / 2))
    rivets: tuple[tuple[float, float], ...] = (
        (start - lap / 2, low + wide * 0.25),
        (start - lap / 2, high - wide * 0.25),
    )
    if wide < 8 * pin:
        rivets = ((start - lap / 2, middle),)
    # a neck before the taper: no flat metal beside the ends of the tip's bend
    neck = inner + relief_mm(t, gauge.radius_mm)[0]
    shoulder = neck + min(wide / 4, nose)
    tab_outline = Polygon(
        [
            (inner, middle - wide / 4),
            (neck, middle - wide / 4),
            (shoulder, low),
            (start, low),
            (start, high),
            (shoulder, high),
            (neck, middle + wide / 4),
            (inner, middle + wide / 4),
        ]
    )
    bore = peg + gauge.slide_mm
    tab = Panel(
        "strap end",
        pierced(pierced(tab_outline, ((-place, middle),), bore), rivets, pin_bore),
        (
            Fold(
                (inner, middle + wide / 4),
                (inner, middle - wide / 4),
                _LIFT_DEG,
                gauge.radius_mm,
                tip,
            ),
        ),
    )
    on_plate = site.front @ moved(z=t + _REST_MM)

    # the strap: on the strap end, round the fore-edge, onto the back
    reach = min(max(trade.value("clasp.plate_reach").numbers[0], 4 * leather), -site.back_outline.bounds[0])
    aside = 0.3
    under = 0.5
    back_panel = Panel("back of the strap", box(0, 0, reach, wide))
    drop = site.front_mm + 2 * t + 2 * _REST_MM - turn - (site.back_mm + under)
    fall = Panel(
        "fall of the strap",
        box(0, 0, drop, wide),
        (Fold((drop, 0.0), (drop, wide), -90.0, under, back_panel),),
    )
    edge = aside - turn
    strap = Panel(
        "strap",
        box(start - lap, low, edge, high),
        (Fold((edge, low), (edge, high), -90.0, turn, fall),),
    )

    # what holds it on the back
    end = aside - under
    back_low, back_high = site.flipped((low, high))
    anchor_outline = box(end - reach, back_low, min(end, -1.0), back_high)
    anchor_pins = pin_places(anchor_outline, keep_mm=-t, count=4, pin_mm=pin)
    anchor = Panel("strap plate", pierced(anchor_outline, anchor_pins, pin_bore))

    def piece(key: str, panel: Panel, at: Matrix, body: str) -> Piece:
        shape = Sheet(panel, t, gauge.k_factor)
        return Piece(f"{site.name}_{key}", panel.name, shape, placing(at), body, gauge.material, gauge.color)

    pieces = (
        piece("pin_plate", plate, site.front, "front"),
        Piece(
            f"{site.name}_peg",
            "peg",
            peg_shape,
            placing(site.front @ moved(-place, middle, t)),
            "front",
            gauge.material,
            gauge.color,
            "rod",
            f"{site.name}_pin_plate",
        ),
        piece("strap_end", tab, on_plate, "strap"),
        Piece(
            f"{site.name}_strap",
            "strap",
            Sheet(strap, leather, 0.5),
            placing(site.front @ moved(z=2 * t + 2 * _REST_MM)),
            "leather",
            "leather",
            "#7a4a2a",
            "leather",
        ),
        piece("strap_plate", anchor, site.back @ moved(z=leather + _REST_MM), "back"),
    )
    return Mechanism(
        "pin_strap",
        gauge.way,
        pieces,
        tuple(_poses(height, gauge)),
        clear_mm=aside,
        nip_mm=height**2 / (2 * place),
        holes=(
            *pin_holes(f"{site.name}_pin_plate", front_pins, pin, t + site.cover_mm),
            *pin_holes(f"{site.name}_strap_end", rivets, pin, t + leather),
            *pin_holes(f"{site.name}_strap_plate", anchor_pins, pin, t + leather + site.cover_mm),
        ),
    )


def lap_mm() -> float:
    """How far strap end and leather lie on each other."""
    return trade.value("clasp.strap_lap").number


def peg_place_mm(gauge: Gauge) -> float:
    """From the fore-edge to the middle of the peg: round the edge, the lap, and the hole's own edge."""
    turn = 2 * gauge.sheet_mm + _REST_MM + 0.5
    return turn + 0.5 + lap_mm() + 2 * gauge.peg_mm


def peg_height_mm(gauge: Gauge) -> float:
    """Above its plate: through the strap end and as much again as a finger can lift it over."""
    return gauge.sheet_mm + _REST_MM + max(1.5, gauge.peg_mm / 2)


def _peg(diameter: float, shank: float, height: float, sheet: float) -> tuple[tuple[float, float], ...]:
    radius = diameter / 2
    return (
        (0.0, -sheet),
        (shank / 2, -sheet),
        (shank / 2, 0.0),
        (radius, 0.0),
        (radius, height - radius / 2),
        (radius * 0.87, height - radius / 4),
        (radius * 0.5, height),
        (0.0, height),
    )


def _poses(height: float, gauge: Gauge) -> list[Pose]:
    """Lifted off the peg; pulled along the cover, which the peg must stop."""
    poses = []
    for share in (0.25, 0.5, 0.75, 1.0):
        lift = share * (height + 0.5)
        poses.append(Pose(f"strap end lifted {lift:.1f} mm", (("strap", placing(moved(z=lift))),)))
    pull = gauge.slide_mm + gauge.peg_mm / 2
    poses.append(Pose("pulled along the cover", (("strap", placing(moved(x=pull))),), is_barred=True))
    return poses
