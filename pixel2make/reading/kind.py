"""What the reading asks a kind of object; a folder under ``kinds`` answers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from pixel2make.reading.assign import Judgement
from pixel2make.reading.model import Patch, Question, View
from pixel2make.reading.patches import Scene

__all__ = ["GROUPINGS", "Prior", "ReadingKind"]

GROUPINGS = ("one", "one_a_face", "touching", "aligned")
"""How patches of one feature become things: all are one thing; all on one face are; those are that touch
or lie across a drawn line; those are, too, that lie in one band along the width."""


class Prior(Protocol):
    """What objects of this kind look like before any pixel is seen.

    Attributes
    ----------
    source : str
        Where the numbers stand, with their label.
    """

    @property
    def source(self) -> str:
        """Where the numbers stand, with their label."""

    def log_density(self, w_over_h: float, t_over_h: float | None) -> float:
        """Log of the density of width : height and thickness : height; None where none is drawn."""


class ReadingKind(Protocol):
    """What a kind of object tells the reading. `pixel2make.kinds.book` is the first.

    Attributes
    ----------
    name : str
        The folder under ``kinds``.
    vocabulary : mapping of str to str
        Feature words and what they mean, in one line each. "background", "outline" and "other" are
        among them.
    prior : Prior
    grouping : mapping of str to {"one", "one_a_face", "touching", "aligned"}
        How the patches of a feature become things on the object.
    """

    @property
    def name(self) -> str:
        """The folder under ``kinds``."""

    @property
    def vocabulary(self) -> Mapping[str, str]:
        """Feature words with their meaning."""

    @property
    def prior(self) -> Prior:
        """Proportions before any pixel is seen."""

    @property
    def grouping(self) -> Mapping[str, str]:
        """How patches become things, by feature."""

    def judge(self, scene: Scene) -> Judgement:
        """Scores of every patch for every feature, and what ties patches to each other."""

    def questions(
        self, scene: Scene, patches: Sequence[Patch], alternatives: Sequence[View]
    ) -> tuple[Question, ...]:
        """What the sprite does not tell and the maker should."""
