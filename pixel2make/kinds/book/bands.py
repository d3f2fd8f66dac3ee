"""Raised bands across the spine: over the cords of the sewing, or strips stuck on under the covering.

In a laced-in book the bands are the cords themselves, so bands that are drawn tell where the cords lie. In a
case nothing ties them to the sewing, which keeps its tapes.
"""

from __future__ import annotations

from collections.abc import Iterator

from shapely.geometry import Polygon, box

from pixel2make import trade
from pixel2make.design.kind import ChoiceKey, Lengths
from pixel2make.design.model import Finding, Part
from pixel2make.design.span import Span
from pixel2make.kinds.book import rules
from pixel2make.kinds.book.rules import Answers
from pixel2make.kinds.book.sewing import Sewing
from pixel2make.quantity import Dimension
from pixel2make.reading.model import Band, Reading

__all__ = [
    "BAND",
    "band_dimensions",
    "band_findings",
    "band_marks",
    "band_parts",
    "bands_key",
    "cord_places",
    "even_places",
]

BAND = "raised_band"
"""Name of the strips among the parts."""

_BANDS = ("usual", "even", "none")

_LIKELY = 0.5
"""Lines on a spine that are less likely bands than tooling or lettering are offered, not taken."""


def bands_key(reading: Reading) -> ChoiceKey:
    """Where bands stand out on the spine; as drawn where what is drawn is more likely bands than not."""
    is_drawn = bool(reading.bands)
    is_likely = is_drawn and min(band.confidence for band in reading.bands) >= _LIKELY
    return ChoiceKey(
        "bands",
        "Do bands stand out on the spine? Usual is over the cords of a laced-in book and none on a case; "
        "even is five of them; none is a smooth spine, its cords sawn in.",
        ("drawn", *_BANDS) if is_drawn else _BANDS,
        "drawn" if is_likely else "usual",
        shows=("band_width", "band_rise", "support_spacing"),
        idle=("drawn",),
    )


def even_places(height_mm: float) -> tuple[float, ...]:
    """Middles of five bands from the head of a board: six panels, the one at the tail a little longer.

    >>> [round(mm, 1) for mm in even_places(305.0)]
    [50.0, 100.0, 150.0, 200.0, 250.0]
    """
    count = int(trade.value("covering.bands").number)
    panel = height_mm / (count + trade.value("covering.band_tail").number)
    return tuple(panel * number for number in range(1, count + 1))


def cord_places(taken: Answers, reading: Reading, *, height_mm: float, square_mm: float) -> tuple[float, ...]:
    """Where drawn or even bands ask for cords, from the head of the leaf; empty where nothing asks.

    A maker who chose how the cords are spread is taken at that word.
    """
    if taken["structure"] != "laced" or taken["supports"] != "by_height":
        return ()
    if taken["bands"] == "drawn":
        return tuple(band.at * height_mm - square_mm for band in _drawn(reading))
    if taken["bands"] == "even":
        return tuple(mm - square_mm for mm in even_places(height_mm))
    return ()


def band_dimensions(
    taken: Answers, reading: Reading, sewing: Sewing, *, height: Span, square_mm: float, covering_mm: float
) -> Iterator[Dimension]:
    """Place of each band from the head of the boards, breadth along the spine, and how far it stands out."""
    if taken["bands"] == "none":
        return
    if taken["structure"] == "laced":
        yield from _over_cords(sewing, square_mm, covering_mm)
        return
    leather = rules.covering_thickness("leather", height.value)
    layers = trade.value("covering.band_layers")
    width = trade.step("covering.band_width", height.value)
    breadth = Span.exact(width.number).dimension("band_width", "rule", "strip for this height", width.cited)
    if taken["bands"] == "drawn":
        bands = _drawn(reading)
        for number, band in enumerate(bands, 1):
            place = Span(band.at, band.at_low, band.at_high) * height
            yield place.dimension(
                f"band_{number}_from_head", "sprite", "middle of the band as drawn", "sprite"
            )
        broad = bands[0]
        breadth = (Span(broad.width, broad.width_low, broad.width_high) * height).dimension(
            "band_width", "sprite", "breadth along the spine as drawn", "sprite"
        )
    elif taken["bands"] == "even":
        tail = trade.value("covering.band_tail")
        for number, mm in enumerate(even_places(height.value), 1):
            rule = f"even panels, the one at the tail {tail.number:g} of the others"
            yield Span.exact(mm).dimension(f"band_{number}_from_head", "rule", rule, tail.cited)
    else:
        return
    yield breadth
    yield Span.exact(layers.number * leather.mm).dimension(
        "band_rise", "rule", f"{layers.number:g} layers of leather stuck together", layers.cited
    )


def _over_cords(sewing: Sewing, square_mm: float, covering_mm: float) -> Iterator[Dimension]:
    for number, support in enumerate(sewing.supports, 1):
        yield Span.exact(support.mm + square_mm).dimension(
            f"band_{number}_from_head", "rule", f"over cord {number}", "common practice"
        )
    cord = sewing.supports[0].width_mm
    rule = "the cord and the covering worked down on either side of it"
    yield Span.exact(cord + 2 * covering_mm).dimension("band_width", "rule", rule, "common practice")
    yield Span.exact(cord).dimension("band_rise", "rule", "as thick as the cord", "common practice")


def _drawn(reading: Reading) -> tuple[Band, ...]:
    return tuple(sorted(reading.bands, key=lambda band: band.at))


def band_parts(lengths: Lengths, *, is_laced: bool) -> tuple[Part, ...]:
    """Strips of leather for the bands of a case; the cords of a laced-in book are its bands."""
    places = _places(lengths)
    if is_laced or not places:
        return ()
    layers = int(trade.value("covering.band_layers").number)
    leather = rules.covering_thickness("leather", lengths["board_height"]).mm
    strip = box(0, 0, lengths["spine_piece_width"], lengths["band_width"])
    return (Part(BAND, "leather", layers * len(places), leather, strip),)


def band_marks(lengths: Lengths, spine_mm: float) -> tuple[tuple[str, Polygon], ...]:
    """Where the bands lie on a spine of that width, its head at y = 0; also on the covering."""
    places = _places(lengths)
    if not places:
        return ()
    half = lengths["band_width"] / 2
    return tuple(
        (f"band_{number}", box(0, mm - half, spine_mm, mm + half)) for number, mm in enumerate(places, 1)
    )


def band_findings(taken: Answers, sewing: Sewing, wanted_mm: tuple[float, ...]) -> Iterator[Finding]:
    """Do the cords lie where the bands were wanted?"""
    found = tuple(support.mm for support in sewing.supports)
    if wanted_mm and found != wanted_mm:
        least = trade.value("sewing.least_gap")
        yield Finding(
            "bands-moved",
            "sewing",
            f"Bands {taken['bands']} would leave less than {least.number:g} mm of paper between two holes of "
            f"the fold or lie outside the kettle stitches; {len(found)} cords are spread evenly instead. "
            "Choose a larger size, or structure case with bands stuck on.",
            limit_mm=least.number,
            source=least.cited,
        )


def _places(lengths: Lengths) -> list[float]:
    return [
        d.value_mm for d in lengths.dimensions if d.name.startswith("band_") and d.name.endswith("_from_head")
    ]
