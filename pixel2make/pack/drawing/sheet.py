"""Drawing sheet: sizes, frame, title block, scales, projection symbol."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pixel2make import trade
from pixel2make.pack.issued import date_of_issue
from pixel2make.pack.pens import LETTERING_HEIGHTS_MM, DrawingBuilder, text_width_mm
from pixel2make.quantity import UNIT_WORDS

__all__ = [
    "FIRST_ANGLE",
    "SCALES",
    "SHEETS",
    "THIRD_ANGLE",
    "TITLE_BLOCK_HEIGHT_MM",
    "TITLE_BLOCK_WIDTH_MM",
    "Sheet",
    "TitleBlock",
    "draw_frame",
    "draw_title_block",
    "fit_text",
    "scale_name",
]

BORDER_LEFT_MM: float = trade.value("drawing.frame").value["left"]
BORDER_MM: float = trade.value("drawing.frame").value["other"]
"""ISO 5457:1999: wider on the left, for filing."""
TITLE_BLOCK_WIDTH_MM = trade.value("drawing.title_block_width").number
TITLE_BLOCK_HEIGHT_MM = 36.0
_ROW_MM = 9.0
"""Four rows, each with a caption above an entry."""
_CAPTION_MM = LETTERING_HEIGHTS_MM[0]
_ENTRY_MM: float = trade.value("drawing.lettering").value["note"]
_TITLE_MM: float = trade.value("drawing.lettering").value["title"]

FIRST_ANGLE, THIRD_ANGLE = "first_angle", "third_angle"
"""The two ways of ISO 5456-2 to stand views beside each other."""

_SCALES = trade.value("drawing.scales").value
SCALES = (
    *(float(n) for n in sorted(_SCALES["enlargement"], reverse=True)),
    1.0,
    *(1.0 / n for n in sorted(_SCALES["reduction"])),
)
"""Recommended scales of ISO 5455, largest first."""


@dataclass(frozen=True)
class Sheet:
    """A trimmed drawing sheet.

    Attributes
    ----------
    name : str
        ISO 216 designation.
    width_mm, height_mm : float
    """

    name: str
    width_mm: float
    height_mm: float

    @property
    def space(self) -> tuple[float, float, float, float]:
        """Drawing space inside the frame, (x0, y0, x1, y1).

        >>> x0, y0, x1, y1 = SHEETS["A3"].space
        >>> x1 - x0, y1 - y0
        (390.0, 277.0)
        """
        return (BORDER_LEFT_MM, BORDER_MM, self.width_mm - BORDER_MM, self.height_mm - BORDER_MM)


def _sheets() -> dict[str, Sheet]:
    sizes = trade.value("paper.iso216.a").value
    found = {}
    for name in ("A4", "A3", "A2", "A1", "A0"):
        short, long = (float(v) for v in sizes[name])
        found[name] = Sheet(name, short, long) if name == "A4" else Sheet(name, long, short)
    return found


SHEETS: Mapping[str, Sheet] = _sheets()
"""ISO 5457:1999: A4 upright, the others with the long side across; smallest first."""


@dataclass(frozen=True)
class TitleBlock:
    """Entries of a title block after ISO 7200:2004; empty ones stay open for the maker.

    Attributes
    ----------
    title, supplement : str
        At most 25 characters are asked for by the standard; longer ones are set smaller.
    document_type, identification, creator : str
    scale : str
    sheet_name : str
        Size of the sheet.
    tolerance : str
        General tolerance.
    units : str
        In which the dimensions are written.
    projection : str or None
        By which the views stand beside each other; None where no two views do.
    date : str
        Of issue; empty where none was asked for.
    """

    title: str
    supplement: str
    document_type: str
    identification: str
    creator: str
    scale: str
    sheet_name: str
    tolerance: str
    units: str = "mm"
    projection: str | None = FIRST_ANGLE
    date: str = field(default_factory=date_of_issue)


def scale_name(scale: float) -> str:
    """How a scale is written.

    >>> scale_name(0.5), scale_name(1.0), scale_name(2.0)
    ('1:2', '1:1', '2:1')
    """
    return f"{scale:.0f}:1" if scale >= 1 else f"1:{1 / scale:.0f}"


def fit_text(value: str, width_mm: float, height_mm: float) -> tuple[str, float]:
    """Text and lettering height that fit into `width_mm`.

    Smaller heights of ISO 3098 are tried first; at the smallest the end of the text is left out and three
    dots say so.

    >>> fit_text("spine", 40.0, 2.5)
    ('spine', 2.5)
    """
    heights = [h for h in LETTERING_HEIGHTS_MM if h <= height_mm]
    for height in reversed(heights):
        if text_width_mm(value, height) <= width_mm:
            return value, height
    while value and text_width_mm(value + "…", heights[0]) > width_mm:
        value = value[:-1]
    return (value + "…" if value else ""), heights[0]


def draw_frame(page: DrawingBuilder, sheet: Sheet) -> None:
    """Frame of the drawing space with the four centring marks (ISO 5457)."""
    x0, y0, x1, y1 = sheet.space
    page.rectangle("frame", x0, y0, x1 - x0, y1 - y0)
    cx, cy, reach = sheet.width_mm / 2, sheet.height_mm / 2, 5.0
    page.line("frame", (cx, reach), (cx, y0 + reach))
    page.line("frame", (cx, sheet.height_mm - reach), (cx, y1))
    page.line("frame", (reach, cy), (x0 + reach, cy))
    page.line("frame", (sheet.width_mm - reach, cy), (x1 - reach, cy))


def draw_title_block(page: DrawingBuilder, sheet: Sheet, block: TitleBlock) -> None:
    """Title block in the lower right corner of the drawing space, 180 by 36."""
    _, _, x1, y1 = sheet.space
    x0, y0 = x1 - TITLE_BLOCK_WIDTH_MM, y1 - TITLE_BLOCK_HEIGHT_MM
    page.line("frame", (x0, y1), (x0, y0), (x1, y0))
    rows: tuple[tuple[tuple[str, str, float], ...], ...] = (
        (
            ("Legal owner", "", 60.0),
            ("Created by", block.creator, 40.0),
            ("Approved by", "", 40.0),
            ("Date of issue", block.date, 40.0),
        ),
        (("", "", 100.0), ("Document type", block.document_type, 80.0)),
        (("", "", 100.0), ("Identification number", block.identification, 55.0), ("Sheet", "1/1", 25.0)),
        (
            ("Scale", block.scale, 22.0),
            ("Projection", "", 30.0),
            ("Unit", f"All dimensions in {UNIT_WORDS[block.units]}", 48.0),
            ("General tolerances", block.tolerance, 55.0),
            ("Size", block.sheet_name, 25.0),
        ),
    )
    for i, row in enumerate(rows):
        x, y = x0, y0 + i * _ROW_MM
        for caption, entry, width in row:
            _draw_field(page, x, y, width, caption, entry)
            x += width
            if x < x1 - 1e-6:
                page.line("detail", (x, y), (x, y + _ROW_MM))
    for i, start in ((1, x0), (2, x0 + 100.0), (3, x0)):
        page.line("detail", (start, y0 + i * _ROW_MM), (x1, y0 + i * _ROW_MM))
    _draw_title(page, x0, y0 + _ROW_MM, 100.0, block)
    if block.projection is not None:
        is_third = block.projection == THIRD_ANGLE
        _draw_projection(page, x0 + 22.0 + 20.5, y0 + 3 * _ROW_MM + 5.7, is_third=is_third)


def _draw_field(page: DrawingBuilder, x: float, y: float, width: float, caption: str, entry: str) -> None:
    page.text(caption, (x + 1.2, y + 2.7), _CAPTION_MM)
    value, height = fit_text(entry, width - 2.4, _ENTRY_MM)
    page.text(value, (x + 1.2, y + 7.5), height)


def _draw_title(page: DrawingBuilder, x: float, y: float, width: float, block: TitleBlock) -> None:
    page.text("Title", (x + 1.2, y + 2.7), _CAPTION_MM)
    title, height = fit_text(block.title, width - 2.4, _TITLE_MM)
    page.text(title, (x + 1.2, y + 10.2), height)
    supplement, height = fit_text(block.supplement, width - 2.4, _ENTRY_MM)
    page.text(supplement, (x + 1.2, y + 16.2), height)


def _draw_projection(page: DrawingBuilder, x: float, y: float, *, is_third: bool) -> None:
    """The symbol of ISO 5456-2: a cone's stump from the side, its small end left, and seen from the left.

    By first angle that second view stands on the right of the first, by third angle on the left.
    """
    small, large, gap, past = 1.25, 2.5, 4.2, 0.6
    half = 2.5
    cone, rings = (x + gap, x - gap) if is_third else (x - gap, x + gap)
    page.line(
        "detail",
        (cone - half, y - small),
        (cone + half, y - large),
        (cone + half, y + large),
        (cone - half, y + small),
        (cone - half, y - small),
    )
    page.circle("detail", (rings, y), small)
    page.circle("detail", (rings, y), large)
    ends = min(cone - half, rings - large) - past, max(cone + half, rings + large) + past
    page.line("centre", (ends[0], y), (ends[1], y))
    page.line("centre", (rings, y - large - past), (rings, y + large + past))
