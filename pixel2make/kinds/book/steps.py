"""The order of work of a book, cased or laced in: what waits for what, how long, and with which caution."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.design.model import Area, Clasp, Part, Step
from pixel2make.kinds.book.block import Block
from pixel2make.kinds.book.sewing import Sewing

__all__ = ["book_steps"]

_FOLD = "cut and fold the leaves"
_PRESS = "gather the sections and press them under weight"
_CORE = "cut the core, line its edges with strips of leaf and glue it between the sewn sections"
_TIP = "tip on the endpapers"
_GLUE = "glue up the spine and measure the sewn block"
_TRIM = "trim head, tail and fore-edge of the block"
_ROUND = "round the corners of boards and block, the block's about the same middle"
_BACK = "back the spine: work up shoulders as high as the boards are thick"
_LINE = "stick on the headbands and line the spine"
_LINE_MARKED = "stick on the marker ribbon and the headbands and line the spine"
_BOARDS = "cut boards and spine piece to the measured block"
_HOLED = "cut the boards to the measured block and hole them for the cords"
_LEATHER = "cut the leather and pare its edges"
_CLOTH = "cut the cloth"
_CASE = "make the case: glue boards and spine piece down, turn in the covering"
_COVER = "paste the covering on over boards and spine, work the bands and joints, turn in"
_LACE = "fray the slips, lace them through the boards and hammer them flat"
_MASKS = "cut the masks"
_PAINT = "paint through the masks"
_SIZE = "seal the ground and lay size through the masks"
_LEAF = "lay the metal leaf"
_SEAL = "seal the metal leaf"
_LETTER = "letter the title"
_HANG = "case in: hang the block by mull and endpapers, the spine left hollow"
_MEASURE = "measure the closed book, then bend or print the clasps"
_STRAPS = "cut the straps and turn their edges"
_FIT = "fit clasps, straps and corner pieces"
_PASTE = "paste down the endpapers and press"
_CHECK = "check the finished book"


@dataclass(frozen=True)
class _Task:
    """A step before it is numbered; what it waits for may be missing from this book."""

    name: str
    waits_for: tuple[str, ...] = ()
    hours: float = 0.0
    cautions: tuple[str, ...] = ()


def book_steps(
    parts: Sequence[Part],
    areas: Sequence[Area],
    clasps: Sequence[Clasp],
    block: Block,
    sewing: Sewing,
    *,
    is_laced: bool = False,
    is_trimmed: bool = False,
    is_rounded: bool = False,
) -> tuple[Step, ...]:
    """Steps in an order in which they can be done; each waits only for earlier ones.

    Clasps are fitted when the book is otherwise done, since only then its thickness is known, and before
    the endpapers are pasted down, which hide their pins (Etherington & Roberts 1982, entry clasps).
    """
    make = _laced_tasks if is_laced else _case_tasks
    tasks = [
        *_block_tasks(block, sewing, is_trimmed=is_trimmed),
        *make(parts, is_rounded=is_rounded),
        *_area_tasks(areas, _COVER if is_laced else _CASE),
        *_joining_tasks(parts, clasps, is_laced=is_laced),
    ]
    done: dict[str, Step] = {}
    for order, task in enumerate(tasks, 1):
        waits = tuple(name for name in task.waits_for if name in done)
        cautions = tuple(trade.value(key).value for key in task.cautions)
        done[task.name] = Step(order, task.name, waits, task.hours, cautions)
    return tuple(done.values())


def _hours(key: str) -> float:
    return trade.value(key).number


def _setting() -> float:
    return _hours("work.setting_hours")


def _block_tasks(block: Block, sewing: Sewing, *, is_trimmed: bool) -> Iterator[_Task]:
    yield _Task(_FOLD, (), 0.0, ("safety.knife",))
    if block.sections > 1:
        yield _Task(_PRESS, (_FOLD,), _hours("work.sort_hours"), ("safety.press",))
        on = {"tapes": " on tapes", "cords": " on cords", "link": " with link stitches"}[sewing.kind]
        sew = f"pierce and sew the sections{on}{', two at a time' if sewing.is_two_on else ''}"
    else:
        sew = "pierce and sew the single section"
    yield _Task(sew, (_FOLD, _PRESS), 0.0, ("safety.awl",))
    if block.core_mm:
        yield _Task(_CORE, (sew,), _setting(), ("safety.knife",))
    yield _Task(_TIP, (sew, _CORE), _setting(), ("work.blotter",))
    yield _Task(_GLUE, (_TIP,), _setting(), ("safety.press",))
    if is_trimmed:
        yield _Task(_TRIM, (_GLUE,), 0.0, ("safety.press", "safety.knife"))


def _covering_tasks(parts: Sequence[Part]) -> Iterator[_Task]:
    materials = {part.material for part in parts if part.name.startswith("covering")}
    if "leather" in materials:
        cautions = ("safety.knife", "safety.dye", "safety.laser_leather", "safety.defer")
        yield _Task(_LEATHER, (), 0.0, cautions)
    if "cloth" in materials:
        yield _Task(_CLOTH, (), 0.0, ("safety.knife", "safety.laser_vinyl"))


def _line_task(parts: Sequence[Part], after: tuple[str, ...]) -> _Task:
    is_marked = any(part.material == "ribbon" for part in parts)
    return _Task(_LINE_MARKED if is_marked else _LINE, after, _setting())


def _strap_tasks(parts: Sequence[Part]) -> Iterator[_Task]:
    if any(part.name.startswith("strap") for part in parts):
        yield _Task(_STRAPS, (), _setting(), ("safety.knife",))


def _case_tasks(parts: Sequence[Part], *, is_rounded: bool) -> Iterator[_Task]:
    yield _Task(_BOARDS, (_GLUE, _TRIM), 0.0, ("safety.knife",))
    if is_rounded:
        yield _Task(_ROUND, (_BOARDS,), 0.0, ("safety.knife", "safety.sanding"))
    yield _line_task(parts, (_GLUE, _TRIM, _ROUND))
    yield from _covering_tasks(parts)
    yield _Task(_CASE, (_BOARDS, _ROUND, _LEATHER, _CLOTH), _hours("boards.warp_hours"), ("safety.press",))
    yield from _strap_tasks(parts)


def _laced_tasks(parts: Sequence[Part], *, is_rounded: bool) -> Iterator[_Task]:
    yield _Task(_BACK, (_GLUE, _TRIM), _hours("covering.drying_hours"), ("safety.press",))
    yield _Task(_HOLED, (_GLUE, _TRIM), 0.0, ("safety.knife", "safety.awl"))
    if is_rounded:
        yield _Task(_ROUND, (_BACK, _HOLED), 0.0, ("safety.knife", "safety.sanding"))
    yield _Task(_LACE, (_BACK, _HOLED, _ROUND), _setting(), ("safety.press",))
    yield _line_task(parts, (_LACE,))
    yield from _covering_tasks(parts)
    yield _Task(
        _COVER,
        (_LINE, _LINE_MARKED, _LEATHER, _CLOTH),
        _hours("work.covering_hours"),
        ("work.release", "work.blotter"),
    )
    yield from _strap_tasks(parts)


def _area_tasks(areas: Sequence[Area], ground: str) -> Iterator[_Task]:
    treatments = {area.treatment for area in areas}
    before: tuple[str, ...] = (ground,)
    if treatments:
        yield _Task(_MASKS, (), 0.0, ("safety.knife", "safety.laser"))
        before = (ground, _MASKS)
    if "painted" in treatments:
        yield _Task(_PAINT, before, _hours("gilding.paint_hours"), ("safety.spray", "safety.defer"))
        before = (*before, _PAINT)
    if "gilded" in treatments:
        yield _Task(_SIZE, before, _hours("gilding.size_hours_water"), ("safety.oily_rags", "safety.defer"))
        yield _Task(_LEAF, (_SIZE,), _hours("gilding.seal_wait_hours"), ("safety.leaf",))
        yield _Task(_SEAL, (_LEAF,), _hours("gilding.paint_hours"), ("safety.spray", "safety.defer"))
    if "lettering" in treatments:
        yield _Task(_LETTER, (*before, _SEAL), _hours("gilding.paint_hours"), ("safety.defer",))


def _joining_tasks(parts: Sequence[Part], clasps: Sequence[Clasp], *, is_laced: bool) -> Iterator[_Task]:
    whole: tuple[str, ...] = (_COVER, _PAINT, _SEAL, _LETTER)
    if not is_laced:
        yield _Task(
            _HANG,
            (_LINE, _LINE_MARKED, _CASE, *whole[1:]),
            _hours("covering.drying_hours"),
            ("safety.press", "work.release"),
        )
        whole = (_HANG,)
    if clasps:
        cautions = ("safety.sheet_metal", "safety.filament", "safety.resin", "safety.defer")
        yield _Task(_MEASURE, whole, 0.0, cautions)
    if clasps or any(p.name.startswith(("strap", "corner_piece")) for p in parts):
        yield _Task(_FIT, (*whole, _MEASURE, _STRAPS), 0.0, ("safety.pins", "safety.sheet_metal"))
    yield _Task(
        _PASTE,
        (*whole, _FIT),
        _hours("covering.drying_hours"),
        ("safety.press", "work.release", "work.blotter"),
    )
    yield _Task(_CHECK, (_PASTE,), 0.0, ("safety.finished",))
