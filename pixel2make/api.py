"""The whole way from a picture to a pack, one function a stage and one that runs them all.

load_sprite > segment > interpret > dimension > export; `open_source` and `build_pack` join them.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pixel2make.errors import DesignError, Pixel2MakeError, PlanError, located

if TYPE_CHECKING:
    from pixel2make.design.model import Design
    from pixel2make.plan.model import Plan, PlanSize
    from pixel2make.plan.write import ChoiceLine
    from pixel2make.reading.model import Overrides, Reading
    from pixel2make.regions.model import RegionMap
    from pixel2make.sprite.model import Sprite

__all__ = [
    "CoverText",
    "Pack",
    "Source",
    "build_pack",
    "dimension",
    "export",
    "interpret",
    "load_sprite",
    "make_plan",
    "measure",
    "open_source",
    "read_cells",
    "segment",
]

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


@dataclass(frozen=True)
class CoverText:
    """What is lettered on the cover, and in which face or font file."""

    title: str
    subtitle: str | None = None
    byline: str | None = None
    face: str = "engraved"


@dataclass(frozen=True, eq=False)
class Pack:
    """Files that were written, by path in the folder, and what they were made from."""

    folder: Path
    files: Mapping[str, bytes]
    design: Design


def load_sprite(
    path: str | Path,
    *,
    frame: int = 0,
    region: tuple[int, int, int, int] | None = None,
    cell: tuple[int, int, int, int] | None = None,
) -> Sprite:
    """Read a picture file onto its native pixel grid; see `pixel2make.sprite.load_sprite`."""
    from pixel2make.sprite import load_sprite as load

    with located(str(path)):
        return load(path, frame=frame, region=region, cell=cell)


def segment(sprite: Sprite) -> RegionMap:
    """Find the regions of one material; see `pixel2make.regions.segment`."""
    from pixel2make.regions import segment as find

    return find(sprite)


def interpret(regions: RegionMap, kind: str = "book", overrides: Overrides | None = None) -> Reading:
    """Tell the view and the features; see `pixel2make.reading.interpret`."""
    from pixel2make import kinds
    from pixel2make.reading import interpret as read
    from pixel2make.reading.model import Overrides

    return read(regions, kinds.find(kind), overrides or Overrides())


def read_cells(
    path: str | Path, *, cell: tuple[int, int], kind: str = "book", processes: int | None = None
) -> dict[tuple[int, int], Reading | str]:
    """Read every cell of a sheet of sprites, on all cores.

    Parameters
    ----------
    path : path
        A picture with sprites on a regular grid.
    cell : (width, height)
        Size of a cell in file pixels.
    kind : str
    processes : int, optional
        As many as there are cores where left out.

    Returns
    -------
    dict of (column, row) to Reading or str
        In raster order; a string says why a cell could not be read, an empty cell is left out.
    """
    from concurrent.futures import ProcessPoolExecutor

    from pixel2make.sprite import cells_of

    with located(str(path)):
        places = cells_of(path, cell)
    work = [(str(path), (*cell, column, row), kind) for column, row in places]
    if processes == 1 or len(work) < 2:
        found = [_read_cell(*each) for each in work]
    else:
        with ProcessPoolExecutor(processes) as pool:
            found = list(pool.map(_read_cell, *zip(*work, strict=True)))
    return dict(zip(places, found, strict=True))


def _read_cell(path: str, cell: tuple[int, int, int, int], kind: str) -> Reading | str:
    try:
        return interpret(segment(load_sprite(path, cell=cell)), kind)
    except Pixel2MakeError as error:
        return str(error)


def dimension(
    reading: Reading,
    *,
    given: str = "height",
    size_mm: float,
    choices: Mapping[str, str | float] | None = None,
) -> Design:
    """Scale a reading to a real size; see `pixel2make.design.dimension`."""
    from pixel2make import kinds
    from pixel2make.design import dimension as scale

    return scale(reading, kinds.find(reading.kind), given=given, size_mm=size_mm, choices=choices or {})


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


def measure(source: Source, *, size: tuple[str, str] | None = None) -> Design:
    """Scale a source by the size given, or by its plan's.

    Parameters
    ----------
    source : Source
    size : (edge, length), optional
        Edge is "height", "width" or "thickness", length as a maker writes it; wins over the plan.
    """
    chosen = _size(source, size)
    choices = dict(source.plan.choices) if source.plan else {}
    with located(str(source.path)), _located_choice(source.plan):
        return dimension(source.reading, given=chosen.edge, size_mm=chosen.mm, choices=choices)


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
    source: Source, *, out: Path, size: tuple[str, str] | None = None
) -> tuple[str, tuple[str, ...]]:
    """The text of a plan at `out`, merged with the plan that stands there, and what was kept.

    Raises
    ------
    PlanError
        Where `out` holds something else than a plan for this sprite.
    """
    from pixel2make.plan import merge_plan, parse_plan
    from pixel2make.reading.model import VIEW_KINDS

    given = _size(source, size) if size else None
    fresh = _plan_text(source, _relative(source.sprite_path, out.parent), given)
    if not out.is_file():
        return fresh, ()
    with located(str(out)):
        old_text = out.read_text("utf-8", errors="replace")
        old = parse_plan(old_text, view_kinds=VIEW_KINDS)
        if old.sha256.lower() != source.reading.regions.sprite.sha256:
            raise PlanError("is a plan for another picture; nothing was changed; name another file with -o")
    return merge_plan(old_text, fresh, win=("size",) if size else ())


def _relative(path: Path, folder: Path) -> str:
    try:
        return Path(os.path.relpath(path.resolve(), folder.resolve())).as_posix()
    except ValueError:  # another drive
        return path.resolve().as_posix()


def _choice_lines(reading: Reading, size: PlanSize | None) -> tuple[ChoiceLine, ...]:
    from pixel2make.plan.write import ChoiceLine
    from pixel2make.quantity import parse_length

    edge, mm = (size.edge, size.mm) if size else (EXAMPLE_SIZE[0], parse_length(EXAMPLE_SIZE[1]))
    try:
        design = dimension(reading, given=edge, size_mm=mm)
    except DesignError:
        return ()
    at = f"at {size.edge} {size.text}" if size else f"at {EXAMPLE_SIZE[0]} {EXAMPLE_SIZE[1]}"
    return tuple(
        ChoiceLine(
            choice.key,
            choice.question,
            choice.options,
            choice.taken,
            tuple(f"{option}: {name} {change:+.1f} mm {at}" for option, name, change in choice.effect_mm),
        )
        for choice in design.choices
    )


def export(
    design: Design,
    *,
    sections: Sequence[str] | None = None,
    extra: Mapping[str, bytes] | None = None,
) -> dict[str, bytes]:
    """The files of a pack by path, in memory: drawings, sheets, masks, clasp, and what they are for.

    Parameters
    ----------
    design : Design
    sections : sequence of str, optional
        Keys of `pixel2make.pack.sections.SECTIONS`; all of them, and spec.json, where left out.
    extra : mapping of path to bytes, optional
        More files to go into the pack and its README.txt.
    """
    from pixel2make.pack.readme import readme_bytes
    from pixel2make.pack.sections import SECTIONS, part_files, section_files
    from pixel2make.pack.spec import spec_bytes

    files: dict[str, bytes] = dict(extra or {})
    for section in SECTIONS if sections is None else sections:
        files.update(section_files(section, design))
    if sections is None:
        files["spec.json"] = spec_bytes(design, part_files=part_files(design))
    files["README.txt"] = readme_bytes(design, sorted(files))
    return files


def build_pack(
    source: Source,
    *,
    out: str | Path,
    size: tuple[str, str] | None = None,
    pack: str = "build",
    cover: CoverText | None = None,
) -> Pack:
    """Write a pack in one move.

    Parameters
    ----------
    source : Source
    out : path
        New, empty, or an earlier pack of ours.
    size : (edge, length), optional
    pack : {"build", "masks", "clasp"}
    cover : CoverText, optional
        Lettering of the cover; a full pack then gets the cover's layout.

    Raises
    ------
    Pixel2MakeError
        Nothing is written then.
    """
    from pixel2make.pack.sections import PACKS
    from pixel2make.pack.writer import check_folder, write_pack

    folder = Path(out)
    with located(str(out)):
        check_folder(folder)
    design = measure(source, size=size)
    with located(str(source.path)):
        _check_has(design, source, pack)
        if pack == "build":
            extra = _plan_files(source, size) | (_cover_files(design, cover) if cover else {})
            files = export(design, extra=extra)
        else:
            files = export(design, sections=PACKS[pack])
    with located(str(out)):
        write_pack(files, folder)
    return Pack(folder, files, design)


def _cover_files(design: Design, cover: CoverText) -> dict[str, bytes]:
    from pixel2make.pack.cover_layout import cover_layout_files

    return cover_layout_files(
        design, title=cover.title, subtitle=cover.subtitle, byline=cover.byline, face=cover.face
    )


def _check_has(design: Design, source: Source, pack: str) -> None:
    """Refuse a pack that would be empty, and say how the maker can fill it."""
    what = {"clasp": ("clasp", design.clasps), "masks": ("painted or gilded area", design.areas)}.get(pack)
    if what and not what[1]:
        word = "clasp" if pack == "clasp" else "emblem"
        raise DesignError(
            f"no {what[0]} was found; write a plan (pixel2make plan {source.sprite_path.name} -o plan.toml), "
            f'set the region that is one to "{word}", and use the plan'
        )


def _plan_files(source: Source, size: tuple[str, str] | None) -> dict[str, bytes]:
    """The plan and the sprite themselves, so that a pack can be made again from itself."""
    from pixel2make.plan import moved_plan

    sprite = source.reading.regions.sprite
    content = source.sprite_path.read_bytes()
    if hashlib.sha256(content).hexdigest() != sprite.sha256:
        raise PlanError("the sprite was changed while it was read; run again")
    chosen = _size(source, size)
    if source.plan is None:
        text = _plan_text(source, sprite.file, chosen)
    else:
        text = moved_plan(source.path.read_text("utf-8"), sprite_file=sprite.file, size=chosen)
    return {"plan/plan.toml": text.encode(), f"plan/{sprite.file}": content}


def _plan_text(source: Source, sprite_file: str, size: PlanSize | None) -> str:
    from pixel2make import kinds
    from pixel2make.plan import plan_text

    return plan_text(
        source.reading,
        sprite_file=sprite_file,
        vocabulary=kinds.find(source.reading.kind).vocabulary,
        size=size,
        choices=_choice_lines(source.reading, size),
    )
