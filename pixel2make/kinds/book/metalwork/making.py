"""How a clasp of a form is made in sheet metal and as a print: its place, gauge, mechanism and loads."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial

from shapely.geometry import box

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.metalwork import Load, Mechanism
from pixel2make.design.span import Span
from pixel2make.geometry.plate import RootedPlate, rooted_plate
from pixel2make.kinds.book.metalwork.drawn_plate import DrawnPlate
from pixel2make.kinds.book.metalwork.folded_slide import folded_slide, most_stud_mm
from pixel2make.kinds.book.metalwork.gauges import chosen_gauge, print_gauges, sheet_gauges
from pixel2make.kinds.book.metalwork.holes import pin_diameter_mm, pin_margin_mm
from pixel2make.kinds.book.metalwork.hooked_arm import arm_width_mm, hooked_arm, slot_mm
from pixel2make.kinds.book.metalwork.pin_strap import peg_place_mm, pin_strap
from pixel2make.kinds.book.metalwork.place import Gauge, Site
from pixel2make.kinds.book.metalwork.strength import loads

__all__ = ["Way", "both_ways", "clasp_site", "closed_span"]

BUILDERS = {"hooked_arm": hooked_arm, "pin_strap": pin_strap, "folded_slide": folded_slide}
_JOIN_MM = 1.0
"""Parts of a drawn plate that touch at a corner are joined by so much."""
_ROOT_MM = 2.0
"""Least depth of the straight root at the fore-edge; a bend begins there."""


@dataclass(frozen=True)
class Way:
    """A clasp made in one way.

    Attributes
    ----------
    site : Site
        With the plate carried on inwards where the mechanism would not fit onto it.
    gauge : Gauge
    mechanism : Mechanism
    is_raised : bool
        Whether the usual gauge would not hold.
    """

    site: Site
    gauge: Gauge
    mechanism: Mechanism
    is_raised: bool


def both_ways(
    taken: Mapping[str, str | float],
    site: Site,
    form: str,
    pull_n: float,
    *,
    metal: str,
    color: str,
    plate_mm: float,
) -> tuple[Way, Way]:
    """The clasp in sheet metal and printed, each of the first gauge that holds the pull.

    Parameters
    ----------
    taken : mapping
        The maker's answers.
    site : Site
    form : {"hooked_arm", "pin_strap", "folded_slide"}
    pull_n : float
        In newtons.
    metal, color : str
    plate_mm : float
        Reach of the drawn plate; a long one takes thicker sheet.
    """
    width = arm_width_mm(site)
    most = most_stud_mm(site) if form == "folded_slide" else math.inf
    found = []
    for gauges in (
        sheet_gauges(taken, metal=metal, color=color, plate_mm=plate_mm, width_mm=width),
        print_gauges(taken, color=color, width_mm=width),
    ):
        gauge, borne, is_raised = chosen_gauge(gauges, partial(_loads, form, site, pull_n), most_peg_mm=most)
        own = replace(site, plate=_long_enough(site, form, gauge))
        mechanism = replace(BUILDERS[form](own, gauge), loads=borne, pull_n=pull_n)
        found.append(Way(own, gauge, mechanism, is_raised))
    return found[0], found[1]


def _loads(form: str, site: Site, pull: float, gauge: Gauge) -> tuple[Load, ...]:
    return loads(form, site, gauge, pull)


def closed_span(lengths: Lengths) -> Span:
    """Thickness at the fore-edge under light pressure: the pages give, pared turn-ins add."""
    gives = trade.value("clasp.light_compression").number * lengths["block_thickness"]
    adds = 2 * trade.value("clasp.turn_in_share").number * lengths["covering_thickness"]
    return Span.of(lengths.dimension("book_thickness")) + (adds - gives)


def clasp_site(lengths: Lengths, name: str, plate: DrawnPlate) -> Site:
    """Where a plate sits on the closed book."""
    height, closed = lengths["cover_height"], closed_span(lengths).value
    middle = lengths["book_thickness"] / 2
    return Site(
        name=name,
        fore_edge_mm=lengths["cover_width"],
        low_mm=height - plate.top_mm - plate.outline.bounds[3],
        back_mm=middle - closed / 2,
        front_mm=middle + closed / 2,
        joint_mm=lengths["cover_width"] - lengths["board_width"],
        board_mm=lengths["board_thickness"],
        covering_mm=lengths["covering_thickness"],
        square_mm=lengths["square"],
        height_mm=height,
        plate=rooted_plate(plate.outline, wall_mm=_JOIN_MM, least_depth_mm=_ROOT_MM, name=name),
    )


def _long_enough(site: Site, form: str, gauge: Gauge) -> RootedPlate:
    """The plate, carried on inwards where the mechanism would not fit onto it."""
    least = least_plate_mm(form, site, gauge)
    x1 = site.plate.outline.bounds[2]
    if x1 >= least:
        return site.plate
    low, high = site.plate.low_mm, site.plate.high_mm
    return rooted_plate(
        site.plate.outline.union(box(0, low, least, high)), wall_mm=_JOIN_MM, least_depth_mm=_ROOT_MM
    )


def least_plate_mm(form: str, site: Site, gauge: Gauge) -> float:
    """Reach onto the cover that a form's front or catch plate needs, with room for its pins."""
    t, pin = gauge.sheet_mm, pin_diameter_mm(site.board_mm)
    edge = pin_margin_mm(pin)
    if form == "pin_strap":
        return max(peg_place_mm(gauge) + 2 * gauge.peg_mm, edge + trade.value("clasp.hole_edge").number * pin)
    kept = slot_mm(gauge) + 2 * t if form == "hooked_arm" else 2 * t + gauge.radius_mm
    return max(kept + pin, edge) + trade.value("clasp.hole_edge").number * pin
