"""``index.html``: the whole pack on one page, without scripts and without anything to fetch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib.resources import files as resources
from typing import Any

from pixel2make.design.model import Design
from pixel2make.pack.report.blocks import definitions, figure, scrolling, section
from pixel2make.pack.report.doubts import (
    choice_table,
    faithfulness_account,
    faithfulness_of,
    feature_table,
    question_table,
    reading_account,
)
from pixel2make.pack.report.inline import inline_svg
from pixel2make.pack.report.listing import file_list
from pixel2make.pack.report.markup import Content, Markup, join, page, tag
from pixel2make.pack.report.parts import (
    cautions,
    dimension_table,
    material_table,
    order_list,
    part_table,
    warnings,
)
from pixel2make.pack.report.pictures import cover_picture, feature_map, png_uri, sprite_picture
from pixel2make.pack.report.words import identifier, length, mass, percent
from pixel2make.pack.writer import MANIFEST

__all__ = ["INDEX", "report_bytes"]

INDEX = "index.html"
ARRANGEMENT = "drawing.svg"
SECTION = "section.svg"
PLAN = "plan/plan.toml"
_EDGES = (("Height", "cover_height"), ("Width", "cover_width"), ("Thickness", "book_thickness"))


def report_bytes(
    design: Design, files: Mapping[str, bytes], part_files: Mapping[str, Sequence[str]] | None = None
) -> bytes:
    """The page as UTF-8; same design and files, same bytes.

    Parameters
    ----------
    design : Design
    files : mapping of path to bytes
        The rest of the pack, to show and to link.
    part_files : mapping of part name to paths, optional
        Where each part is drawn.
    """
    where = {name: tuple(p for p in paths if p in files) for name, paths in (part_files or {}).items()}
    sections = _numbered(design, files, where)
    index = tag(
        "nav",
        tag("ol", *(tag("li", tag("a", title, href=f"#{identifier(title)}")) for title, _ in sections)),
        aria_label="Contents",
    )
    sheet = tag(
        "main",
        tag("header", _title_block(design, faithfulness_of(files))),
        index,
        *(section(i, title, *content) for i, (title, content) in enumerate(sections, 1)),
        id="sheet",
        tabindex="-1",
    )
    body = join(tag("a", "Skip to the pack", href="#sheet", class_="skip"), sheet)
    style = resources("pixel2make.pack.report").joinpath("style.css").read_text("utf-8")
    name = _name(design)
    return page(
        title=f"{name}: build pack",
        description=f"Build pack for {name}: dimensions, drawings, parts, materials and order of work.",
        style=style,
        body=body,
    ).encode()


def _numbered(
    design: Design, files: Mapping[str, bytes], where: Mapping[str, Sequence[str]]
) -> list[tuple[str, list[Content]]]:
    """Titles and contents of the sections, those without content left out."""
    found: list[tuple[str, list[Content]]] = [
        ("Before you start", [_before(design)]),
        ("From the sprite", [_pictures(design), feature_table(design)]),
        ("The object", _object(files)),
        ("Dimensions", [dimension_table(design)]),
        ("Parts and materials", [part_table(design, where), material_table(design)]),
        ("Order of work", [order_list(design)]),
        (
            "Yours to decide",
            [question_table(design, PLAN if PLAN in files else None), choice_table(design)],
        ),
        ("How sure it is", [reading_account(design), _proof(files)]),
        ("Files", [file_list({**files, MANIFEST: b""})]),
    ]
    return [(title, content) for title, content in found if any(content)]


def _name(design: Design) -> str:
    stem = design.reading.regions.sprite.file.rpartition(".")[0] or design.reading.regions.sprite.file
    words = stem.replace("_", " ").replace("-", " ").strip()
    return words[:1].upper() + words[1:]


def _title_block(design: Design, proof: Mapping[str, Any] | None) -> Markup:
    from pixel2make import __version__

    units, sprite = design.units, design.reading.regions.sprite
    sizes = {d.name: d for d in design.dimensions}
    rows, columns = sprite.shape
    given = design.given
    pairs: list[tuple[str, Content]] = [
        (
            label,
            join(
                tag("b", length(sizes[name].value_mm, units)),
                tag("span", " as given") if label.lower() == given else None,
            ),
        )
        for label, name in _EDGES
        if name in sizes
    ]
    pairs += [
        ("Mass", tag("b", f"about {mass(design.total_mass_g)}") if design.mass_g else None),
        ("Reading", tag("b", f"{percent(design.reading.view.confidence)} sure of the view")),
        ("Faithfulness", tag("b", f"{percent(proof['same_feature'])} as drawn") if proof else None),
        ("Sprite", f"{sprite.file}, {columns} × {rows} pixels"),
        ("Identification", tag("code", sprite.sha256[:8])),
        ("Made by", f"pixel2make {__version__}"),
    ]
    return join(
        tag("div", tag("p", "Build pack", class_="kicker"), tag("h1", _name(design)), class_="title"),
        definitions(pairs, "block"),
    )


def _before(design: Design) -> Markup:
    care = cautions(design)
    return join(
        tag("div", tag("h3", "Warnings"), warnings(design), class_="warn"),
        tag("div", tag("h3", "Cautions"), care, class_="care") if care else None,
    )


def _pictures(design: Design) -> Markup:
    sprite = design.reading.regions.sprite
    rows, columns = sprite.shape
    return tag(
        "div",
        figure(sprite_picture(design.reading), f"The sprite, {columns} × {rows} native pixels."),
        figure(
            feature_map(design.reading),
            "What each pixel was taken for. Letters and hatching are explained in the table.",
        ),
        figure(cover_picture(design), "The cover face on, in its true proportions, areas outlined."),
        class_="pair",
    )


def _object(files: Mapping[str, bytes]) -> list[Content]:
    content: list[Content] = []
    if ARRANGEMENT in files:
        drawing = inline_svg(
            files[ARRANGEMENT],
            label="General arrangement: the views of the closed object with its dimensions, all of which "
            "stand in the table of dimensions.",
            is_paper=False,
        )
        link = tag("a", "Open the drawing by itself", href=ARRANGEMENT)
        content.append(
            figure(
                scrolling("General arrangement", drawing, class_="scroll drawing"),
                join("General arrangement. ", link, "."),
                class_="wide",
            )
        )
    if SECTION in files:
        drawing = inline_svg(
            files[SECTION],
            label="Section across the spine: covering, boards, lining, leaves, and a detail of the joint.",
            is_paper=False,
        )
        link = tag("a", "Open the section by itself", href=SECTION)
        content.append(
            figure(
                scrolling("Section across the spine", drawing, class_="scroll drawing"),
                join("Section across the spine. ", link, "."),
                class_="wide",
            )
        )
    shaded = [path for path in sorted(files) if path.startswith("preview/") and path.endswith(".png")]
    content.append(
        tag("div", *(figure(_picture(files[path], path), _caption(path)) for path in shaded), class_="trio")
        if shaded
        else None
    )
    return content


def _proof(files: Mapping[str, bytes]) -> Markup | None:
    """The object drawn again on the sprite's grid: figures and pictures."""
    pictures = [path for path in sorted(files) if path.startswith("proof/") and path.endswith(".png")]
    account = faithfulness_account(faithfulness_of(files))
    if not pictures and not account:
        return None
    shown = (figure(_picture(files[path], path), _caption(path), class_="crisp") for path in pictures)
    return join(tag("h3", "Back to pixels"), account, tag("div", *shown, class_="pair") if pictures else None)


def _picture(content: bytes, path: str) -> Markup:
    address, width, height = png_uri(content)
    return tag(
        "img",
        src=address,
        width=width,
        height=height,
        alt=f"Shaded picture of the finished object: {_caption(path)}",
    )


def _caption(path: str) -> str:
    words = path.rpartition("/")[2].rpartition(".")[0].replace("_", " ").replace("-", " ")
    return words[:1].upper() + words[1:] + "."
