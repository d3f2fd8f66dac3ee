"""HTML as text that is known to be safe: what is not markup already is escaped."""

from __future__ import annotations

import html
from collections.abc import Iterable
from typing import TypeAlias

__all__ = ["Content", "Markup", "join", "page", "tag"]

VOID = frozenset({"br", "col", "hr", "img", "input", "link", "meta", "wbr"})
"""Elements without content and end tag (HTML Living Standard, void elements; those used here)."""


class Markup(str):
    """Text that is markup and goes into a page as it stands."""


Content: TypeAlias = "str | Iterable[Content] | None"
"""What an element may hold: markup, plain text, several of them, or nothing."""


def join(*content: Content) -> Markup:
    """All content as one piece of markup; plain text is escaped.

    >>> join("a < b", tag("b", "c"))
    'a &lt; b<b>c</b>'
    """
    return Markup("".join(_pieces(content)))


def _pieces(content: Content) -> Iterable[str]:
    if content is None:
        return
    if isinstance(content, Markup):
        yield content
    elif isinstance(content, str):
        yield html.escape(content, quote=False)
    else:
        for each in content:
            yield from _pieces(each)


def tag(name: str, /, *content: Content, **attributes: str | int | float | bool | None) -> Markup:
    """An element.

    Parameters
    ----------
    name : str
    *content : Content
        A void element takes none.
    **attributes
        A trailing underscore is dropped and others become hyphens, as in ``class_`` and ``aria_label``.
        None and False leave the attribute out, True writes it without a value.

    >>> tag("p", "1 < 2", class_="note", hidden=True)
    '<p class="note" hidden>1 &lt; 2</p>'
    >>> tag("br")
    '<br>'
    """
    parts = [f"<{name}"]
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        word = key.removesuffix("_").replace("_", "-")
        parts.append(f" {word}" if value is True else f' {word}="{html.escape(str(value))}"')
    parts.append(">")
    if name in VOID:
        if content:
            raise ValueError(f"{name} holds nothing")
        return Markup("".join(parts))
    return Markup("".join([*parts, *_pieces(content), f"</{name}>"]))


def page(*, title: str, description: str, style: str, body: Content) -> Markup:
    """A whole document in English, its style inside, nothing to fetch.

    The empty icon keeps a browser from asking for one.
    """
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("meta", name="description", content=description),
        tag("title", title),
        tag("link", rel="icon", href="data:,"),
        tag("style", Markup(style.replace("</", "<\\/"))),
    )
    return Markup(f"<!DOCTYPE html>\n{tag('html', head, tag('body', body), lang='en')}\n")
