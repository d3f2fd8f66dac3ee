"""A drawing of the pack inside the page: the same SVG file, slimmed and set in the page's own ink."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

from pixel2make.pack.pens.lines import INK
from pixel2make.pack.pens.svg import VIEWS
from pixel2make.pack.report.markup import Markup, tag

__all__ = ["inline_svg"]

_NAMESPACE = "{http://www.w3.org/2000/svg}"
_NUMBER = re.compile(r"-?\d+\.\d+")
_DROPPED = {"id", "width", "height", "version"}


def inline_svg(
    content: bytes,
    *,
    label: str | None = None,
    decimals: int = 2,
    has_text: bool = True,
    is_paper: bool = True,
    has_views_alone: bool = False,
) -> Markup:
    """An SVG file as an element of an HTML page.

    Parameters
    ----------
    content : bytes
        A file as the pack holds it.
    label : str, optional
        What is seen, for those who do not see it; without one the picture is hidden from them.
    decimals : int
        Digits that are kept of a coordinate in millimetres.
    has_text : bool
        False leaves lettering out, which a thumbnail would only show as dust.
    is_paper : bool
        False leaves the sheet itself out and draws ink in the page's own colour.
    has_views_alone : bool
        True shows the views of a sheet without its tables and title block, no larger than they are.

    Returns
    -------
    Markup
        Without ids, which several drawings would share.
    """
    root = ET.fromstring(content)
    width, height = _size(root)
    shown = {"role": "img", "aria_label": label} if label else {"aria_hidden": "true"}
    views = root.find(f"{_NAMESPACE}view[@id='{VIEWS}']") if has_views_alone else None
    dropped = {"paper"} if not is_paper else set()
    if views is not None:
        dropped.add("frame")
    inner = Markup(
        "".join(_element(child, decimals, has_text, is_paper, frozenset(dropped)) for child in root)
    )
    view_box = root.get("viewBox") or f"0 0 {width} {height}"
    if views is not None:
        view_box = views.get("viewBox", view_box)
        wide = float(view_box.split()[2])
        shown["style"] = f"max-width:{wide:.0f}mm;min-width:min(56rem,{wide:.0f}mm)"
    return tag("svg", inner, viewBox=_rounded(view_box, decimals), **shown)


def _size(root: ET.Element) -> tuple[str, str]:
    width, height = (re.sub(r"[^0-9.]", "", root.get(side, "0")) for side in ("width", "height"))
    return width, height


def _rounded(text: str, decimals: int) -> str:
    return _NUMBER.sub(lambda m: _short(float(m[0]), decimals), text)


def _short(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".") if decimals else f"{value:.0f}"
    return "0" if text in {"-0", ""} else text


def _element(
    element: ET.Element, decimals: int, has_text: bool, is_paper: bool, dropped: frozenset[str] = frozenset()
) -> str:
    if not isinstance(element.tag, str):  # a comment
        return ""
    name = element.tag.removeprefix(_NAMESPACE)
    identity = element.get("id", "")
    if name in {"title", "desc", "metadata", "view"} or (name in {"text", "tspan"} and not has_text):
        return ""
    if identity in dropped:
        return ""
    attributes = {}
    for key, value in element.attrib.items():
        word = key.rpartition("}")[2]
        if word in _DROPPED and not (word in {"width", "height"} and name in {"rect", "image", "pattern"}):
            continue
        if word in {"fill", "stroke"} and value.lower() == INK and not is_paper:
            value = "currentColor"
        if word in {"d", "points"}:
            value = _rounded(value, decimals)
        attributes[word] = value
    if identity and name == "g":
        attributes["class"] = f"g-{identity}"
    inner = "".join(_element(child, decimals, has_text, is_paper, dropped) for child in element)
    text = (element.text or "").strip() if name in {"text", "tspan"} else ""
    if name == "g" and not inner:
        return ""
    return tag(name, text, Markup(inner), **attributes)
