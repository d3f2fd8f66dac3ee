"""README.txt of a pack: what each file is for, what is sure and what is the maker's to decide."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from fnmatch import fnmatch

from pixel2make.design.model import Design
from pixel2make.pack.amounts import amount_in
from pixel2make.pack.order import bench_words
from pixel2make.pack.table import dimension_table, text_table
from pixel2make.quantity import UNIT_WORDS, format_change, in_units

__all__ = ["purpose", "readme_bytes"]

_WIDTH = 96

_PURPOSES = (
    ("README.txt", "what each file is for, dimensions, choices and order of work as plain text"),
    ("index.html", "the whole pack on one page, for paper, screen and phone; begin here"),
    ("drawing.*", "the closed book with its dimensions, front and side; read the sizes from here"),
    ("exploded.*", "the parts drawn apart, with item numbers and a parts list"),
    ("section.*", "section across the spine: covering, boards, lining, leaves, and a detail of the joint"),
    ("spec.json", "everything in this pack for other programs: regions, dimensions, parts, amounts"),
    ("sheets/*.*", "cut sheet of one material at true size; measure both bars before you cut"),
    ("cover/carving.*", "cover's lettering with strokes as wide as the carving tool, true size"),
    ("cover/spine.*", "spine at its exact size, bands and lettering in place"),
    ("cover/layout.*", "cover at its exact size with lettering fitted to it, for tracing"),
    ("cover/layout_mirrored.*", "the same mirrored, for transfer from the back"),
    ("cover/layout.png", "the same as a picture at 300 dpi"),
    ("cover/stencil.*", "the lettering as a stencil: no counter falls out, bridges are wide enough to stand"),
    ("stencils/*mirrored*", "stencil mirrored, for cutting or transfer from the back"),
    ("stencils/*.*", "stencil with bridges for one area at true size; one piece when cut"),
    ("stencils/*", "order of coats and what goes over what"),
    ("gilding/*.*", "leaf grid over a gilded area, with the leaves to lay"),
    ("gilding/*", "leaves and books of leaf to buy"),
    ("preview/as_drawn.png", "the finished object as the sprite shows it"),
    ("preview/beside*", "sprite and finished object side by side, with a rule, a hand and your own height"),
    ("preview/*.png", "the finished object from other sides"),
    ("preview/*.webp", "the finished object turning once"),
    ("preview/*.glb", "the finished object for any 3D viewer, in metres"),
    ("proof/*", "the finished object drawn again on the sprite's own pixels, and where it differs"),
    ("swatches*", "colours of the sprite and toned down for paint, thread and leather"),
    ("sewing/*.*", "punching template for the folds at 1:1"),
    ("sewing/*", "sewing stations, thread and supports"),
    ("shopping*.csv", "what to buy, in trade units, with the waste that is allowed for"),
    ("order*", "order of work as a checklist with waiting times"),
    ("masks/*overview*.*", "all painted and gilded areas of one face, numbered"),
    ("masks/*.*", "mask for one painted or gilded area at true size, with registration marks"),
    ("case/case.txt", "how to make the display case and its light: sizes, materials, steps, cautions"),
    ("case/case.json", "all about the display case for other programs"),
    ("case/main.py", "the light's program for a MicroPython board"),
    ("case/arrangement.*", "the display case with its dimensions, front, section and base from above"),
    ("case/seat.*", "the edge of the base on a larger scale: seat of the cover, light trench, lining"),
    ("case/wiring.*", "wiring diagram of the light with its figures"),
    ("case/preview*", "the case with its light running"),
    ("case/parts/test_strip.*", "strip of acrylic to bend first; it tells the bend allowance"),
    ("case/parts/*", "one piece of the case at 1:1 with all that is cut, bent, drilled and routed on it"),
    ("case/sheets/*", "cut sheet of the case's pieces of one material at true size"),
    ("clasp/*.stl", "clasp for printing, in millimetres, lying as it should be printed"),
    ("clasp/*flat*.*", "flat pattern of the clasp for sheet metal at 1:1, with bend lines"),
    ("clasp/*.*", "drawing of the clasp with its dimensions"),
    ("clasp/*.txt", "how to make and fit the clasp, with cautions"),
    ("metalwork/*.stl", "corner piece or boss for printing, in millimetres, lying as it should be printed"),
    ("metalwork/*.3mf", "all corner pieces and bosses on the printer's bed, as many as are needed"),
    ("metalwork/*flat*.*", "flat pattern of a corner piece or boss at 1:1, with bend lines"),
    ("metalwork/*.txt", "how to make and fit corner pieces and bosses, with cautions"),
    ("metalwork/*.*", "corner piece or boss on its board with its dimensions"),
    ("plan/*.toml", "what each region was taken for; change it and build again from it"),
    ("plan/*", "the sprite that the plan is for"),
    ("MANIFEST.sha256", "digest of every file, to tell whether one was changed"),
)
"""First pattern that fits says what a file is for."""

_DRAWN = ("svg", "pdf", "dxf")
"""Formats of one drawing, named on one line: to look at, to print, to cut by."""


def readme_bytes(design: Design, paths: Sequence[str]) -> bytes:
    """README.txt as UTF-8 for a pack with these paths (its own not among them)."""
    reading = design.reading
    sprite = reading.regions.sprite
    units = design.units
    blocks = [
        [f"Build pack for {sprite.file}", "=" * (15 + len(sprite.file))],
        _paragraph(
            f"Made from {sprite.shape[1]} x {sprite.shape[0]} native pixels, "
            f"view: {reading.view.kind} ({round(100 * reading.view.confidence)} % sure). "
            f"{' '.join(reading.view.why)}"
        ),
        _section("Files", _files(paths)),
        _section(f"Dimensions in {UNIT_WORDS[units]}", dimension_table(design).splitlines()),
        _section(
            "Before you start",
            [line for w in design.warnings for line in _item(in_units(w, units, apart=True))],
        ),
        _section(
            "Findings",
            [line for sentence in _findings(design) for line in _item(in_units(sentence, units, apart=True))],
        ),
        _section("Yours to decide", _questions(design)),
        _section("Materials", _materials(design)),
        _section("Order of work", _steps(design)),
        _paragraph(
            "Follow the safety data sheet of every material and the manual of every machine; where mains "
            "electricity is touched, follow the local code and leave it to licensed practice."
        ),
    ]
    text = "\n\n".join("\n".join(block) for block in blocks if block) + "\n"
    return text.encode()


def _findings(design: Design) -> list[str]:
    """Findings that no warning has said already."""
    return [f.sentence for f in design.findings if f.sentence not in design.warnings]


def _files(paths: Sequence[str]) -> list[str]:
    """Every file once; a drawing's formats on one line."""
    there = {*paths, "README.txt"}
    rows = []
    for path in sorted(there):
        stem, _, form = path.rpartition(".")
        forms = [each for each in _DRAWN if f"{stem}.{each}" in there]
        if form not in forms:
            rows.append((path, purpose(path)))
        elif form == forms[0]:
            rows.append((f"{path} {' '.join(f'.{each}' for each in forms[1:])}".rstrip(), purpose(path)))
    return text_table(rows).splitlines()


def purpose(path: str) -> str:
    """What a file of the pack is for; empty where nobody said."""
    return next((words for pattern, words in _PURPOSES if fnmatch(path, pattern)), "")


def _questions(design: Design) -> list[str]:
    lines: list[str] = []
    for question in design.reading.questions:
        lines += _item(f"{question.question} Taken: {question.taken}; else {', '.join(question.options)}.")
    for choice in design.choices:
        effects = "; ".join(
            f"{option}: {name} {format_change(change, design.units)}"
            for option, name, change in choice.effect_mm
        )
        lines += _item(f"{in_units(choice.question, design.units)} Taken: {choice.taken}. {effects}")
    return lines


def _materials(design: Design) -> list[str]:
    if not design.materials:
        return []
    head = ("material", "amount", "unit", "allowance", "from")
    rows = []
    for material in design.materials:
        amount, unit = amount_in(material.amount, material.unit, design.units)
        words = (in_units(text, design.units) for text in (material.allowance, material.origin))
        rows.append((in_units(material.name, design.units), _number(amount), unit, *words))
    return text_table([head, *rows], right=(1,)).splitlines()


def _number(amount: float) -> str:
    """Two decimals, and two figures of what is smaller: no amount reads as nothing.

    >>> _number(12.5), _number(0.0032)
    ('12.5', '0.0032')
    """
    return f"{amount:.2f}".rstrip("0").rstrip(".") if amount >= 0.1 else f"{amount:.2g}"


def _steps(design: Design) -> list[str]:
    lines: list[str] = []
    for step in design.steps:
        times = [bench_words(step.bench_minutes)] if step.bench_minutes else []
        times += [f"then wait {step.wait_hours:g} h"] if step.wait_hours else []
        wait = f" ({', '.join(times)})" if times else ""
        after = f" after {', '.join(step.waits_for)}" if step.waits_for else ""
        lines += _item(in_units(f"{step.name}{after}{wait}", design.units), mark=f"{step.order:2d}. ")
        for caution in step.cautions:
            lines += _item(in_units(f"Caution: {caution}", design.units), mark="      ")
    return lines


def _section(title: str, lines: Iterable[str]) -> list[str]:
    lines = list(lines)
    return [title, "-" * len(title), *lines] if lines else []


def _paragraph(text: str) -> list[str]:
    return textwrap.wrap(" ".join(text.split()), _WIDTH)


def _item(text: str, *, mark: str = "- ") -> list[str]:
    return textwrap.wrap(
        " ".join(text.split()), _WIDTH, initial_indent=mark, subsequent_indent=" " * len(mark)
    )
