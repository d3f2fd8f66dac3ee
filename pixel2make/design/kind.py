"""What the design asks a kind of object; a folder under ``kinds`` answers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Protocol

from pixel2make.design.metalwork import Fitting
from pixel2make.design.model import Area, Clasp, Finding, Material, Part, Step, Template
from pixel2make.design.scale import Scaled
from pixel2make.quantity import Dimension
from pixel2make.reading.model import Reading

__all__ = ["A_LENGTH", "A_LENGTH_IN", "ChoiceKey", "DesignKind", "Lengths", "Made", "Number"]

A_LENGTH = "a length, such as 8mm"
"""How a choice's options say that a length would do as well."""

A_LENGTH_IN = "a length, such as 5/16in"
"""The same for a maker who measures in inches."""


@dataclass(frozen=True)
class Number:
    """A plain number with a unit that is no length, as the answer to a choice.

    Attributes
    ----------
    low, high : float
        Both would do.
    unit : str
        "g/m2".
    example : float
    """

    low: float
    high: float
    unit: str
    example: float

    @property
    def words(self) -> str:
        """How a choice's options say that a number would do.

        >>> Number(30, 400, "g/m2", 100).words
        'a number, such as 100 g/m2'
        """
        return f"a number, such as {self.example:g} {self.unit}"


@dataclass(frozen=True)
class ChoiceKey:
    """A question that a maker may answer in the plan.

    Attributes
    ----------
    key : str
        Lower-case words joined by underscores.
    question : str
    options : tuple of str
        Words that would do.
    default : str
        One of the options.
    takes_length : bool
        True where a length would do as well.
    number : Number or None
        Where a number of another unit would do as well; never together with a length.
    shows : tuple of str
        Dimensions whose change is worth showing beside an option.
    idle : tuple of str
        Words that another drawing of the same kind would offer. A plan may still hold them after its
        maker changed what a region is; they count as the default.
    reads : callable or None
        Where other words would do as well: gives them as the choice keeps them, QuantityError for others.
    reads_words : str
        What those are, for a list of what would do.
    is_asked : bool
        False where this drawing has nothing that the answer could change. A plan may still hold one.
    is_kept : bool
        True for a question that is not asked, yet stands in the plan once it has been answered.
    """

    key: str
    question: str
    options: tuple[str, ...]
    default: str
    takes_length: bool = False
    shows: tuple[str, ...] = ()
    idle: tuple[str, ...] = ()
    is_asked: bool = True
    number: Number | None = None
    reads: Callable[[str], str] | None = None
    reads_words: str = ""
    is_kept: bool = False


@dataclass(frozen=True)
class Lengths:
    """The dimensions of one object and what they were counted with.

    Attributes
    ----------
    dimensions : tuple of Dimension
        Unique names.
    warnings : tuple of str
    """

    dimensions: tuple[Dimension, ...]
    warnings: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> float:
        """Value in mm of the dimension of that name; KeyError where there is none."""
        return self.dimension(name).value_mm

    def dimension(self, name: str) -> Dimension:
        """The dimension of that name; KeyError where there is none."""
        for dimension in self.dimensions:
            if dimension.name == name:
                return dimension
        raise KeyError(name)


@dataclass(frozen=True)
class Made:
    """What a kind of object makes of its lengths.

    Attributes
    ----------
    parts, areas, clasps, materials, steps : tuple
        See `pixel2make.design.model`.
    mass_g : tuple of (part, grams)
    dimensions : tuple of Dimension
        More of them, which only come up while the parts are made.
    findings : tuple of Finding
    warnings : tuple of str
    templates : tuple of Template
    fittings : tuple of Fitting
    """

    parts: tuple[Part, ...]
    areas: tuple[Area, ...] = ()
    clasps: tuple[Clasp, ...] = ()
    materials: tuple[Material, ...] = ()
    steps: tuple[Step, ...] = ()
    mass_g: tuple[tuple[str, float], ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    findings: tuple[Finding, ...] = field(default=())
    warnings: tuple[str, ...] = field(default=())
    templates: tuple[Template, ...] = field(default=())
    fittings: tuple[Fitting, ...] = field(default=())


class DesignKind(Protocol):
    """What a kind of object tells the design. `pixel2make.kinds.book` is the first.

    Attributes
    ----------
    edge_names : mapping of str to str
        What the kind calls the object's height, width and thickness among its dimensions.
    """

    @property
    def edge_names(self) -> Mapping[str, str]:
        """Names of the dimensions that are the object's three edges."""

    def choice_keys(self, reading: Reading) -> Iterable[ChoiceKey]:
        """What the maker may choose, in the order of the plan."""

    def thickness(
        self, drawn: Dimension | None, height_mm: float, taken: Mapping[str, str | float]
    ) -> Dimension:
        """The thickness, from the one that is drawn where there is one; named "thickness"."""

    def lengths(self, scaled: Scaled) -> Lengths:
        """All dimensions at that size; DesignError where no object can be made."""

    def make(self, scaled: Scaled, lengths: Lengths) -> Made:
        """Parts, areas, clasps, materials and the order of work."""
