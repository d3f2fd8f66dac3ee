"""What the maker may choose about the case and its light."""

from __future__ import annotations

from pixel2make.design.kind import ChoiceKey, Number

__all__ = ["CASE", "case_keys"]

CASE = "display_case"
"""The choice that asks for a case; all others about it lie idle until it is answered."""

_COVER = ("inside_width", "inside_depth", "inside_height", "cover_developed_length")
_BASE = ("base_width", "base_depth", "base_total_height")


def case_keys() -> tuple[ChoiceKey, ...]:
    """Every question about the case, in the order of the plan.

    Only the first is asked in every plan, so that a plan without a case stays short; the others may be
    answered all the same, and an answer that was given stands in the plan.
    """
    woods = ("birch_plywood", "mdf", "white_oak", "sugar_maple", "black_walnut", "black_cherry", "beech")
    return (
        ChoiceKey(CASE, "A display case for the finished object?", ("none", "acrylic"), "none"),
        _key(
            "measured_width",
            "How wide is the finished object, measured?",
            ("designed",),
            *_COVER,
            length=True,
        ),
        _key(
            "measured_height",
            "How high is the finished object, measured?",
            ("designed",),
            *_COVER,
            length=True,
        ),
        _key(
            "measured_thickness",
            "How thick is the finished object, measured?",
            ("designed",),
            *_COVER,
            length=True,
        ),
        _key("case_pose", "How does the object sit in its case?", ("cradle", "standing", "lying"), *_COVER),
        _key(
            "case_angle",
            "How steeply does it lean on its cradle?",
            ("usual",),
            *_COVER,
            number=Number(20.0, 85.0, "deg", 70.0),
        ),
        _key("case_clearance", "Room on each side of the object?", ("usual",), *_COVER, length=True),
        _key("case_headroom", "Room above the object?", ("usual",), *_COVER, length=True),
        _key(
            "case_top",
            "Is the cover bent from one sheet or made of flat panels? Auto bends where the stock allows it.",
            ("auto", "bent", "panels"),
            *_COVER,
        ),
        _key("acrylic_thickness", "How thick is the acrylic?", ("by_span",), *_COVER, length=True),
        _key("acrylic_grade", "Cast or extruded acrylic?", ("cast", "extruded")),
        _key("bend_radius", "Inside radius of the bends?", ("usual",), *_COVER, length=True),
        _key(
            "bend_allowance",
            "Length of sheet that goes into one bend, as your test strip has shown it?",
            ("by_rule",),
            *_COVER,
            length=True,
        ),
        _key("case_seat", "Does the cover stand in a groove or in a rebate?", ("groove", "rebate"), *_BASE),
        _key(
            "case_joint",
            "How are the base's sides joined?",
            ("dowels", "rebate", "finger"),
            "base_side_length",
        ),
        _key("case_wood", "What is the base made of?", woods, "seat_width", *_BASE),
        _key("case_lining", "What is the base lined with?", ("velvet", "felt", "none"), *_BASE),
        _key("led_run", "Where does the light strip lie?", ("three_sides", "front", "none")),
        _key("led_density", "How many LEDs has a metre of strip?", ("60", "30", "144")),
        _key(
            "led_current",
            "Current of one LED at full white?",
            ("usual",),
            number=Number(5.0, 80.0, "mA", 36.0),
        ),
        _key("led_supply", "Rating of the 5 V supply?", ("auto",), number=Number(0.5, 8.0, "A", 3.0)),
        _key("led_lead", "How long is the lead from the supply?", ("usual",), length=True),
        _key("led_rate", "Frames a second?", ("usual",), number=Number(10.0, 60.0, "1/s", 30.0)),
        _key("led_animation", "What does the light begin with?", ("shimmer", "breathing", "candle")),
    )


def _key(
    key: str,
    question: str,
    options: tuple[str, ...],
    *shows: str,
    length: bool = False,
    number: Number | None = None,
) -> ChoiceKey:
    return ChoiceKey(
        key,
        question,
        options,
        options[0],
        takes_length=length,
        shows=shows,
        is_asked=False,
        is_kept=True,
        number=number,
    )
