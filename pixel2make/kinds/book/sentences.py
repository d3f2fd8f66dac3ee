"""Evidence in words that a maker understands."""

from __future__ import annotations

from collections.abc import Mapping

from pixel2make.kinds.book.evidence import WHOLE

__all__ = ["TIES", "place_sentence", "sentence_of"]

_PLACES: Mapping[str | None, str] = {
    "cover": "It lies on the front cover.",
    "spine": "It lies on the spine.",
    "fore_edge": "It lies on the side at the fore-edge.",
    "head": "It lies on the side at the head.",
    "tail": "It lies on the side at the tail.",
    "back": "It lies on the back cover.",
    None: "It lies outside the book's box.",
}

_SENTENCES: Mapping[tuple[str, str], str] = {
    ("cover", "in a line of marks"): "It is one of the marks that make a line, as lettering does.",
    ("cover", "one of several lines"): "Marks of its colour make several lines, one under the other.",
    ("cover", "in an even figure"): "It is a part of one even figure about the cover's middle line.",
    ("cover", "strewn"): "Specks of its colour are strewn, as texture is.",
    ("cover", "a band from head or tail"): "It is a straight band that comes in from the head or the tail.",
    ("cover", "a band from the spine or the fore-edge"): "It is a straight band that comes in from a side.",
    ("cover", "a line from head to tail"): "It is a straight line from head to tail.",
    ("cover", "a line from spine to fore-edge"): "It is a straight line from the spine to the fore-edge.",
    ("", "half of its face"): "It fills most of that face.",
    ("", "largest on its face"): "It is the largest patch there.",
    ("", "small"): "It is small.",
    ("", "one or two pixels"): "It is only a pixel or two.",
    ("cover", "at the first side"): "It reaches the spine side.",
    ("cover", "at the last side"): "It reaches the fore-edge.",
    ("cover", "at the head"): "It reaches the head.",
    ("cover", "at the tail"): "It reaches the tail.",
    ("side", "at the first side"): "It lies against the front cover.",
    ("side", "at the last side"): "It lies on the far side, against the back.",
    ("spine", "at the first side"): "It lies against the front cover.",
    ("spine", "at the last side"): "It lies on the far side, against the back.",
    ("cover", "centred across"): "It is centred across the width.",
    ("cover", "half way down"): "It lies half way down.",
    ("cover", "a strap runs into it"): "A strap runs into it.",
    ("side", "half way down"): "It lies half way along.",
    (
        "cover",
        "a quarter from an end",
    ): "It lies a quarter of the height from an end, where paired clasps sit.",
    ("cover", "in the middle"): "It lies in the middle.",
    ("cover", "in the upper part"): "It lies in the upper part.",
    ("cover", "in the lower part"): "It lies in the lower part.",
    ("off", "beyond the tail"): "It hangs out below the tail.",
    ("off", "beyond the head"): "It sticks out above the head.",
    ("cover", "in a corner"): "It fits a corner of the cover.",
    ("cover", "from side to side"): "It runs from spine to fore-edge.",
    ("cover", "from head to tail"): "It runs from head to tail.",
    ("side", "from head to tail"): "It runs along the whole side.",
    ("spine", "from head to tail"): "It runs from head to tail.",
    ("spine", "from side to side"): "It runs across the spine.",
    ("side", "from side to side"): "It runs across the whole thickness.",
    ("", "one or two steps high"): "It is a pixel or two high.",
    ("", "one or two steps wide"): "It is a pixel or two wide.",
    ("", "lengthwise"): "It is wider than high.",
    ("", "upright"): "It is higher than wide.",
    ("", "fills its box"): "It has straight sides.",
    ("", "frame"): "It is a hollow frame.",
    ("cover", "mirror image of itself"): "Its left and right halves match about the middle of the cover.",
    ("cover", "along the face's edges"): "It keeps to the cover's edges.",
    ("", "one pixel thin"): "It is a line one pixel thin.",
    ("", "gold"): "It is the colour of gold or brass.",
    ("", "copper"): "It is the colour of copper or leather.",
    ("", "grey metal"): "It is the grey of metal.",
    ("", "paper"): "It is the colour of paper.",
    ("", "dark"): "It is dark.",
    ("", "light"): "It is light.",
    ("", "strong colour"): "It has a strong colour.",
    ("", "like the cover"): "It has the cover's colour.",
    ("", "a shade of the cover"): "It is a shade of the cover's colour.",
    ("", "like the pages"): "It has the pages' colour.",
    ("", "a shade of the pages"): "It is a shade of the pages' colour.",
    ("", "like the spine"): "It has the spine's colour.",
    ("", "a shade of the spine"): "It is a shade of the spine's colour.",
    ("", "lighter than the cover"): "It is lighter than the cover.",
    ("", "darker than the cover"): "It is darker than the cover.",
    ("", "lighter than the pages"): "It is lighter than the pages.",
    ("", "darker than the pages"): "It is darker than the pages.",
    ("", "inside one patch"): "One other patch lies all round it.",
    ("", "inside the cover's ground"): "The cover lies all round it.",
    ("", "touches nothing drawn"): "It borders on the background.",
    ("contour", "touches nothing drawn"): "It parts the object from the background.",
    ("", "along the contour"): "The drawn contour runs along it.",
    ("", "several shades"): "It is shaded in several steps.",
    ("", "alike ones there"): "There are more like it on that face.",
    ("cover", "has a mirror image"): "A twin lies at its mirror image on the cover.",
    ("cover", "one of four"): "Three more like it lie at its mirror images.",
    ("cover", "a third colour in a clasp's place"): "It has a colour of its own where a clasp sits.",
    ("side", "a third colour in a clasp's place"): "It has a colour of its own where a clasp sits.",
    ("cover", "a third colour in a corner"): "It has a colour of its own in a corner.",
    ("cover", "a third colour in the middle"): "It has a colour of its own in the middle.",
    ("", "a third colour"): "Neither the cover nor the pages have its colour.",
    ("cover", "in a clasp's place"): "It sits at the fore-edge, where clasps sit.",
    ("side", "in a clasp's place"): "It sits where clasps sit.",
    ("cover", "a row in the upper part"): "It is a row in the upper part of the cover.",
    ("cover", "goes on over the side"): "It goes on over the fore-edge.",
    ("cover", "goes on over the spine"): "It goes on over the spine.",
    ("side", "goes on over the cover"): "It goes on over the front cover.",
    ("spine", "goes on over the cover"): "It goes on over the front cover.",
}
"""Sentence by (group, evidence); a group of "" stands for all that have no sentence of their own."""

TIES: Mapping[tuple[str, str], str] = {
    ("touches", "strap"): "A strap runs up to it.",
    ("touches", "clasp"): "It touches a clasp.",
    ("a shade beside", "clasp"): "It is a shade of the clasp beside it.",
    ("a shade beside", "strap"): "It is a shade of the strap beside it.",
    ("a shade beside", "corner_piece"): "It is a shade of the corner piece beside it.",
    ("a shade beside", "emblem"): "It is a shade of the emblem beside it.",
    ("a shade beside", "title_area"): "It is a shade of the title beside it.",
    ("a shade beside", "border"): "It is a shade of the border beside it.",
    ("inside", "title_area"): "It lies inside the title's panel.",
    ("inside", "emblem"): "It lies inside the emblem.",
    ("inside", "clasp"): "It lies inside the clasp.",
    ("inside", "cover"): "The cover lies round it.",
    ("alike", "title_area"): "Rows like it stand above or below.",
    ("alike", "emblem"): "It has the emblem's colour.",
    ("alike", "corner_piece"): "It is like the other corner pieces.",
    ("alike", "border"): "It is like the rest of the border.",
    ("alike", "cover"): "It is like other shades of the cover.",
    ("mirrored", "corner_piece"): "A corner piece like it sits in another corner.",
    ("mirrored", "clasp"): "A clasp like it sits at the other end.",
    ("mirrored", "emblem"): "Its other half lies at its mirror image.",
    ("mirrored", "strap"): "A strap like it runs at the other end.",
    ("in line, a shade", "strap"): "It is in line with a strap of its colour.",
    ("in line, a shade", "clasp"): "It is in line with a clasp of its colour.",
    ("in line, a shade", "title_area"): "It stands in line with lettering.",
    ("in line, unlike", "strap"): "A strap of another colour lies in line with it.",
    ("in line, unlike", "clasp"): "A clasp of another colour lies in line with it.",
    ("bends over an edge", "clasp"): "The clasp goes on round the edge.",
    ("bends over an edge", "strap"): "The strap goes on round the edge.",
    ("bends over an edge", "spine"): "It has the colour of the spine beside it.",
}
"""Sentence by (tie, feature of the neighbours that pull most)."""


def sentence_of(group: str, evidence: str) -> str:
    """A piece of evidence as a fact; "" where it is nothing that a maker would see.

    Parameters
    ----------
    group : str
        See `pixel2make.kinds.book.evidence.GROUPS`.
    evidence : str
    """
    name = evidence.removeprefix(WHOLE)
    fact = _SENTENCES.get((group, name), _SENTENCES.get(("", name), ""))
    if fact and name != evidence:
        return f"With the like pieces beside it: {fact[0].lower()}{fact[1:]}"
    return fact


def place_sentence(group: str, face: str | None) -> str:
    """Where a patch lies, as a sentence.

    Parameters
    ----------
    group : str
        See `pixel2make.kinds.book.evidence.GROUPS`.
    face : str or None
    """
    return "It is a dark line between areas." if group == "contour" else _PLACES[face]
