"""A hook on a hinged arm over a catch plate.

The arm hangs from a wire hinge at the edge of the front cover and reaches round the fore-edge. Its end
turns in under the back cover and ends in a lip, which stands in a slot of the catch plate behind a bar. The
leaves press the boards apart and so the hook onto the bar; to let go, the book is nipped by the height of
the lip and the arm swung out.
"""

from __future__ import annotations

import math

from shapely import Polygon
from shapely.geometry import box
from shapely.geometry.polygon import orient

from pixel2make import trade
from pixel2make.design.metalwork import Mechanism
from pixel2make.geometry.folded import Fold, Matrix, Panel
from pixel2make.geometry.pieces import Piece, Pose, Sheet, Turned, moved, placing
from pixel2make.kinds.book.metalwork.holes import pierced, pin_diameter_mm, pin_holes, pin_places
from pixel2make.kinds.book.metalwork.place import Gauge, Site
from pixel2make.kinds.book.metalwork.relief import relief_mm, relieved
from pixel2make.kinds.book.metalwork.turning import about_y, swung

__all__ = [
    "arm_width_mm",
    "bar_mm",
    "hook_width_mm",
    "hooked_arm",
    "lip_height_mm",
    "one_piece",
    "rod",
    "slot_mm",
]

_CURL_DEG = 270.0
"""A knuckle is rolled until its end points at the plate: further and it would bite into it."""
_CURL_END_MM = 0.3
_LIP_STRAIGHT_MM = 0.3
"""Straight end of the lip, which stands behind the bar."""
_SWING_DEG = (2.0, 5.0, 10.0, 20.0, 40.0, 70.0, 110.0, 150.0)
"""Where the swing is checked: close together where the hook leaves the bar."""


def hooked_arm(site: Site, gauge: Gauge) -> Mechanism:
    """Hinge plate, arm, catch plate and hinge wire.

    Parameters
    ----------
    site : Site
    gauge : Gauge
    """
    t, radius, play = gauge.sheet_mm, gauge.radius_mm, gauge.slide_mm
    curl = (gauge.wire_mm + gauge.pin_mm) / 2
    low, high = site.across(arm_width_mm(site))
    knuckle = (high - low - 2 * gauge.knuckle_mm) / 3
    first, last = low + knuckle, high - knuckle
    middle = (first + gauge.knuckle_mm, last - gauge.knuckle_mm)
    ring = curl + t
    out = max(0.0, radius + play / 2 - curl)
    """How far the hinge stands out, so that the bend of the arm's foot clears the catch plate's edge."""

    # the hinge plate: two knuckles, a notch between them for the arm's
    notch = box(out - (ring + 2 * gauge.knuckle_mm), first, out + 1.0, last)
    outline = one_piece(site.front_outline.union(box(-t, low, out, high)).difference(notch))
    outline = relieved(outline, out, ((low, -1), (high, 1)), gauge, curl)
    ends = [(low, first), (last, high)]
    folds = tuple(
        Fold((out, a), (out, b), _CURL_DEG, curl, Panel("knuckle", box(0, 0, _CURL_END_MM, b - a)))
        for a, b in ends
    )
    pin = pin_diameter_mm(site.board_mm)
    bore = pin + trade.value("clasp.pin_hole_play").number
    plate_pins = pin_places(outline, keep_mm=-(ring + 2 * t + radius), pin_mm=pin)
    plate = Panel("hinge plate", pierced(outline, plate_pins, bore), folds)

    # the arm, hung from the wire's axis
    axis_z = site.front_mm + t + curl
    foot = axis_z - site.back_mm + t + play - radius
    bar, hook = bar_mm(t), hook_width_mm(high - low, t, play)
    hook_low, hook_high = site.across(hook)
    neck = ring + gauge.knuckle_mm
    relief = relief_mm(t, radius)[1]
    # on a book too thin for it the arm keeps a length, and the checks say that it cannot work
    foot = max(foot, neck + relief + t)
    shoulder = min((high - low - hook) / 2, 0.35 * foot, foot - relief - neck)
    body = Polygon(
        [
            (0.0, middle[0]),
            (neck, middle[0]),
            (neck, low),
            (foot - relief - shoulder, low),
            (foot - relief, hook_low),
            (foot, hook_low),
            (foot, hook_high),
            (foot - relief, hook_high),
            (foot - relief - shoulder, high),
            (neck, high),
            (neck, middle[1]),
            (0.0, middle[1]),
        ]
    )
    lip_radius = lip_radius_mm(gauge)
    lip = Panel("lip", box(0, 0, lip_height_mm(gauge) - lip_radius, hook))
    leg_mm = bar + play + out + curl - radius
    leg = Panel(
        "hook", box(0, 0, leg_mm, hook), (Fold((leg_mm, 0.0), (leg_mm, hook), -90.0, lip_radius, lip),)
    )
    knuckles = Fold(
        (0.0, middle[1]),
        (0.0, middle[0]),
        -_CURL_DEG,
        curl,
        Panel("knuckle", box(0, 0, _CURL_END_MM, middle[1] - middle[0])),
    )
    bend = Fold((foot, hook_low), (foot, hook_high), -90.0, radius, leg)
    arm = Panel("arm", orient(body), (knuckles, bend))

    # the catch plate: a bar between the fore-edge and a slot for the lip
    slot_low, slot_high = site.flipped((hook_low - play, hook_high + play))
    slot = box(-slot_mm(gauge), slot_low, -bar, slot_high)
    catch_outline = one_piece(site.back_outline.difference(slot))
    catch_pins = pin_places(catch_outline, keep_mm=slot.bounds[0] - 2 * t, pin_mm=pin)
    catch = Panel("catch plate", pierced(catch_outline, catch_pins, bore))
    wire = Turned(rod(gauge.wire_mm, high - low))

    def piece(key: str, panel: Panel, at: Matrix, body: str) -> Piece:
        shape = Sheet(panel, t, gauge.k_factor)
        name = f"{site.name}_{key}"
        return Piece(name, panel.name, shape, placing(at), body, gauge.material, gauge.color)

    pieces = (
        piece("hinge_plate", plate, site.front, "front"),
        piece("arm", arm, site.down(site.fore_edge_mm + out + curl, axis_z), "arm"),
        piece("catch_plate", catch, site.back, "back"),
        Piece(
            f"{site.name}_hinge_wire",
            "hinge wire",
            wire,
            placing(moved(site.fore_edge_mm + out, site.low_mm + low, axis_z) @ about_y()),
            "front",
            gauge.material if gauge.way == "sheet" else "brass",
            gauge.color,
            "wire",
        ),
    )
    nip = lip_height_mm(gauge) + trade.value("clasp.release").number
    return Mechanism(
        "hooked_arm",
        gauge.way,
        pieces,
        tuple(_poses(site, out, axis_z, nip)),
        clear_mm=out + curl,
        nip_mm=nip,
        opening_deg=_SWING_DEG[-1],
        holes=(
            *pin_holes(f"{site.name}_hinge_plate", plate_pins, pin, t + site.cover_mm),
            *pin_holes(f"{site.name}_catch_plate", catch_pins, pin, t + site.cover_mm),
        ),
    )


def _poses(site: Site, out: float, axis_z: float, nip: float) -> list[Pose]:
    """The swing about the wire with the book nipped, and one without, which the bar must stop."""
    down = moved(z=-nip)
    poses = [Pose("nipped", (("front", placing(down)), ("arm", placing(down))))]
    for angle in _SWING_DEG:
        swing = down @ swung(site.fore_edge_mm + out, axis_z, angle)
        moves = (("front", placing(down)), ("arm", placing(swing)))
        poses.append(Pose(f"nipped, arm {angle:g} degrees out", moves))
    held = swung(site.fore_edge_mm + out, axis_z, math.degrees(nip * 2 / site.deep_mm))
    poses.append(Pose("pulled without nipping", (("arm", placing(held)),), is_barred=True))
    return poses


def arm_width_mm(site: Site) -> float:
    """As wide as the plate's root, no wider than a clasp is made by the rule."""
    low, high = site.root
    most = trade.value("clasp.width_share").numbers[1] * site.height_mm
    return min(high - low, max(most, trade.value("clasp.least_width").number))


def bar_mm(sheet_mm: float) -> float:
    """The bar of the catch plate that the hook holds by."""
    low, high = trade.value("clasp.engagement").numbers
    return min(max(3 * sheet_mm, low), high)


def slot_mm(gauge: Gauge) -> float:
    """Inner end of the catch plate's slot from the fore-edge: the bar, the lip, and their play."""
    return bar_mm(gauge.sheet_mm) + 3 * gauge.slide_mm + lip_radius_mm(gauge) + gauge.sheet_mm


def hook_width_mm(arm_mm: float, sheet_mm: float, play_mm: float) -> float:
    """Narrower than the arm, so that the catch plate keeps its lands beside the slot."""
    land = max(2 * sheet_mm, 2.0)
    return max(min(0.6 * arm_mm, arm_mm - 2 * (play_mm + land)), 0.25 * arm_mm)


def lip_radius_mm(gauge: Gauge) -> float:
    """Inside radius of the lip's bend: small, so that the lip fits into the thickness of the catch plate."""
    return min(gauge.radius_mm / 2, _most_lip_mm(gauge) - _LIP_STRAIGHT_MM)


def lip_height_mm(gauge: Gauge) -> float:
    """Of the lip above the hook's inner face: it stays in the thickness of the catch plate."""
    return max(lip_radius_mm(gauge) + _LIP_STRAIGHT_MM, min(_most_lip_mm(gauge), 1.2))


def _most_lip_mm(gauge: Gauge) -> float:
    return gauge.sheet_mm + gauge.slide_mm - 0.1


def one_piece(shape: object) -> Polygon:
    pieces = getattr(shape, "geoms", [shape])
    return orient(max((p for p in pieces if isinstance(p, Polygon)), key=lambda p: p.area))


def rod(diameter: float, length: float) -> tuple[tuple[float, float], ...]:
    return ((0.0, 0.0), (diameter / 2, 0.0), (diameter / 2, length), (0.0, length))
