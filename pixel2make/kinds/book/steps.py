"""The order of work of a cased book: what waits for what, how long, and with which caution."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.design.model import Area, Clasp, Part, Step
from pixel2make.kinds.book.block import Block

__all__ = ["book_steps"]


@dataclass(frozen=True)
class _Task:
    """A step before it is numbered; what it waits for may be missing from this book."""

    name: str
    waits_for: tuple[str, ...] = ()
    hours: float = 0.0
    cautions: tuple[str, ...] = ()


def book_steps(
    parts: Sequence[Part], areas: Sequence[Area], clasps: Sequence[Clasp], block: Block, *, covering: str
) -> tuple[Step, ...]:
    """Steps in an order in which they can be done; each waits only for earlier ones.

    Clasps are fitted when the book is otherwise done, since only then its thickness is known, and before
    the endpapers are pasted down, which hide their pins (Etherington & Roberts 1982, entry clasps).
    """
    tasks = [
        *_block_tasks(block),
        *_case_tasks(parts, covering),
        *_area_tasks(areas),
        *_joining_tasks(parts, clasps),
    ]
    done: dict[str, Step] = {}
    for order, task in enumerate(tasks, 1):
        waits = tuple(name for name in task.waits_for if name in done)
        cautions = tuple(trade.value(f"safety.{key}").value for key in task.cautions)
        done[task.name] = Step(order, task.name, waits, task.hours, cautions)
    return tuple(done.values())


def _hours(key: str) -> float:
    return trade.value(key).number


def _block_tasks(block: Block) -> Iterator[_Task]:
    yield _Task("cut and fold the leaves", (), 0.0, ("knife",))
    if block.sections > 1:
        yield _Task("pierce and sew the sections on tapes", ("cut and fold the leaves",), 0.0, ("awl",))
    else:
        yield _Task("pierce and sew the single section", ("cut and fold the leaves",), 0.0, ("awl",))
    if block.core_mm:
        yield _Task(
            "cut the core, line its edges with strips of leaf and glue it between the sewn sections",
            ("pierce and sew the sections on tapes",),
            1.0,
            ("knife",),
        )
    yield _Task(
        "tip on the endpapers",
        (
            "pierce and sew the sections on tapes",
            "pierce and sew the single section",
            "cut the core, line its edges with strips of leaf and glue it between the sewn sections",
        ),
        1.0,
    )
    yield _Task(
        "glue up and line the spine, measure the sewn block", ("tip on the endpapers",), 1.0, ("press",)
    )


def _case_tasks(parts: Sequence[Part], covering: str) -> Iterator[_Task]:
    measured = ("glue up and line the spine, measure the sewn block",)
    yield _Task("cut boards and spine piece to the measured block", measured, 0.0, ("knife",))
    yield _Task(
        f"cut the {covering} and pare its edges" if covering == "leather" else "cut the cloth",
        (),
        0.0,
        ("knife", "dye", "laser_leather", "defer") if covering == "leather" else ("knife", "laser_vinyl"),
    )
    cut = f"cut the {covering} and pare its edges" if covering == "leather" else "cut the cloth"
    yield _Task(
        "make the case: glue boards and spine piece down, turn in the covering",
        ("cut boards and spine piece to the measured block", cut),
        _hours("boards.warp_hours"),
        ("press",),
    )
    if any(part.name.startswith("strap") for part in parts):
        yield _Task("cut the straps and turn their edges", (), 1.0, ("knife",))


_CASE = "make the case: glue boards and spine piece down, turn in the covering"


def _area_tasks(areas: Sequence[Area]) -> Iterator[_Task]:
    treatments = {area.treatment for area in areas}
    before: tuple[str, ...] = (_CASE,)
    if treatments:
        yield _Task("cut the masks", (), 0.0, ("knife", "laser"))
        before = (_CASE, "cut the masks")
    if "painted" in treatments:
        yield _Task("paint through the masks", before, _hours("gilding.paint_hours"), ("spray", "defer"))
        before = (*before, "paint through the masks")
    if "gilded" in treatments:
        yield _Task(
            "seal the ground and lay size through the masks",
            before,
            _hours("gilding.size_hours_water"),
            ("oily_rags", "defer"),
        )
        yield _Task(
            "lay the metal leaf",
            ("seal the ground and lay size through the masks",),
            _hours("gilding.seal_wait_hours"),
            ("leaf",),
        )
        yield _Task(
            "seal the metal leaf", ("lay the metal leaf",), _hours("gilding.paint_hours"), ("spray", "defer")
        )
    if "lettering" in treatments:
        yield _Task(
            "letter the title", (*before, "seal the metal leaf"), _hours("gilding.paint_hours"), ("defer",)
        )


_DECORATED = ("paint through the masks", "seal the metal leaf", "letter the title")


def _joining_tasks(parts: Sequence[Part], clasps: Sequence[Clasp]) -> Iterator[_Task]:
    yield _Task(
        "case in: hang the block by its mull and tapes",
        ("glue up and line the spine, measure the sewn block", _CASE, *_DECORATED),
        _hours("covering.drying_hours"),
        ("press",),
    )
    cased = "case in: hang the block by its mull and tapes"
    if clasps:
        yield _Task(
            "measure the closed book, then bend or print the clasps",
            (cased,),
            0.0,
            ("sheet_metal", "filament", "resin", "defer"),
        )
    fitted = "fit clasps, straps and corner pieces"
    furniture = bool(clasps) or any(p.name.startswith(("strap", "corner_piece")) for p in parts)
    if furniture:
        yield _Task(
            fitted,
            (
                cased,
                "measure the closed book, then bend or print the clasps",
                "cut the straps and turn their edges",
            ),
            0.0,
            ("pins", "sheet_metal"),
        )
    yield _Task(
        "paste down the endpapers and press", (cased, fitted), _hours("covering.drying_hours"), ("press",)
    )
    yield _Task("check the finished book", ("paste down the endpapers and press",), 0.0, ("finished",))
