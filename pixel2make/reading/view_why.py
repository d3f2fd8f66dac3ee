"""What a maker is told about a view: short sentences from the evidence."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["why_of"]

CLOSE_FIT = 0.3
"""Differing pixels over the square root of the area, up to which box and outline agree: about five pixels
of a 16 px sprite, as rounded corners leave."""

PLAIN_STEP = 0.35
EVEN_STEP = 0.6
PAPER_STEP = 0.12
SURE_NAMING = 0.7
LIKE_A_BOX = 0.5

_KIND = {
    "front": "The cover faces the viewer and no side is told apart from it.",
    "front_with_edges": "The cover faces the viewer and a strip beside it shows a side.",
    "oblique": "One face is drawn true and the edges that go back run at a slant.",
    "axonometric": "Three faces show, with edges as of a box seen from afar.",
}


def why_of(
    kind: str,
    seen: Mapping[str, float],
    turn: tuple[bool, bool, bool],
    name_chance: float,
    is_box: float,
) -> tuple[str, ...]:
    """Sentences for one view.

    Parameters
    ----------
    kind : str
        View kind.
    seen : mapping
        Evidence by name.
    turn : (swap, fore, tail)
        The naming taken.
    name_chance : float
        0..1, of the naming among the eight.
    is_box : float
        0..1, that the object is a drawn box at all.
    """
    out = [_KIND[kind], _fit(seen)]
    if is_box < LIKE_A_BOX:
        out.append("The object does not look much like a drawn box; this is a guess.")
    if kind != "front":
        out.append(_edges(seen))
        _, fore, tail = turn
        if seen["paper_best"] > PAPER_STEP:
            out.append("The lightest side looks like paper, so it is taken for the pages.")
        elif seen["alike_best"] > EVEN_STEP:
            out.append("The sides have the cover's own material.")
        ends = f"the {'fore-edge' if fore else 'spine'} or the {'tail' if tail else 'head'}"
        out.append(f"What shows beside the cover is {ends}, as far as drawn.")
    if name_chance < SURE_NAMING:
        out.append("Which way up the book lies is not sure; spine left and head up is common practice.")
    return tuple(out)


def _fit(seen: Mapping[str, float]) -> str:
    if seen["missing"] + seen["excess"] < CLOSE_FIT:
        return "Box and outline agree."
    if seen["excess"] > seen["missing"]:
        return "Parts of the object stick out of the box."
    return "The object does not fill the box."


def _edges(seen: Mapping[str, float]) -> str:
    if seen["step_weakest"] > PLAIN_STEP:
        return "Colours change plainly along the cover's edges."
    if seen["even_weakest"] > EVEN_STEP:
        return "Shades change evenly along the cover's edges."
    return "The cover's edges towards the sides are faint."
