"""What a maker may choose about clasps and metalwork."""

from __future__ import annotations

from collections.abc import Iterator

from pixel2make.design.kind import ChoiceKey, Number
from pixel2make.kinds.book.metalwork.gauges import METALS, PROCESSES
from pixel2make.reading.model import Reading

__all__ = ["FORMS", "metalwork_keys"]

FORMS = ("hooked_arm", "pin_strap", "folded_slide")
"""By what they are: a hook on a hinged arm over a catch plate, a pin with a pierced strap end, two bent
plates that slip into one another."""


def metalwork_keys(reading: Reading) -> Iterator[ChoiceKey]:
    """The questions, in the order of the plan; asked where metalwork is drawn."""
    drawn = {feature.feature for feature in reading.features}
    has_clasp = "clasp" in drawn
    has_metal = has_clasp or "corner_piece" in drawn
    yield ChoiceKey(
        "clasp_form",
        "How does the clasp hold: a hook on a hinged arm over a catch plate, a pin with a pierced strap "
        "end, "
        "or two bent plates that slip into one another across the fore-edge?",
        ("proposed", *FORMS),
        "proposed",
        is_asked=has_clasp,
    )
    yield ChoiceKey(
        "clasp_metal",
        "Of which metal is the metalwork made? As drawn takes the metal whose colour is nearest.",
        ("as_drawn", *METALS),
        "as_drawn",
        is_asked=has_metal,
    )
    yield ChoiceKey(
        "clasp_thickness",
        "How thick is the sheet for clasps? By rule takes the usual sheet, or the next that holds the book.",
        ("by_rule",),
        "by_rule",
        takes_length=True,
        is_asked=has_clasp,
    )
    yield ChoiceKey(
        "print_process",
        "Is metalwork printed from molten filament or from resin?",
        PROCESSES,
        PROCESSES[0],
        is_asked=has_metal,
    )
    yield ChoiceKey(
        "print_clearance",
        "Which step of the fit coupon slides just freely? By process takes the usual clearance.",
        ("by_process",),
        "by_process",
        takes_length=True,
        is_asked=has_clasp,
    )
    yield ChoiceKey(
        "print_shrinkage",
        "How much smaller do your prints come out than drawn? Measure a long part.",
        ("none",),
        "none",
        number=Number(0.0, 3.0, "%", 0.3),
        is_asked=has_metal,
    )
