"""A sprite, or a plan and its sprite, opened, measured, and written down as a plan."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pixel2make.api.stages import dimension, interpret, load_sprite, segment
from pixel2make.errors import DesignError, PlanError, located

if TYPE_CHECKING:
    from pixel2make.design.model import Design
    from pixel2make.plan.model import Plan, PlanSize
    from pixel2make.plan.write import ChoiceLine
    from pixel2make.reading.model import Reading

__all__ = ["PLAN_SUFFIX", "Source", "make_plan", "measure", "open_source", "plan_for_copy"]

PLAN_SUFFIX = ".toml"
EXAMPLE_SIZE = ("height", "300mm")
"""Size that a plan without one shows the effect of its choices for."""


@dataclass(frozen=True, eq=False)
class Source:
    """A sprite, or a plan and its sprite, read and ready to be given a size.

    Attributes
    ----------
    path : Path
        As given.
    sprite_path : Path
    reading : Reading
        With the maker's changes where a plan has some.
    plan : Plan or None
    """

    path: Path
    sprite_path: Path
    reading: Reading
    plan: Plan | None = None


def open_source(
    path: str | Path,
    *,
    frame: int | None = None,
    region: tuple[int, int, int, int] | None = None,
    cell: tuple[int, int, int, int] | None = None,
) -> Source:
    """Read a sprite, or a plan (a file that ends in .toml) and the sprite that it names.

    Raises
    ------
    Pixel2MakeError
        One line that begins with the file's path.
    """
    path = Path(path)
    if path.suffix.lower() != PLAN_SUFFIX:
        sprite = load_sprite(path, frame=frame or 0, region=region, cell=cell)
        with located(str(path)):
            return Source(path, path, interpret(segment(sprite)))
    with located(str(path)):
        if frame is not None or region is not None or cell is not None:
            raise PlanError(
                "says itself which part of the picture it is for; leave out --frame, --region, --cell"
            )
        plan = _read_plan(path)
        sprite_path = path.parent / plan.sprite_file
        reading = _reading_of(plan, sprite_path)
    return Source(path, sprite_path, reading, plan)


def _read_plan(path: Path) -> Plan:
    from pixel2make.plan import parse_plan
    from pixel2make.reading.model import VIEW_KINDS

    try:
        text = path.read_text("utf-8")
    except UnicodeDecodeError as error:
        raise PlanError("is not a text file in UTF-8; a plan is TOML text") from error
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise PlanError(f"cannot be read ({reason}); name a plan or a sprite") from error
    return parse_plan(text, view_kinds=VIEW_KINDS)


def _reading_of(plan: Plan, sprite_path: Path) -> Reading:
    from pixel2make import kinds
    from pixel2make.plan import overrides_of
    from pixel2make.reading.model import Overrides

    if plan.kind not in kinds.names():
        raise PlanError(
            f"{plan.place('kind')}there is no kind {plan.kind!r}; "
            f"words that would do: {', '.join(kinds.names())}"
        )
    if not sprite_path.is_file():
        raise PlanError(
            f"{plan.place('sprite.file')}its sprite {plan.sprite_file!r} is not there; "
            "put it back or mend the path (it is looked for beside the plan)"
        )
    sprite = load_sprite(sprite_path, frame=plan.frame, region=plan.region, cell=plan.cell)
    if sprite.sha256 != plan.sha256.lower():
        raise PlanError(
            f"{plan.place('sprite.sha256')}is a plan for another picture than {plan.sprite_file!r} "
            f"({plan.sha256[:12]}..., the file has {sprite.sha256[:12]}...); make a new plan for it"
        )
    regions = segment(sprite)
    fresh = interpret(regions, plan.kind)
    overrides = overrides_of(plan, fresh, vocabulary=kinds.find(plan.kind).vocabulary)
    return fresh if overrides == Overrides() else interpret(regions, plan.kind, overrides)


def measure(
    source: Source, *, size: tuple[str, str] | None = None, choices: Mapping[str, str] | None = None
) -> Design:
    """Scale a source by the size given, or by its plan's.

    Parameters
    ----------
    source : Source
    size : (edge, length), optional
        Edge is "height", "width" or "thickness", length as a maker writes it; wins over the plan.
    choices : mapping of str to str, optional
        Answers by the choice's key; they win over the plan's.
    """
    from pixel2make.pack.flat_findings import with_flat_findings

    chosen = _size(source, size)
    taken = {**(dict(source.plan.choices) if source.plan else {}), **(choices or {})}
    with located(str(source.path)), _located_choice(source.plan):
        design = dimension(source.reading, given=chosen.edge, size_mm=chosen.mm, choices=taken)
        return with_flat_findings(design)


@contextmanager
def _located_choice(plan: Plan | None) -> Iterator[None]:
    """Put the plan's line before a complaint about one of its choices."""
    try:
        yield
    except DesignError as error:
        found = re.match(r"(?:there is no )?choice '?(\w+)", str(error))
        place = plan.place(f"choices.{found[1]}") if plan and found else ""
        raise DesignError(f"{place}{error}") from error


def _size(source: Source, size: tuple[str, str] | None) -> PlanSize:
    from pixel2make.plan.model import PlanSize
    from pixel2make.quantity import parse_length

    if size is not None:
        with located(f"--{size[0]}"):
            return PlanSize(size[0], parse_length(size[1]), size[1])
    if source.plan is not None and source.plan.size is not None:
        return source.plan.size
    raise DesignError(
        f"{source.path}: no real size is given; add --height, --width or --thickness, such as --height 300mm"
    )


def make_plan(
    source: Source,
    *,
    out: Path,
    size: tuple[str, str] | None = None,
    choices: Mapping[str, str] | None = None,
) -> tuple[str, tuple[str, ...]]:
    """The text of a plan at `out`, merged with the plan that stands there, and what was kept.

    Choices given here win over those of the plan.

    Raises
    ------
    PlanError
        Where `out` holds something else than a plan for this sprite.
    """
    from pixel2make.plan import merge_plan, parse_plan
    from pixel2make.reading.model import VIEW_KINDS

    given = _size(source, size) if size else None
    if choices:
        edge, mm = (given.edge, given.mm) if given else _example_size()
        dimension(source.reading, given=edge, size_mm=mm, choices=choices)
    fresh = _plan_text(source, _relative(source.sprite_path, out.parent), given, choices)
    if not out.is_file():
        return fresh, ()
    with located(str(out)):
        old_text = out.read_text("utf-8", errors="replace")
        old = parse_plan(old_text, view_kinds=VIEW_KINDS)
        if old.sha256.lower() != source.reading.regions.sprite.sha256:
            raise PlanError("is a plan for another picture; nothing was changed; name another file with -o")
    return merge_plan(old_text, fresh, win=("size",) if size else (), answers=choices)


def _relative(path: Path, folder: Path) -> str:
    try:
        return Path(os.path.relpath(path.resolve(), folder.resolve())).as_posix()
    except ValueError:  # another drive
        return path.resolve().as_posix()


def _example_size() -> tuple[str, float]:
    from pixel2make.quantity import parse_length

    return EXAMPLE_SIZE[0], parse_length(EXAMPLE_SIZE[1])


def _choice_lines(
    reading: Reading, size: PlanSize | None, choices: Mapping[str, str], design: Design | None
) -> tuple[ChoiceLine, ...]:
    from pixel2make.plan.write import ChoiceLine
    from pixel2make.quantity import format_change

    edge, mm = (size.edge, size.mm) if size else _example_size()
    try:
        design = design or dimension(reading, given=edge, size_mm=mm, choices=choices)
    except DesignError:
        return ()
    at = f"at {size.edge} {size.text}" if size else f"at {EXAMPLE_SIZE[0]} {EXAMPLE_SIZE[1]}"
    return tuple(
        ChoiceLine(
            choice.key,
            choice.question,
            choice.options,
            choice.taken,
            tuple(
                f"{option}: {name} {format_change(change, design.units)} {at}"
                for option, name, change in choice.effect_mm
            ),
        )
        for choice in design.choices
    )


def plan_for_copy(
    source: Source,
    *,
    size: tuple[str, str] | None = None,
    choices: Mapping[str, str] | None = None,
    design: Design | None = None,
) -> str:
    """A plan for a copy of the sprite that lies beside it, with the size and choices that were used.

    A `design` that was made with them saves making it once more.
    """
    from pixel2make.plan import moved_plan

    chosen = _size(source, size)
    file = source.reading.regions.sprite.file
    if source.plan is None:
        return _plan_text(source, file, chosen, choices or {}, design)
    text = source.path.read_text("utf-8")
    return moved_plan(text, sprite_file=file, size=chosen, choices=choices or {})


def _plan_text(
    source: Source,
    sprite_file: str,
    size: PlanSize | None,
    choices: Mapping[str, str] | None = None,
    design: Design | None = None,
) -> str:
    from pixel2make import kinds
    from pixel2make.plan import plan_text

    return plan_text(
        source.reading,
        sprite_file=sprite_file,
        vocabulary=kinds.find(source.reading.kind).vocabulary,
        size=size,
        choices=_choice_lines(source.reading, size, choices or {}, design),
    )
