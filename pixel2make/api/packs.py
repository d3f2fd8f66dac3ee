"""From a source to the files of a pack, and into a folder in one move."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pixel2make.api.sources import Source, measure, plan_for_copy
from pixel2make.errors import DesignError, PlanError, located

if TYPE_CHECKING:
    from pixel2make.design.alternatives import Moves
    from pixel2make.design.model import Design
    from pixel2make.pack.formats import Content

__all__ = ["CoverText", "Pack", "build_pack", "export"]


@dataclass(frozen=True)
class CoverText:
    """What is lettered on the cover, and in which face or font file."""

    title: str
    subtitle: str | None = None
    byline: str | None = None
    face: str = "engraved"


@dataclass(frozen=True, eq=False)
class Pack:
    """Files that were written, by path in the folder, what they were made from, and what to know of them."""

    folder: Path
    files: Mapping[str, bytes]
    design: Design
    notes: tuple[str, ...] = ()


def _silent(_stage: str) -> None:
    """Tell no one."""


def export(
    design: Design,
    *,
    sections: Sequence[str] | None = None,
    extra: Mapping[str, Content] | None = None,
    tell: Callable[[str], None] = _silent,
) -> dict[str, bytes]:
    """The files of a pack by path, in memory: drawings, sheets, masks, clasp, and what they are for.

    Parameters
    ----------
    design : Design
    sections : sequence of str, optional
        Keys of `pixel2make.pack.sections.SECTIONS`; all of them, and spec.json, where left out.
    extra : mapping of path to bytes or Drawing, optional
        More files and drawings to go into the pack and its README.txt.
    tell : callable, optional
        Is told in a few words what is being made.
    """
    from pixel2make.pack.formats import written
    from pixel2make.pack.readme import readme_bytes
    from pixel2make.pack.report import INDEX, report_bytes
    from pixel2make.pack.sections import part_files, section_contents
    from pixel2make.pack.spec import spec_bytes

    contents: dict[str, Content] = dict(extra or {})
    for section in _asked_for(design) if sections is None else sections:
        tell(f"making {section.replace('_', ' ')}")
        contents.update(section_contents(section, design))
    tell("writing the drawings as SVG, DXF and PDF")
    files = written(contents, paper=str(design.taken["print_paper"]), units=design.units)
    tell("laying out the report")
    if sections is None:
        files["spec.json"] = spec_bytes(design, part_files=part_files(design))
    files["README.txt"] = readme_bytes(design, sorted([*files, INDEX]))
    moves = _question_moves(design) if sections is None else {}
    files[INDEX] = report_bytes(design, files, part_files(design), moves)
    return files


def _question_moves(design: Design) -> Mapping[tuple[str, str], Moves]:
    from pixel2make import kinds
    from pixel2make.design.alternatives import question_moves

    kind = kinds.find(design.reading.kind)
    return question_moves(design, kind, kind)


def build_pack(
    source: Source,
    *,
    out: str | Path,
    size: tuple[str, str] | None = None,
    pack: str = "build",
    choices: Mapping[str, str] | None = None,
    cover: CoverText | None = None,
    prices: str | Path | None = None,
    tell: Callable[[str], None] = _silent,
) -> Pack:
    """Write a pack in one move.

    Parameters
    ----------
    source : Source
    out : path
        New, empty, or an earlier pack of ours.
    size : (edge, length), optional
    pack : {"build", "masks", "clasp", "case"}
    choices : mapping of str to str, optional
        Answers by the choice's key; they win over the plan's.
    cover : CoverText, optional
        Lettering of the cover, in the layout that a full pack holds.
    prices : path, optional
        The maker's prices, for the shopping list of a full pack.
    tell : callable, optional
        Is told in a few words what is being done.

    Raises
    ------
    Pixel2MakeError
        Nothing is written then.
    """
    from pixel2make.pack.issued import date_of_issue
    from pixel2make.pack.sections import PACKS
    from pixel2make.pack.writer import check_folder, write_pack

    folder = Path(out)
    with located(str(out)):
        check_folder(folder)
    date_of_issue()  # a date that cannot be read is refused before any work is done
    tell("measuring")
    design = measure(source, size=size, choices=choices)
    with located(str(source.path)):
        _check_has(design, source, pack)
        if pack == "build":
            design = _with_cover_findings(design, cover)
            plan_text = plan_for_copy(source, size=size, choices=choices, design=design)
            extra: dict[str, Content] = dict(_plan_files(source, plan_text))
            extra |= _cover_files(design, cover)
            files = export(design, extra=extra, tell=tell)
            files |= _shopping_files(design, prices) if prices else {}
        else:
            files = export(design, sections=PACKS[pack], tell=tell)
    tell(f"writing {len(files)} files")
    with located(str(out)):
        write_pack(files, folder)
    return Pack(folder, files, design, _case_notes(design) if CASE_RECORD in files else ())


CASE_RECORD = "case/case.json"
"""Is there where a pack holds a display case."""


def _case_notes(design: Design) -> tuple[str, ...]:
    from pixel2make.pack.case import case_of

    return case_of(design).warnings


def _asked_for(design: Design) -> list[str]:
    """Sections of a full pack, without those that nobody asked for."""
    from pixel2make.pack.sections import IF_ASKED, SECTIONS

    return [
        name
        for name in SECTIONS
        if name not in IF_ASKED or design.taken.get(IF_ASKED[name], "none") != "none"
    ]


def _with_cover_findings(design: Design, cover: CoverText | None) -> Design:
    """The design with what a maker should know of the cover's lettering among its findings."""
    if cover is None:
        return design
    from pixel2make.pack.cover_checks import cover_findings

    return design.noting(
        cover_findings(
            design, title=cover.title, subtitle=cover.subtitle, byline=cover.byline, face=cover.face
        )
    )


def _cover_files(design: Design, cover: CoverText | None) -> Mapping[str, Content]:
    """The cover's layout: lettered where a title is given, else with its title area left open."""
    from pixel2make.pack.cover_layout import cover_layout_files

    if cover is None:
        return cover_layout_files(design, title=None)
    return cover_layout_files(
        design, title=cover.title, subtitle=cover.subtitle, byline=cover.byline, face=cover.face
    )


def _check_has(design: Design, source: Source, pack: str) -> None:
    """Refuse a pack that would be empty, and say how the maker can fill it."""
    what = {
        "clasp": ("clasp", design.clasps or design.fittings),
        "masks": ("painted or gilded area", design.areas),
    }.get(pack)
    if what and not what[1]:
        word = "clasp" if pack == "clasp" else "emblem"
        drawn = {feature.feature for feature in source.reading.features}
        asked = next((q for q in source.reading.questions if word in q.options), None)
        if asked is not None:
            raise DesignError(
                f"no {what[0]} is sure, but {asked.subject} may be one; write a plan (pixel2make plan "
                f'{source.sprite_path.name} -o plan.toml), set {asked.subject} = "{word}" in it if it is, '
                "and use the plan"
            )
        if pack == "clasp" and "corner_piece" in drawn:
            raise DesignError(
                "no clasp was found, and the corner pieces are painted or gilded; to make them of metal add "
                "--set corner_piece=metal"
            )
        raise DesignError(
            f"no {what[0]} was found; write a plan (pixel2make plan {source.sprite_path.name} -o plan.toml), "
            f'set the region that is one to "{word}", and use the plan'
        )


def _plan_files(source: Source, plan_text: str) -> dict[str, bytes]:
    """The plan and the sprite themselves, so that a pack can be made again from itself."""
    sprite = source.reading.regions.sprite
    content = source.sprite_path.read_bytes()
    if hashlib.sha256(content).hexdigest() != sprite.sha256:
        raise PlanError("the sprite was changed while it was read; run again")
    return {"plan/plan.toml": plan_text.encode(), f"plan/{sprite.file}": content}


def _shopping_files(design: Design, prices: str | Path) -> dict[str, bytes]:
    from pixel2make.pack.shopping import read_prices, shopping_files

    with located(str(prices)):
        try:
            text = Path(prices).read_text("utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise DesignError(
                "cannot be read as text; give a table with the columns item,price_each"
            ) from error
        return shopping_files(design, read_prices(text))
