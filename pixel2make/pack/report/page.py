"""``index.html``: the whole pack on one page, without scripts and without anything to fetch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib.resources import files as resources
from typing import Any

from pixel2make.design.alternatives import Moves
from pixel2make.design.model import Design
from pixel2make.pack.issued import date_of_issue
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
from pixel2make.pack.report.pictures import MOST_PX, cover_picture, feature_map, png_uri, sprite_picture
from pixel2make.pack.report.words import identifier, length, mass, percent
from pixel2make.pack.writer import MANIFEST

__all__ = ["INDEX", "report_bytes"]

INDEX = "index.html"
ARRANGEMENT = "drawing.svg"
SECTION = "section.svg"
PLAN = "plan/plan.toml"
AS_DRAWN = "preview/as_drawn.png"
BESIDE = "preview/beside_the_sprite.png"
WIDE_PX = 1300
"""Pictures with lettering in them are shown over the whole width."""
SHEETS_SHOWN = {
    ARRANGEMENT: (
        "General arrangement",
        "the views of the closed object with its dimensions, all of which stand in the table of dimensions.",
    ),
    SECTION: (
        "Section across the spine",
        "covering, boards, lining and leaves, and a detail of the joint.",
    ),
    "exploded.svg": ("Exploded view", "the parts drawn apart, with item numbers and the list of parts."),
}
_CAPTIONS = {
    AS_DRAWN: "The finished object as it will be built, from the sprite's own side.",
    BESIDE: "Sprite and finished object side by side.",
    "preview/lying.png": "The finished object, lying.",
    "preview/spine.png": "The finished object, its spine.",
    "proof/back_to_pixels.png": "The sprite, the finished object on its grid, and where both differ.",
}
_EDGES = (("Height", "cover_height"), ("Width", "cover_width"), ("Thickness", "book_thickness"))


def report_bytes(
    design: Design,
    files: Mapping[str, bytes],
    part_files: Mapping[str, Sequence[str]] | None = None,
    moves: Mapping[tuple[str, str], Moves] | None = None,
) -> bytes:
    """The page as UTF-8; same design and files, same bytes.

    Parameters
    ----------
    design : Design
    files : mapping of path to bytes
        The rest of the pack, to show and to link.
    part_files : mapping of part name to paths, optional
        Where each part is drawn.
    moves : mapping of (subject, answer) to Moves, optional
        What the other answers to open questions would move.
    """
    where = {name: tuple(p for p in paths if p in files) for name, paths in (part_files or {}).items()}
    sections = _numbered(design, files, where, moves or {})
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
    design: Design,
    files: Mapping[str, bytes],
    where: Mapping[str, Sequence[str]],
    moves: Mapping[tuple[str, str], Moves],
) -> list[tuple[str, list[Content]]]:
    """Titles and contents of the sections, those without content left out."""
    found: list[tuple[str, list[Content]]] = [
        ("Before you start", [_before(design)]),
        ("From the sprite", [_pictures(design, files), feature_table(design)]),
        ("The object", _object(files)),
        ("Dimensions", [dimension_table(design)]),
        ("Parts and materials", [part_table(design, where), material_table(design)]),
        ("Order of work", [order_list(design)]),
        (
            "Yours to decide",
            [question_table(design, moves, PLAN if PLAN in files else None), choice_table(design)],
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
        ("Date of issue", date_of_issue()),
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


def _pictures(design: Design, files: Mapping[str, bytes]) -> Markup:
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
        _shown(files, AS_DRAWN) if AS_DRAWN in files else None,
        class_="pair",
    )


def _object(files: Mapping[str, bytes]) -> list[Content]:
    sheets = [
        _sheet(files, path, title, label) for path, (title, label) in SHEETS_SHOWN.items() if path in files
    ]
    beside = _shown(files, BESIDE, WIDE_PX) if BESIDE in files else None
    others = [path for path in _pngs(files, "preview/") if path not in (AS_DRAWN, BESIDE)]
    pictures = tag("div", *(_shown(files, path) for path in others), class_="pair") if others else None
    return [beside, pictures, *sheets]


def _sheet(files: Mapping[str, bytes], path: str, title: str, label: str) -> Markup:
    """The views of a drawing sheet in the page's own ink, with a link to the whole of it."""
    drawing = inline_svg(files[path], label=f"{title}: {label}", is_paper=False, has_views_alone=True)
    return figure(
        scrolling(title, drawing, class_="scroll drawing"),
        join(f"{title}. The sheet with its tables: ", tag("a", path, href=path), "."),
        class_="wide",
    )


def _pngs(files: Mapping[str, bytes], folder: str) -> list[str]:
    return [path for path in sorted(files) if path.startswith(folder) and path.endswith(".png")]


def _proof(files: Mapping[str, bytes]) -> Markup | None:
    """The object drawn again on the sprite's grid: figures and pictures."""
    pictures = _pngs(files, "proof/")
    account = faithfulness_account(faithfulness_of(files))
    if not pictures and not account:
        return None
    return join(tag("h3", "Back to pixels"), account, *(_shown(files, path, WIDE_PX) for path in pictures))


def _shown(files: Mapping[str, bytes], path: str, most_px: int = MOST_PX) -> Markup:
    """A picture of the pack with its caption, which is its alternative text too."""
    caption = _CAPTIONS.get(path) or f"The finished object: {path.rpartition('/')[2].rpartition('.')[0]}."
    address, width, height = png_uri(files[path], most_px)
    return figure(tag("img", src=address, width=width, height=height, alt=caption), caption, class_="wide")
