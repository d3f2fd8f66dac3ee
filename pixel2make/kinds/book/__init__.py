"""What a book is: its features for the reading, its parts and steps for the design."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pixel2make.kinds.book.build import BookBuild
from pixel2make.kinds.book.prior import BookPrior, book_prior
from pixel2make.kinds.book.vocabulary import GROUPING, VOCABULARY
from pixel2make.reading.assign import Judgement
from pixel2make.reading.model import Patch, Question, View
from pixel2make.reading.patches import Scene

__all__ = ["KIND", "Book"]


class Book(BookBuild):
    """A closed book, after `pixel2make.reading.kind.ReadingKind`; the design's part is `BookBuild`."""

    name: str = "book"
    vocabulary: Mapping[str, str] = VOCABULARY
    grouping: Mapping[str, str] = GROUPING

    @property
    def prior(self) -> BookPrior:
        """Proportions of bound books."""
        return book_prior()

    def judge(self, scene: Scene) -> Judgement:
        """Scores of every patch for every feature, and what ties patches to each other."""
        from pixel2make.kinds.book.features import judge

        return judge(scene)

    def questions(
        self, scene: Scene, patches: Sequence[Patch], alternatives: Sequence[View]
    ) -> tuple[Question, ...]:
        """What the sprite does not tell and the maker should."""
        from pixel2make.kinds.book.questions import questions

        return questions(scene, patches, alternatives)


KIND = Book()
