"""The words for what is drawn on a book, and how patches of one word become things."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

__all__ = ["GROUPING", "SAID", "VOCABULARY"]

VOCABULARY: Mapping[str, str] = MappingProxyType(
    {
        "cover": "the front board's covering, with its light, shade and texture",
        "spine": "the back of the book, between the boards",
        "page_edge": "the cut edges of the pages",
        "back_cover": "the back board, where it looks out behind the pages",
        "clasp": "the metal that holds the book shut at the fore-edge",
        "strap": "a band that runs to a clasp or round the book",
        "corner_piece": "metal or leather that guards a corner of the cover",
        "emblem": "an ornament on the cover that is no lettering",
        "title_area": "lettering, or the panel that bears it",
        "border": "a line or frame along the edge of a face, or across the spine",
        "bookmark": "a ribbon that hangs out of the pages",
        "outline": "the drawn dark contour; no part of the real book",
        "background": "no object is drawn here",
        "other": "something else; it is not made",
    }
)
"""Feature words with their meaning, in the order in which they are offered."""

SAID: Mapping[str, str] = MappingProxyType({word: word.replace("_", " ") for word in VOCABULARY})
"""The words as they stand in a sentence."""

GROUPING: Mapping[str, str] = MappingProxyType(
    {
        "cover": "one",
        "spine": "one",
        "page_edge": "one_a_face",
        "back_cover": "one",
        "clasp": "touching",
        "strap": "aligned",
        "corner_piece": "touching",
        "emblem": "touching",
        "title_area": "one_a_face",
        "border": "one_a_face",
        "bookmark": "touching",
        "outline": "one",
        "background": "one",
        "other": "touching",
    }
)
"""See `pixel2make.reading.kind.GROUPINGS`."""
