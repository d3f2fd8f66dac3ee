"""Reading to a plan's text: TOML with comments that a person can follow."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from pixel2make.plan.model import PLAN_VERSION, PlanSize
from pixel2make.reading.model import Patch, Reading, View
from pixel2make.regions.part import region_of

__all__ = ["ChoiceLine", "plan_text", "toml_string"]

_WIDTH = 100
"""Columns of a comment line, so that the plan reads well in a narrow editor."""

_BARE = re.compile(r"^[A-Za-z0-9_-]+$")


@dataclass(frozen=True)
class ChoiceLine:
    """One line of ``[choices]``.

    Attributes
    ----------
    key, question : str
    options : tuple of str
        Words that would do; "a length, such as 8mm" may be one of them.
    taken : str
    effects : tuple of str
        Sentences such as "rule_b: joint_gap +2.5 mm".
    """

    key: str
    question: str
    options: tuple[str, ...]
    taken: str
    effects: tuple[str, ...] = ()


def toml_string(text: str) -> str:
    r"""A TOML basic string.

    >>> print(toml_string('11 3/4"'))
    "11 3/4\""
    """
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + re.sub(r"[\x00-\x1f\x7f]", lambda m: f"\\u{ord(m[0]):04x}", escaped) + '"'


def plan_text(
    reading: Reading,
    *,
    sprite_file: str,
    vocabulary: Iterable[str],
    size: PlanSize | None = None,
    choices: Sequence[ChoiceLine] = (),
) -> str:
    """The plan of a reading, ready to be changed by hand.

    Parameters
    ----------
    reading : Reading
    sprite_file : str
        Path of the sprite as the plan should name it, with forward slashes.
    vocabulary : iterable of str
        Feature words of the reading's kind.
    size : PlanSize, optional
        Without it the plan shows how a size is given.
    choices : sequence of ChoiceLine
    """
    blocks = (
        _head(reading),
        _sprite(reading, sprite_file),
        _size(size),
        _view(reading),
        _regions(reading, vocabulary),
        _boxes(),
        _choices(choices),
        _questions(reading),
    )
    return "\n".join("\n".join(block) + "\n" for block in blocks if block)


def _head(reading: Reading) -> list[str]:
    return [
        *_comment(
            "Plan for pixel2make: what the sprite was taken for, and why. Change a value and build from this "
            "file; what stands here is never second-guessed. Lengths have a unit. Pixels are native sprite "
            "pixels, x to the right, y down."
        ),
        f"plan_version = {PLAN_VERSION}",
        f"kind = {toml_string(reading.kind)}",
    ]


def _sprite(reading: Reading, sprite_file: str) -> list[str]:
    sprite = reading.regions.sprite
    rows, columns = sprite.shape
    scale = "" if sprite.grid.scale == 1 else f", drawn {sprite.grid.scale:g} times larger in the file"
    lines = [
        "[sprite]",
        f"# {columns} x {rows} native pixels{scale}. The file is looked for beside this plan.",
        f"file = {toml_string(sprite_file)}",
        "# This plan is for this picture only; if the picture changes, make a new plan.",
        f"sha256 = {toml_string(sprite.sha256)}",
    ]
    if sprite.frame:
        lines.append(f"frame = {sprite.frame}")
    if sprite.region_px is not None:
        lines.append(
            f"region = [{', '.join(map(str, sprite.region_px))}]  # x, y, width, height in file pixels"
        )
    return lines


def _size(size: PlanSize | None) -> list[str]:
    lines = ["[size]", "# The real size of one edge of the closed book: height, width or thickness."]
    example = '# height = "300mm"'
    return [*lines, f"{size.edge} = {toml_string(size.text)}" if size else example]


def _view(reading: Reading) -> list[str]:
    view = reading.view
    lines = ["[view]", *_comment(f"{_percent(view.confidence)} sure. {' '.join(view.why)}")]
    for other in reading.alternatives:
        lines += _comment(f"Next best: {_view_words(other)}")
    lines += [
        f"kind = {toml_string(view.kind)}",
        "# Cover: head-spine, head-fore-edge, tail-fore-edge, tail-spine, without the drawn contour.",
        f"cover_corners = {_points(view.cover_corners_px)}",
    ]
    if view.thickness_px is None:
        lines.append(
            "# thickness = [4, 2]  # drawn vector from the front cover to the back; none is drawn here"
        )
    else:
        lines.append(f"thickness = {_point(view.thickness_px)}  # drawn vector, front cover to back cover")
    if view.strip_px is not None:
        lines.append(f"strip = {_point(view.strip_px)}  # a second side drawn flat beside the cover")
    elif view.kind == "front_with_edges":
        lines.append("# strip = [0, 3]  # a second side drawn flat beside the cover; none is told here")
    return [*lines, *_measured(reading)]


def _measured(reading: Reading) -> list[str]:
    """What else the pixels tell of the shape, for the maker's choices below."""
    lines = []
    for word, found in (
        ("Corner rounding", reading.corner_rounding),
        ("Squares", reading.square_px),
        ("Bevelled edge", reading.chamfer),
    ):
        if found is not None:
            span = f"{_number(found.low_px)} to {_number(found.high_px)}"
            lines += _comment(f"{word}: {_number(found.value_px)} px ({span}). {found.why}")
    if reading.bands:
        places = ", ".join(_percent(band.at) for band in reading.bands)
        sure = _percent(min(band.confidence for band in reading.bands))
        lines += _comment(f"Raised bands on the spine at {places} from the head; {sure} sure.")
    return lines


def _view_words(view: View) -> str:
    thickness = "" if view.thickness_px is None else f", thickness = {_point(view.thickness_px)}"
    strip = "" if view.strip_px is None else f", strip = {_point(view.strip_px)}"
    corners = _points(view.cover_corners_px)
    return f"{view.kind} ({_percent(view.confidence)}), cover_corners = {corners}{thickness}{strip}"


def _regions(reading: Reading, vocabulary: Iterable[str]) -> list[str]:
    words = ", ".join(vocabulary)
    lines = [
        "[regions]",
        *_comment(f"What each patch of colour is. Words that would do: {words}."),
        *_comment("A region that lies on two faces has a line for each; r7 alone stands for all its parts."),
    ]
    for patch in sorted(reading.patches, key=_patch_order):
        if patch.region == 0 and patch.name == "r0":
            continue
        lines += _comment(_patch_words(reading, patch))
        key = patch.name if _BARE.match(patch.name) else toml_string(patch.name)
        lines.append(f"{key} = {toml_string(patch.feature)}")
    return lines


def _patch_order(patch: Patch) -> tuple[int, str]:
    return (patch.region, patch.name)


def _patch_words(reading: Reading, patch: Patch) -> str:
    ys, xs = patch.mask.nonzero()
    where = f"x {xs.min()} to {xs.max()}, y {ys.min()} to {ys.max()}" if len(xs) else "no pixel"
    region = region_of(reading.regions, patch.mask)
    color = region.color if region else ""
    others = [c for c in patch.candidates if c.feature != patch.feature][:2]
    rest = "; else " + ", ".join(f"{c.feature} {_percent(c.score)}" for c in others) if others else ""
    why = "; ".join(sentence.rstrip(".") for sentence in patch.why)
    pixels = "1 pixel" if len(xs) == 1 else f"{len(xs)} pixels"
    sure = "the maker's word" if patch.origin == "maker" else _percent(patch.confidence)
    return f"{pixels} {color}, {where}. {sure}: {why or 'no other reading'}{rest}."


def _boxes() -> list[str]:
    return [
        *_comment("Pixels that no line above parts from their neighbours? Name them by a box:"),
        "# [[box]]",
        "# at = [20, 12, 3, 4]  # x, y, width, height",
        '# feature = "clasp"',
    ]


def _choices(choices: Sequence[ChoiceLine]) -> list[str]:
    if not choices:
        return []
    lines = ["[choices]"]
    for choice in choices:
        lines += _comment(f"{choice.question} Words that would do: {', '.join(choice.options)}.")
        for effect in choice.effects:
            lines += _comment(f"  {effect}")
        lines.append(f"{choice.key} = {toml_string(choice.taken)}")
    return lines


def _questions(reading: Reading) -> list[str]:
    if not reading.questions:
        return []
    lines = _comment("Open questions, for the maker to answer above:")
    for question in reading.questions:
        lines += _comment(f"- {question.question} Taken: {question.taken}.")
    return lines


def _comment(text: str) -> list[str]:
    return list(_wrapped(text))


def _wrapped(text: str) -> Iterator[str]:
    indent = text[: len(text) - len(text.lstrip())]
    text = " ".join(text.split())
    for line in textwrap.wrap(text, _WIDTH - 2, initial_indent=indent, subsequent_indent=indent):
        yield f"# {line}"


def _percent(share: float) -> str:
    return f"{round(100 * share)} %"


def _point(point: Sequence[float]) -> str:
    return f"[{', '.join(_number(v) for v in point)}]"


def _points(points: Sequence[Sequence[float]]) -> str:
    return f"[{', '.join(map(_point, points))}]"


def _number(value: float) -> str:
    """Two decimals are far below what a pixel tells, and keep the line readable."""
    return f"{round(float(value), 2) + 0.0:g}"
