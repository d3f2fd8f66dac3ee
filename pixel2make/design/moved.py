"""What other answers move: every dimension, mass and count of one design beside those of another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pixel2make.design.model import Design

__all__ = ["Move", "moves"]

_LEAST: Mapping[str, float] = {"mm": 0.005, "g": 0.05, "pieces": 0.5, "min": 0.5}
"""Half the last digit that a table shows of each unit."""


@dataclass(frozen=True)
class Move:
    """One figure before and after.

    Attributes
    ----------
    name : str
        A dimension, or a part with what of it is counted.
    unit : {"mm", "g", "pieces", "min"}
    before, after : float or None
        None where the object has no such thing.
    """

    name: str
    unit: str
    before: float | None
    after: float | None

    @property
    def change(self) -> float | None:
        """After less before; None where one of them is missing."""
        return None if self.before is None or self.after is None else self.after - self.before


def moves(before: Design, after: Design) -> tuple[Move, ...]:
    """All that differs, dimensions first, then masses, pieces and work by hand.

    Parameters
    ----------
    before, after : Design
        Of one reading at one size, with different answers.
    """
    return tuple(
        move
        for table in (_lengths, _masses, _pieces, _work)
        for move in _compared(table(before), table(after))
    )


_Table = dict[tuple[str, str], float]


def _lengths(design: Design) -> _Table:
    return {(d.name, "mm"): d.value_mm for d in design.dimensions}


def _masses(design: Design) -> _Table:
    if not design.mass_g:
        return {}
    return {
        **{(f"mass of {name}", "g"): grams for name, grams in design.mass_g},
        ("mass in all", "g"): design.total_mass_g,
    }


def _pieces(design: Design) -> _Table:
    return {(f"number of {part.name}", "pieces"): part.quantity for part in design.parts}


def _work(design: Design) -> _Table:
    minutes = sum(step.bench_minutes for step in design.steps)
    return {("work by hand", "min"): minutes} if minutes else {}


def _compared(before: _Table, after: _Table) -> Iterator[Move]:
    for name, unit in dict.fromkeys([*before, *after]):
        move = Move(name, unit, before.get((name, unit)), after.get((name, unit)))
        if move.change is None or abs(move.change) >= _LEAST[unit]:
            yield move
