"""The maker's answers about painted and gilded areas: tools, stencil sheet, coats, leaf, repairs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.design.kind import ChoiceKey, Number
from pixel2make.design.leaf import LEAVES
from pixel2make.errors import DesignError

__all__ = [
    "AREA_TOOLS",
    "COAT_ORDERS",
    "STENCIL_SHEETS",
    "Finishing",
    "finishing_keys",
    "finishing_of",
    "tool_limits",
]

STENCIL_SHEETS = ("film_knife", "film_laser", "card_knife", "masking_film")
"""Polyester film cut by knife or laser, card cut by knife, adhesive film on which islands need no bridge."""

AREA_TOOLS = ("knife", "laser", "printer", "brush")

COAT_ORDERS = ("light_over_dark", "dark_over_light")

_BY_STENCIL = "by_stencil"

_USUAL_TOOL = "usual"
_TOOL_MM = (0.05, 20.0)
"""From an engraver's point to a broad gouge."""


@dataclass(frozen=True)
class Finishing:
    """Answers to `finishing_keys`.

    Attributes
    ----------
    stencil_sheet, coats, leaf : str
        One of `STENCIL_SHEETS`, `COAT_ORDERS`, `LEAVES`.
    tool : str
        One of `AREA_TOOLS`: what the areas' edges are made with.
    is_repaired : bool
        Are places that the tool cannot make widened and rounded?
    carving_tool_mm : float
        Narrowest groove that the tool for carved lettering makes.
    """

    stencil_sheet: str = STENCIL_SHEETS[0]
    coats: str = COAT_ORDERS[0]
    leaf: str = LEAVES[0]
    tool: str = AREA_TOOLS[0]
    is_repaired: bool = False
    carving_tool_mm: float = trade.value("lettering.carving_tool").number


def finishing_keys() -> Iterator[ChoiceKey]:
    """The questions, for every kind of object."""
    yield ChoiceKey(
        "stencil_sheet",
        "What are stencils cut from? Islands hang on bridges; on masking film each is laid by itself.",
        STENCIL_SHEETS,
        STENCIL_SHEETS[0],
    )
    yield ChoiceKey(
        "area_tool",
        "What makes the edges of painted and gilded areas: the stencil's knife or laser, a printer, a brush?",
        (_BY_STENCIL, *AREA_TOOLS),
        _BY_STENCIL,
    )
    yield ChoiceKey(
        "repair",
        "Are places widened and corners rounded that this tool cannot make?",
        ("no", "yes"),
        "no",
    )
    yield ChoiceKey(
        "coats",
        "In which order are coats laid? Opaque paint light over dark, thin paint the other way round.",
        COAT_ORDERS,
        COAT_ORDERS[0],
    )
    yield ChoiceKey(
        "leaf",
        "Which metal leaf? European gold leaf of 80 mm, American of 3 3/8 in, imitation of 140 mm.",
        LEAVES,
        LEAVES[0],
    )

    yield ChoiceKey(
        "carving_tool",
        "How narrow is the narrowest groove that your carving tool makes? Carved lettering grows to it.",
        (_USUAL_TOOL,),
        _USUAL_TOOL,
        number=Number(*_TOOL_MM, "mm", 0.5),
    )


def tool_limits(tool: str) -> tuple[float, float]:
    """Least width and least radius that a tool makes, millimetres.

    >>> tool_limits("brush")
    (1.5, 0.75)
    """
    if tool not in AREA_TOOLS:
        raise DesignError(f"a tool is one of {', '.join(AREA_TOOLS)}, got {tool!r}")
    width, radius = (trade.value(f"stencils.process_{what}").value[tool] for what in ("width", "radius"))
    return float(width), float(radius)


def finishing_of(taken: Mapping[str, str | float]) -> Finishing:
    """The answers, those that are not there as by default."""
    sheet = str(taken.get("stencil_sheet", STENCIL_SHEETS[0]))
    tool = str(taken.get("area_tool", _BY_STENCIL))
    groove = taken.get("carving_tool", _USUAL_TOOL)
    return Finishing(
        sheet,
        str(taken.get("coats", COAT_ORDERS[0])),
        str(taken.get("leaf", LEAVES[0])),
        ("laser" if sheet == "film_laser" else "knife") if tool == _BY_STENCIL else tool,
        taken.get("repair", "no") == "yes",
        groove if isinstance(groove, float) else trade.value("lettering.carving_tool").number,
    )
