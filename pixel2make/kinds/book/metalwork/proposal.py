"""Which form of clasp suits a book, and why."""

from __future__ import annotations

from collections.abc import Mapping

from pixel2make import trade
from pixel2make.kinds.book.metalwork.hooked_arm import arm_width_mm
from pixel2make.kinds.book.metalwork.keys import FORMS
from pixel2make.kinds.book.metalwork.place import Site

__all__ = ["form_of"]


def form_of(
    taken: Mapping[str, str | float], site: Site, *, has_strap: bool, over_edge: bool
) -> tuple[str, str]:
    """The form taken and the reason as a sentence.

    Parameters
    ----------
    taken : mapping
    site : Site
    has_strap : bool
        A strap is drawn at the height of the clasp.
    over_edge : bool
        The clasp itself is drawn over the fore-edge.
    """
    answer = str(taken.get("clasp_form", "proposed"))
    if answer in FORMS:
        return answer, "Chosen by the maker."
    wide, deep = arm_width_mm(site), site.deep_mm
    least_wide, least_deep = trade.value("clasp.arm_wide").number, trade.value("clasp.arm_least_deep").number
    most_deep = trade.value("clasp.arm_deep").number
    if has_strap:
        return "pin_strap", "A strap is drawn with it, so a pin with a pierced strap end."
    if wide < least_wide or deep < least_deep:
        what = f"{wide:.1f} mm wide" if wide < least_wide else f"on a book {deep:.1f} mm thick"
        return (
            "folded_slide",
            f"A clasp {what} has no room for a hinge ({least_wide:g} mm wide, {least_deep:g} mm deep); two "
            "bent plates need none.",
        )
    if deep > most_deep and not over_edge:
        return (
            "pin_strap",
            f"A block {deep:.0f} mm thick swells with damp by more than a stiff hook has play (from "
            f"{most_deep:g} mm on); a strap gives.",
        )
    seen = "Metal is drawn over the fore-edge, and " if over_edge else ""
    tail = (
        f"{seen}the plate is {wide:.0f} mm wide: room for three knuckles."
        if seen
        else f"The book is {deep:.0f} mm thick and the plate {wide:.0f} mm wide: room for a hinge and an arm."
    )
    return "hooked_arm", tail
