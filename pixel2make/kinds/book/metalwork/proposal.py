"""Which form of clasp suits a book, and why."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from pixel2make import trade
from pixel2make.kinds.book.metalwork.hooked_arm import arm_width_mm
from pixel2make.kinds.book.metalwork.keys import FORMS
from pixel2make.kinds.book.metalwork.place import Site

__all__ = ["form_of"]

_NAMES = {"hooked_arm": "hook", "pin_strap": "pin with a strap", "folded_slide": "folded slide"}
_INSTEAD = {
    "pin_strap": "a leather strap gives and needs no room in the depth",
    "hooked_arm": "a hook on a hinged arm does",
    "folded_slide": "two bent plates that slip into one another do",
}


def form_of(
    taken: Mapping[str, str | float],
    site: Site,
    *,
    has_strap: bool,
    over_edge: bool,
    hindrance: Callable[[str], str] = lambda form: "",
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
    hindrance : callable of str to str
        Why a form does not work here, in a few words, by its key; "" where it does.
    """
    answer = str(taken.get("clasp_form", "proposed"))
    if answer in FORMS:
        return answer, "Chosen by the maker."
    first, why = _by_rule(site, has_strap=has_strap, over_edge=over_edge)
    reason = hindrance(first)
    if not reason:
        return first, why
    for form in _others(first):
        if not hindrance(form):
            return form, f"A {_NAMES[first]} fails here ({reason}); {_INSTEAD[form]}."
    return first, why


def _others(first: str) -> Iterator[str]:
    yield from (form for form in ("pin_strap", "hooked_arm", "folded_slide") if form != first)


def _by_rule(site: Site, *, has_strap: bool, over_edge: bool) -> tuple[str, str]:
    """By what is drawn, then by the room there is."""
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
    if over_edge:
        return (
            "hooked_arm",
            f"Metal is drawn over the fore-edge, and the plate is {wide:.0f} mm wide: room for three "
            "knuckles.",
        )
    return (
        "hooked_arm",
        f"The book is {deep:.0f} mm thick and the plate {wide:.0f} mm wide: room for a hinge and an arm.",
    )
