"""What the case's design hands on: the object it holds, the cover, the base, in millimetres.

The case's own frame: x to the viewer's right, y away from the viewer, z up; the clear inside begins at
(0, 0, 0), z = 0 is the surface of the lining.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from shapely.geometry import Polygon

from pixel2make.design.light.model import LightPlan
from pixel2make.design.model import Choice, Finding, Material, Part, Step
from pixel2make.quantity import Dimension

__all__ = ["Bend", "Bent", "CaseDesign", "Held", "Pose"]


@dataclass(frozen=True)
class Held:
    """A closed object, whatever it is, that stands in the case.

    Attributes
    ----------
    name : str
        For the nameplate and the titles.
    width, height, thickness : Dimension
        Outside of the closed object.
    projections : mapping of str to float
        How far fittings stand out beyond it, in mm, by face: "cover", "back", "spine", "fore_edge",
        "head", "tail". A face that is missing is bare.
    mass_g : float
    """

    name: str
    width: Dimension
    height: Dimension
    thickness: Dimension
    projections: Mapping[str, float] = field(default_factory=dict)
    mass_g: float = 0.0

    def with_sizes(self, sizes: Mapping[str, Dimension]) -> Held:
        """The same with other sizes by "width", "height", "thickness"; those left out stay."""
        return replace(
            self,
            width=sizes.get("width", self.width),
            height=sizes.get("height", self.height),
            thickness=sizes.get("thickness", self.thickness),
        )

    def projection(self, face: str) -> float:
        """Of the fittings on that face."""
        return float(self.projections.get(face, 0.0))


@dataclass(frozen=True)
class Pose:
    """How the object lies, seen from the left side of the case, and what room that takes.

    Attributes
    ----------
    name : {"cradle", "standing", "lying"}
    size_mm : (x, y, z)
        Upright box round the object, its fittings and the cradle.
    section : Polygon
        The object with its fittings in the y-z plane, y away from the viewer, z up, both from the box.
    supports : tuple of (name, Polygon)
        The cradle's boards in the same plane.
    angle_deg : float
        Of the object's cover from level.
    """

    name: str
    size_mm: tuple[float, float, float]
    section: Polygon
    supports: tuple[tuple[str, Polygon], ...] = ()
    angle_deg: float = 90.0


@dataclass(frozen=True)
class Bend:
    """One right angle, measured along the flat sheet.

    Attributes
    ----------
    start_mm, end_mm : float
        Where the arc begins and ends.
    band_mm : float
        Width to heat, about the line.
    """

    start_mm: float
    end_mm: float
    band_mm: float

    @property
    def line_mm(self) -> float:
        """The heating line: the middle of the arc."""
        return (self.start_mm + self.end_mm) / 2


@dataclass(frozen=True)
class Bent:
    """A cover of one sheet, bent up in two lines: front, top and back in one.

    Attributes
    ----------
    sheet_mm, radius_mm, allowance_mm, k_factor : float
        Thickness, inside radius, length of the arc in the flat, place of the neutral line.
    leg_mm, top_mm : float
        Straight lengths of a leg and of the top.
    width_mm : float
        Along the bend lines.
    bends : (Bend, Bend)
    """

    sheet_mm: float
    radius_mm: float
    allowance_mm: float
    k_factor: float
    leg_mm: float
    top_mm: float
    width_mm: float
    bends: tuple[Bend, Bend]

    @property
    def developed_mm(self) -> float:
        """Length of the flat sheet."""
        return 2 * self.leg_mm + self.top_mm + 2 * self.allowance_mm


@dataclass(frozen=True, eq=False)
class CaseDesign:
    """A display case for one object.

    Attributes
    ----------
    held : Held
    taken : mapping of str to (str or float)
        The answer to every question about the case.
    pose : Pose
    dimensions : tuple of Dimension
    bent : Bent or None
        None for a cover of flat panels.
    parts : tuple of Part
    materials, steps, choices, findings : tuple
    warnings : tuple of str
    mass_g : tuple of (part, grams)
    light : LightPlan or None
    """

    held: Held
    taken: Mapping[str, str | float]
    pose: Pose
    dimensions: tuple[Dimension, ...]
    bent: Bent | None
    parts: tuple[Part, ...]
    materials: tuple[Material, ...]
    steps: tuple[Step, ...]
    choices: tuple[Choice, ...] = ()
    findings: tuple[Finding, ...] = ()
    warnings: tuple[str, ...] = ()
    mass_g: tuple[tuple[str, float], ...] = ()
    light: LightPlan | None = None

    def __getitem__(self, name: str) -> float:
        """Value in mm of the dimension of that name; KeyError where there is none."""
        for dimension in self.dimensions:
            if dimension.name == name:
                return dimension.value_mm
        raise KeyError(name)

    @property
    def inside_mm(self) -> tuple[float, float, float]:
        """Clear inside, x, y, z."""
        return self["inside_width"], self["inside_depth"], self["inside_height"]

    @property
    def total_mass_g(self) -> float:
        """Of the case alone, in grams."""
        return sum(grams for _, grams in self.mass_g)
