"""Building blocks of the report: sections, figures, and tables that scroll on a narrow screen."""

from __future__ import annotations

from collections.abc import Sequence

from pixel2make.pack.report.markup import Content, Markup, tag
from pixel2make.pack.report.words import identifier

__all__ = ["definitions", "figure", "scrolling", "section", "table"]


def section(number: int, title: str, *content: Content) -> Markup:
    """A numbered part of the page with its heading; nothing where there is no content."""
    inner = [each for each in content if each]
    if not inner:
        return Markup("")
    name = identifier(title)
    heading = tag(
        "h2", tag("span", str(number), class_="ball", aria_hidden="true"), title, id=f"{name}-title"
    )
    return tag("section", heading, *inner, id=name, aria_labelledby=f"{name}-title")


def figure(picture: Content, caption: Content, class_: str | None = None) -> Markup:
    """A picture with its caption; nothing without a picture."""
    return tag("figure", picture, tag("figcaption", caption), class_=class_) if picture else Markup("")


def scrolling(label: str, content: Content, class_: str = "scroll") -> Markup:
    """A part that scrolls sideways where the screen is narrow, also by the keyboard."""
    return tag("div", content, class_=class_, role="region", aria_label=label, tabindex="0")


def table(
    caption: str,
    head: Sequence[Content],
    rows: Sequence[Sequence[Content]],
    *,
    numeric: Sequence[int] = (),
    note: Content = None,
    class_: str | None = None,
) -> Markup:
    """A table with caption and scopes, its first column the heads of the rows; nothing without rows."""
    if not rows:
        return Markup("")

    def of(column: int) -> str | None:
        return "n" if column in numeric else None

    heads = tag("tr", *(tag("th", cell, scope="col", class_=of(i)) for i, cell in enumerate(head)))
    body = (
        tag(
            "tr",
            *(
                tag("td", cell, class_=of(i)) if i else tag("th", cell, scope="row", class_=of(i))
                for i, cell in enumerate(row)
            ),
        )
        for row in rows
    )
    inner = tag("table", tag("caption", caption), tag("thead", heads), tag("tbody", *body), class_=class_)
    return Markup(scrolling(caption, inner) + (tag("p", note, class_="note") if note else ""))


def definitions(pairs: Sequence[tuple[str, Content]], class_: str | None = None) -> Markup:
    """Captions over entries, as in a title block; pairs without an entry are left out."""
    fields = (tag("div", tag("dt", name), tag("dd", entry)) for name, entry in pairs if entry)
    return tag("dl", *fields, class_=class_)
