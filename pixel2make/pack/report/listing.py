"""Every file of the pack with a thumbnail, formats of one drawing together."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby

from pixel2make.pack.readme import purpose
from pixel2make.pack.report.inline import inline_svg
from pixel2make.pack.report.markup import Content, Markup, join, tag
from pixel2make.pack.report.pictures import png_uri

__all__ = ["file_list"]

THUMBNAIL_PX = 260
"""A thumbnail is about 130 px wide; twice that for sharp screens."""
LARGEST_SVG = 150_000
"""Bytes of a drawing above which a thumbnail would make the page too heavy."""
PREFERRED = ("svg", "png", "webp", "gif", "pdf", "dxf", "stl", "3mf", "glb")
"""Formats of one drawing in this order; the first is what the thumbnail opens."""
FOLDERS = {
    "": "To begin with",
    "sheets": "Cut sheets",
    "masks": "Masks",
    "stencils": "Stencils",
    "gilding": "Gilding",
    "cover": "Cover and lettering",
    "clasp": "Clasps",
    "metalwork": "Corner pieces and bosses",
    "sewing": "Sewing",
    "swatches": "Colours",
    "preview": "Pictures",
    "proof": "Faithfulness",
    "plan": "Plan",
}
"""Titles of the pack's folders, in the order of the list; others follow by their own name."""


def file_list(files: Mapping[str, bytes]) -> Markup:
    """Links to all files, a card a drawing, grouped by folder."""
    order = list(FOLDERS)
    folders = sorted(
        {_folder(path) for path in files}, key=lambda f: (order.index(f) if f in order else len(order), f)
    )
    blocks: list[Markup] = []
    for folder in folders:
        paths = sorted(path for path in files if _folder(path) == folder)
        cards = [_card(stem, list(group), files) for stem, group in groupby(paths, key=_stem)]
        blocks.append(tag("h3", FOLDERS.get(folder, folder.replace("_", " ").capitalize())))
        blocks.append(tag("ul", *cards, class_="files", role="list"))
    return join(*blocks)


def _folder(path: str) -> str:
    return path.partition("/")[0] if "/" in path else ""


def _stem(path: str) -> str:
    head, dot, end = path.rpartition(".")
    return head if dot and "/" not in end else path


def _suffix(path: str) -> str:
    return path.rpartition(".")[2].lower()


def _card(stem: str, paths: list[str], files: Mapping[str, bytes]) -> Markup:
    """Formats with a common name: thumbnail, name, what it is for, a link a format."""
    paths.sort(key=lambda p: (PREFERRED.index(_suffix(p)) if _suffix(p) in PREFERRED else len(PREFERRED), p))
    first = paths[0]
    name = stem.rpartition("/")[2].replace("_", " ")
    links: list[Content] = []
    for path in paths:
        links += [
            tag(
                "a",
                _suffix(path).upper(),
                href=_address(path),
                aria_label=f"{name}, {_suffix(path).upper()} file",
            ),
            " ",
        ]
    return tag(
        "li",
        tag(
            "a",
            _thumbnail(paths, files),
            href=_address(first),
            class_="thumb",
            tabindex="-1",
            aria_hidden="true",
        ),
        tag(
            "div",
            tag("strong", name),
            tag("p", purpose(first)) if purpose(first) else None,
            tag("p", *links, class_="formats"),
        ),
    )


def _address(path: str) -> str:
    from urllib.parse import quote

    return quote(path)


def _thumbnail(paths: list[str], files: Mapping[str, bytes]) -> Markup:
    for path in paths:
        if _suffix(path) == "svg" and len(files[path]) <= LARGEST_SVG:
            return inline_svg(files[path], decimals=1, has_text=False)
        if _suffix(path) == "png":
            address, width, height = png_uri(files[path], THUMBNAIL_PX)
            is_small = max(width, height) < THUMBNAIL_PX / 2
            return tag(
                "img", src=address, width=width, height=height, alt="", class_="pixels" if is_small else None
            )
    return tag("span", _suffix(paths[0]), class_="blank")
