"""What the design stage hands on: the real object, in millimetres.

Outlines are shapely polygons in millimetres, x right, y down. An area's outline lies in the
coordinates of its face: (0, 0) is the face's origin corner (head-spine for the cover). A part's
outline lies in its own coordinates, its bounding box beginning at (0, 0).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from shapely.geometry import MultiPolygon, Polygon

from pixel2make.design.metalwork import Fitting, Mechanism
from pixel2make.quantity import UNITS, Dimension
from pixel2make.reading.model import Reading

__all__ = ["Area", "Choice", "Clasp", "Design", "Finding", "Hole", "Material", "Part", "Step", "Template"]


@dataclass(frozen=True)
class Finding:
    """Something that a check noticed.

    Attributes
    ----------
    code : str
        Stable words, such as "thin-wall".
    subject : str
    sentence : str
        With the numbers and the nearest thing that works.
    measured_mm, limit_mm : float or None
    source : str
        Where the limit comes from.
    """

    code: str
    subject: str
    sentence: str
    measured_mm: float | None = None
    limit_mm: float | None = None
    source: str = ""


@dataclass(frozen=True)
class Choice:
    """A question that shops or readings answer differently, and what each answer moves.

    Attributes
    ----------
    key : str
        The plan's key under ``[choices]``, such as "spine_piece".
    question : str
    options : tuple of str
    taken : str
    effect_mm : tuple of (str, str, float)
        (option, dimension, change in mm against what was taken).
    """

    key: str
    question: str
    options: tuple[str, ...]
    taken: str
    effect_mm: tuple[tuple[str, str, float], ...] = ()


@dataclass(frozen=True)
class Part:
    """One piece to cut or make.

    Attributes
    ----------
    name : str
        "front_board", "spine_piece", "text_block_leaf" ...
    material : str
        Key of the material, such as "greyboard"; parts of one material share a cut sheet.
    quantity : int
    thickness_mm : float
    outline : Polygon or MultiPolygon
    grain : {"height", "width"} or None
        Along which side of the outline the grain runs.
    is_cut : bool
        True where the part is cut from sheet and belongs on a cut sheet.
    marks : tuple of (str, Polygon or MultiPolygon)
        Outlines to mark on the piece, with what they are ("board", "turn_in").
    color : str
        sRGB hex of the material to look for in a shop; "" where nothing tells.
    """

    name: str
    material: str
    quantity: int
    thickness_mm: float
    outline: Polygon | MultiPolygon
    grain: str | None = None
    is_cut: bool = True
    marks: tuple[tuple[str, Polygon | MultiPolygon], ...] = ()
    color: str = ""

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the bounding box."""
        x0, y0, x1, y1 = self.outline.bounds
        return x1 - x0, y1 - y0


@dataclass(frozen=True)
class Area:
    """A painted, gilded, carved or inlaid area on a face.

    Attributes
    ----------
    name : str
        The feature's id, such as "emblem-1".
    feature : str
    face : str
    treatment : {"gilded", "painted", "lettering"}
    color : str
        sRGB hex in the sprite.
    outline : Polygon or MultiPolygon
        On the face, millimetres, in the chosen line style.
    why : str
    repairs : str
        What was changed for the tool, as a sentence; empty where nothing was.
    """

    name: str
    feature: str
    face: str
    treatment: str
    color: str
    outline: Polygon | MultiPolygon
    why: str
    repairs: str = ""


@dataclass(frozen=True)
class Clasp:
    """One clasp over the fore-edge, as sheet metal and as a print.

    Attributes
    ----------
    name : str
        The feature's id, "clasp-1".
    plate : Polygon
        Outline of the front plate in millimetres; x from the fore-edge inwards, y along the
        height, bounding box beginning at (0, 0).
    position_mm : float
        Distance of the plate's upper end from the head edge of the cover.
    span : Dimension
        Clear width between the plates: the closed book and the clearance.
    plate_length : Dimension
        Reach of the plate onto the cover.
    width : Dimension
        Along the height of the book.
    wall : Dimension
        Thickness of the printed plates.
    sheet : Dimension
        Thickness of the sheet metal for the flat pattern.
    inside_radius : Dimension
    k_factor : float
    material, color : str
    form : {"hooked_arm", "pin_strap", "folded_slide"}
        How it holds.
    why : str
        Why this form, as a sentence.
    metal, printed : Mechanism or None
        Its pieces made of sheet and printed.
    """

    name: str
    plate: Polygon
    position_mm: float
    span: Dimension
    plate_length: Dimension
    width: Dimension
    wall: Dimension
    sheet: Dimension
    inside_radius: Dimension
    k_factor: float
    material: str
    color: str
    form: str = ""
    why: str = ""
    metal: Mechanism | None = None
    printed: Mechanism | None = None


@dataclass(frozen=True)
class Hole:
    """A hole to pierce: what it is for, its middle on the template and its diameter."""

    name: str
    x_mm: float
    y_mm: float
    diameter_mm: float


@dataclass(frozen=True)
class Template:
    """A jig at true size to pierce or drill through; no piece of the object itself.

    Attributes
    ----------
    name : str
        "sewing" ...
    outline : Polygon
        Bounding box beginning at (0, 0).
    holes : tuple of Hole
        From the upper end down.
    bands : tuple of (str, float, float)
        What lies across between two heights, such as a tape: name, upper and lower end.
    fold_mm : float or None
        x of a line along the height on which the template is folded.
    upper_end, lower_end : str
        What the ends are called, such as "head" and "tail".
    notes : tuple of str
    """

    name: str
    outline: Polygon
    holes: tuple[Hole, ...]
    bands: tuple[tuple[str, float, float], ...] = ()
    fold_mm: float | None = None
    upper_end: str = ""
    lower_end: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Material:
    """An amount that the object takes.

    Attributes
    ----------
    name : str
    amount : float
    unit : str
    allowance : str
        What is in it for waste.
    origin : str
        What it was counted from.
    buy : float or None
        The same as shops sell it, rounded up; None where that is the amount itself.
    buy_unit : str
    """

    name: str
    amount: float
    unit: str
    allowance: str
    origin: str
    buy: float | None = None
    buy_unit: str = ""

    @property
    def to_buy(self) -> tuple[float, str]:
        """Amount and unit as shops sell it."""
        return (self.amount, self.unit) if self.buy is None else (self.buy, self.buy_unit)


@dataclass(frozen=True)
class Step:
    """One step of the order of work.

    Attributes
    ----------
    order : int
    name : str
    waits_for : tuple of str
        Earlier steps.
    wait_hours : float
        Drying or pressing after it, with nothing to do.
    cautions : tuple of str
    bench_minutes : float
        Of work by hand, for one pair of practised hands; 0 where nobody counted.
    bench_source : str
        Where the minutes come from, such as "from memory".
    """

    order: int
    name: str
    waits_for: tuple[str, ...]
    wait_hours: float
    cautions: tuple[str, ...]
    bench_minutes: float = 0.0
    bench_source: str = ""


@dataclass(frozen=True, eq=False)
class Design:
    """The real object.

    Attributes
    ----------
    reading : Reading
    given : str
        "height", "width" or "thickness": the edge whose real size the maker chose.
    dimensions : tuple of Dimension
        Names are unique.
    feature_sizes : mapping of str to (Dimension, Dimension)
        Feature id to width and height where it lies on a face.
    parts, areas, clasps, materials, steps, choices, findings : tuple
    warnings : tuple of str
    mass_g : tuple of (part, grams)
        Of all pieces of that part together.
    templates : tuple of Template
        Jigs that the work needs.
    taken : mapping of str to (str or float)
        The answer to every choice; a float is a length in mm or a number in the choice's own unit.
    fittings : tuple of Fitting
        Corner pieces and bosses of metal.
    """

    reading: Reading
    given: str
    dimensions: tuple[Dimension, ...]
    feature_sizes: dict[str, tuple[Dimension, Dimension]]
    parts: tuple[Part, ...]
    areas: tuple[Area, ...]
    clasps: tuple[Clasp, ...]
    materials: tuple[Material, ...]
    steps: tuple[Step, ...]
    choices: tuple[Choice, ...]
    findings: tuple[Finding, ...] = field(default=())
    warnings: tuple[str, ...] = field(default=())
    mass_g: tuple[tuple[str, float], ...] = field(default=())
    templates: tuple[Template, ...] = field(default=())
    taken: Mapping[str, str | float] = field(default_factory=dict)
    fittings: tuple[Fitting, ...] = field(default=())

    @property
    def units(self) -> str:
        """In which units lengths are shown, "mm" or "in"."""
        return str(self.taken.get("units", UNITS[0]))

    @property
    def total_mass_g(self) -> float:
        """Mass of the finished object in grams."""
        return sum(grams for _, grams in self.mass_g)

    def noting(self, found: Iterable[Finding]) -> Design:
        """The same with these findings among its own, each sentence also a warning, none said twice."""
        known = {(finding.code, finding.subject) for finding in self.findings}
        findings = (*self.findings, *(f for f in found if (f.code, f.subject) not in known))
        sentences = dict.fromkeys((*self.warnings, *(f.sentence for f in findings)))
        return replace(self, findings=findings, warnings=tuple(sentences))

    def dimension(self, name: str) -> Dimension:
        """The dimension of that name; KeyError where there is none."""
        for dimension in self.dimensions:
            if dimension.name == name:
                return dimension
        raise KeyError(name)
