"""The order of work of a book, cased or laced in: what waits for what, how long, and with which caution."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

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
_BEVEL = "bevel the outer edges of the boards at head, tail and fore-edge"
_BANDS = "glue the bands across the spine piece"
_JOIN = "join {part}: {how}"
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
_FURNITURE = "cut corner pieces and bosses, fold them over the covered boards, or print them"
_FIT = "fit clasps, straps, corner pieces and bosses"
_PASTE = "paste down the endpapers and press"
_CHECK = "check the finished book"


_METAL = ("corner_piece", "emblem")
"""Features that are parts only where they are made of metal."""

_LEAST_BENCH = 5.0
"""Minutes; nobody times a step of bookbinding more closely."""

_DM = 100.0
"""Millimetres."""


@dataclass(frozen=True)
class _Task:
    """A step before it is numbered; what it waits for may be missing from this book.

    ``bench`` counts its work by hand: entries of the table of bench times, and how many of each.
    """

    name: str
    waits_for: tuple[str, ...] = ()
    hours: float = 0.0
    cautions: tuple[str, ...] = ()
    bench: tuple[tuple[str, float], ...] = ()


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
    is_bevelled: bool = False,
    is_sunk: bool = False,
    joins: Mapping[str, str] = MappingProxyType({}),
) -> tuple[Step, ...]:
    """Steps in an order in which they can be done; each waits only for earlier ones.

    Clasps are fitted when the book is otherwise done, since only then its thickness is known, and before
    the endpapers are pasted down, which hide their pins (Etherington & Roberts 1982, entry clasps).

    Parameters
    ----------
    joins : mapping of part name to how its pieces are joined
        Parts that are larger than their stock.
    """
    make = _laced_tasks if is_laced else _case_tasks
    boards = tuple(_board_tasks(parts, sewing, is_laced, is_bevelled=is_bevelled))
    tasks = [
        *_block_tasks(block, sewing, is_trimmed=is_trimmed, is_sunk=is_sunk),
        *boards,
        *make(parts, sewing, is_rounded=is_rounded, joins=joins),
        *_area_tasks(areas, _COVER if is_laced else _CASE),
        *_joining_tasks(parts, clasps, is_laced=is_laced),
    ]
    done: dict[str, Step] = {}
    for order, task in enumerate(tasks, 1):
        waits = tuple(name for name in task.waits_for if name in done)
        cautions = tuple(trade.value(key).value for key in task.cautions)
        minutes, source = _bench(task.bench)
        done[task.name] = Step(order, task.name, waits, task.hours, cautions, minutes, source)
    return tuple(done.values())


def _bench(counts: Sequence[tuple[str, float]]) -> tuple[float, str]:
    """Minutes by hand, to five, and how sure they are."""
    values = [(trade.value(f"bench.{key}"), count) for key, count in counts if count]
    minutes = sum(value.number * count for value, count in values)
    labels = dict.fromkeys(value.label for value, _ in values)
    return max(_LEAST_BENCH, _LEAST_BENCH * round(minutes / _LEAST_BENCH)), ", ".join(labels)


def _hours(key: str) -> float:
    return trade.value(key).number


def _setting() -> float:
    return _hours("work.setting_hours")


def _block_tasks(block: Block, sewing: Sewing, *, is_trimmed: bool, is_sunk: bool) -> Iterator[_Task]:
    yield _Task(_FOLD, (), 0.0, ("safety.knife",), (("fold_folio", block.folios * block.sections),))
    if block.sections > 1:
        press_hours = _hours("work.sort_hours")
        yield _Task(_PRESS, (_FOLD,), press_hours, ("safety.press",), (("press", 1),))
        on = {"tapes": " on tapes", "cords": " on cords", "link": " with link stitches"}[sewing.kind]
        on += " sunk into saw cuts" if is_sunk else ""
        sew = f"pierce and sew the sections{on}{', two at a time' if sewing.is_two_on else ''}"
    else:
        sew = "pierce and sew the single section"
    yield _Task(
        sew,
        (_FOLD, _PRESS),
        0.0,
        ("safety.awl",),
        (
            ("sew_setup", 1),
            ("pierce_section", block.sections),
            ("sew_station", sewing.passes * len(sewing.stations)),
            ("sew_kettle", sewing.passes),
        ),
    )
    if block.core_mm:
        yield _Task(_CORE, (sew,), _setting(), ("safety.knife",), (("core", 1),))
    yield _Task(_TIP, (sew, _CORE), _setting(), ("work.blotter",), (("endpapers", 1),))
    yield _Task(_GLUE, (_TIP,), _setting(), ("safety.press",), (("glue_spine", 1),))
    if is_trimmed:
        yield _Task(_TRIM, (_GLUE,), 0.0, ("safety.press", "safety.knife"), (("trim", 1),))


def _board_tasks(
    parts: Sequence[Part], sewing: Sewing, is_laced: bool, *, is_bevelled: bool
) -> Iterator[_Task]:
    """Boards are cut when the sewn block can be measured."""
    if is_laced:
        slips = 2 * len(sewing.supports)
        bench = (("board", 2), ("lacing_hole", 2 * slips))
        yield _Task(_HOLED, (_GLUE, _TRIM), 0.0, ("safety.knife", "safety.awl"), bench)
    else:
        pieces = 2 + sum(part.name == "spine_piece" for part in parts)
        yield _Task(_BOARDS, (_GLUE, _TRIM), 0.0, ("safety.knife",), (("board", pieces),))
    if is_bevelled:
        cautions = ("safety.knife", "safety.sanding")
        yield _Task(_BEVEL, (_BOARDS, _HOLED), 0.0, cautions, (("bevel", 2),))
    if any(part.name == "raised_band" for part in parts):
        yield _Task(_BANDS, (_BOARDS,), _setting(), ("safety.knife",), (("bands", 1),))


def _covering_tasks(parts: Sequence[Part], joins: Mapping[str, str]) -> Iterator[_Task]:
    covering = [part for part in parts if part.name.startswith("covering")]
    leather, cloth = (
        [part for part in covering if part.material == material] for material in ("leather", "cloth")
    )
    if leather:
        cautions = ("safety.knife", "safety.dye", "safety.laser_leather", "safety.defer")
        edge_mm = sum(part.quantity * part.outline.length for part in leather)
        pieces = sum(part.quantity for part in leather)
        yield _Task(_LEATHER, (), 0.0, cautions, (("leather", pieces), ("pare_dm", edge_mm / _DM)))
    if cloth:
        pieces = sum(part.quantity for part in cloth)
        yield _Task(_CLOTH, (), 0.0, ("safety.knife", "safety.laser_vinyl"), (("cloth", pieces),))
    for part in covering:
        if part.name in joins:
            yield _Task(_join(part, joins), (_LEATHER, _CLOTH), _setting(), ("safety.knife",), (("join", 1),))


def _join(part: Part, joins: Mapping[str, str]) -> str:
    return _JOIN.format(part=part.name.replace("_", " "), how=joins[part.name])


def _joined(parts: Sequence[Part], joins: Mapping[str, str]) -> tuple[str, ...]:
    """The covering, cut and in one piece again."""
    return (
        _LEATHER,
        _CLOTH,
        *(_join(p, joins) for p in parts if p.name in joins and p.name.startswith("covering")),
    )


def _line_tasks(parts: Sequence[Part], after: tuple[str, ...], joins: Mapping[str, str]) -> Iterator[_Task]:
    for part in parts:
        if part.name in joins and not part.name.startswith("covering"):
            yield _Task(_join(part, joins), (), _setting(), (), (("join", 1),))
            after = (*after, _join(part, joins))
    is_marked = any(part.material == "ribbon" for part in parts)
    yield _Task(_LINE_MARKED if is_marked else _LINE, after, _setting(), (), (("line", 1),))


def _strap_tasks(parts: Sequence[Part]) -> Iterator[_Task]:
    count = sum(part.name.startswith("strap") for part in parts)
    if count:
        yield _Task(_STRAPS, (), _setting(), ("safety.knife",), (("strap", count),))


def _round_task(after: tuple[str, ...]) -> _Task:
    return _Task(_ROUND, after, 0.0, ("safety.knife", "safety.sanding"), (("corners", 1),))


def _case_tasks(
    parts: Sequence[Part], _sewing: Sewing, *, is_rounded: bool, joins: Mapping[str, str]
) -> Iterator[_Task]:
    if is_rounded:
        yield _round_task((_BOARDS,))
    yield from _line_tasks(parts, (_GLUE, _TRIM, _ROUND), joins)
    yield from _covering_tasks(parts, joins)
    made = (_BOARDS, _BEVEL, _BANDS, _ROUND, *_joined(parts, joins))
    yield _Task(_CASE, made, _hours("boards.warp_hours"), ("safety.press",), (("case", 1),))
    yield from _strap_tasks(parts)


def _laced_tasks(
    parts: Sequence[Part], sewing: Sewing, *, is_rounded: bool, joins: Mapping[str, str]
) -> Iterator[_Task]:
    yield _Task(_BACK, (_GLUE, _TRIM), _hours("covering.drying_hours"), ("safety.press",), (("back", 1),))
    if is_rounded:
        yield _round_task((_BACK, _HOLED))
    slips = 2 * len(sewing.supports)
    yield _Task(
        _LACE, (_BACK, _HOLED, _BEVEL, _ROUND), _setting(), ("safety.press",), (("lace_slip", slips),)
    )
    yield from _line_tasks(parts, (_LACE,), joins)
    yield from _covering_tasks(parts, joins)
    yield _Task(
        _COVER,
        (_LINE, _LINE_MARKED, *_joined(parts, joins)),
        _hours("work.covering_hours"),
        ("work.release", "work.blotter"),
        (("cover", 1),),
    )
    yield from _strap_tasks(parts)


def _area_tasks(areas: Sequence[Area], ground: str) -> Iterator[_Task]:
    by = {word: [a for a in areas if a.treatment == word] for word in ("painted", "gilded", "lettering")}
    painted, gilded, lettering = (by[word] for word in ("painted", "gilded", "lettering"))
    before: tuple[str, ...] = (ground,)
    if areas:
        yield _Task(_MASKS, (), 0.0, ("safety.knife", "safety.laser"), (("mask", len(areas)),))
        before = (ground, _MASKS)
    dry = _hours("gilding.paint_hours")
    if painted:
        count = (("paint", len(painted)),)
        yield _Task(_PAINT, before, dry, ("safety.spray", "safety.defer"), count)
        before = (*before, _PAINT)
    if gilded:
        size_hours, seal_hours = _hours("gilding.size_hours_water"), _hours("gilding.seal_wait_hours")
        cautions = ("safety.oily_rags", "safety.defer")
        yield _Task(_SIZE, before, size_hours, cautions, (("size", len(gilded)),))
        area_dm2 = sum(area.outline.area for area in gilded) / _DM**2
        bench = (("leaf", len(gilded)), ("leaf_dm2", area_dm2))
        yield _Task(_LEAF, (_SIZE,), seal_hours, ("safety.leaf",), bench)
        yield _Task(_SEAL, (_LEAF,), dry, ("safety.spray", "safety.defer"), (("seal", 1),))
    if lettering:
        yield _Task(_LETTER, (*before, _SEAL), dry, ("safety.defer",), (("letter", len(lettering)),))


def _joining_tasks(parts: Sequence[Part], clasps: Sequence[Clasp], *, is_laced: bool) -> Iterator[_Task]:
    whole: tuple[str, ...] = (_COVER, _PAINT, _SEAL, _LETTER)
    if not is_laced:
        yield _Task(
            _HANG,
            (_LINE, _LINE_MARKED, _CASE, *whole[1:]),
            _hours("covering.drying_hours"),
            ("safety.press", "work.release"),
            (("hang", 1),),
        )
        whole = (_HANG,)
    if clasps:
        cautions = ("safety.sheet_metal", "safety.filament", "safety.resin", "safety.defer")
        yield _Task(_MEASURE, whole, 0.0, cautions, (("clasp", len(clasps)),))
    furniture = sum(p.name.startswith(_METAL) for p in parts)
    if furniture:
        hurts = tuple(f"safety.{k}" for k in ("sheet_metal", "hot_metal", "filament", "resin", "defer"))
        yield _Task(_FURNITURE, (_CASE, _COVER), 0.0, hurts, (("furniture", furniture),))
    fitted = len(clasps) + furniture + sum(p.name.startswith("strap") for p in parts)
    if fitted:
        bench = (("fit", fitted),)
        before = (*whole, _MEASURE, _FURNITURE, _STRAPS)
        yield _Task(_FIT, before, 0.0, ("safety.pins", "safety.sheet_metal"), bench)
    yield _Task(
        _PASTE,
        (*whole, _FIT),
        _hours("covering.drying_hours"),
        ("safety.press", "work.release", "work.blotter"),
        (("paste_down", 1),),
    )
    yield _Task(_CHECK, (_PASTE,), 0.0, ("safety.finished",), (("check", 1),))
