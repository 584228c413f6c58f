"""What can be asked, in process and over HTTP alike.

Owns: the names, arguments and defaults of every question, as `Answers`. Does not own: answering
(`kb/knowledge_base.py`, `api/client/`), or what arguments may be (`schemas/questions/`). A program written against
`Answers` takes either.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Protocol

from schemas.verdict import Verdict

if TYPE_CHECKING:
    from schemas.answers.answers import (
        BetweenAnswer,
        FindAnswer,
        MatrixAnswer,
        MixAnswer,
        PairAnswer,
        PartnersAnswer,
        Record,
        RecordAnswer,
        RecordsAnswer,
        SuitableAnswer,
        VersionAnswer,
    )
    from schemas.answers.loop import LoopAnswer
    from schemas.questions.choices import PartnerKind
    from schemas.questions.plain import LoopLike, PartLike
    from schemas.questions.questions import FindableKind, Glycol

GOOD_VERDICTS = (Verdict.COMPATIBLE, Verdict.CONDITIONAL)


class Answers(Protocol):
    """Answers questions: `kb.KnowledgeBase` and `api.client.Client`; `AsyncClient` does it awaited.

    A part is an id, an inline part, or the JSON of one as a mapping. `conditions` are quantity -> value in the
    quantity's unit. What is left out is what the question takes by default.
    """

    def pair(
        self,
        a: PartLike,
        b: PartLike,
        conditions: Mapping[str, float] | None = None,
        met: Iterable[str] = (),
    ) -> PairAnswer:
        """Answer whether two parts are compatible."""
        ...

    def partners(
        self,
        part: PartLike,
        kind: PartnerKind = "fitting",
        verdicts: Iterable[Verdict] = GOOD_VERDICTS,
        limit: int = 20,
    ) -> PartnersAnswer:
        """Answer which archetypes of a kind fit a part, best first."""
        ...

    def between(self, a: PartLike, b: PartLike, limit: int = 10) -> BetweenAnswer:
        """Answer what goes between two parts, fewest fittings first."""
        ...

    def find(self, words: str, kind: FindableKind | None = None, limit: int = 10) -> FindAnswer:
        """Answer which archetypes spec-sheet words can mean, likeliest first."""
        ...

    def loop(self, question: LoopLike) -> LoopAnswer:
        """Answer whether a loop can be assembled, and what is missing."""
        ...

    def fluids(
        self,
        parts: Iterable[PartLike],
        additives: Iterable[str] = (),
        conditions: Mapping[str, float] | None = None,
        limit: int = 20,
    ) -> SuitableAnswer:
        """Answer which fluids are compatible with materials or parts, best first."""
        ...

    def materials(
        self,
        fluid: PartLike,
        family: str | None = None,
        conditions: Mapping[str, float] | None = None,
        limit: int = 100,
    ) -> SuitableAnswer:
        """Answer which materials are compatible with a fluid, best first."""
        ...

    def matrix(self, rows: str, columns: str, conditions: Mapping[str, float] | None = None) -> MatrixAnswer:
        """Answer how all members of two families of substances get on."""
        ...

    def mix(
        self,
        glycol: Glycol,
        concentrate_parts: float,
        water_parts: float,
        concentrate_glycol_percent: float = 100.0,
        temperature_c: float = 25.0,
    ) -> MixAnswer:
        """Answer what comes of mixing a glycol concentrate with water."""
        ...

    def record(self, row_id: str) -> RecordAnswer:
        """Return one row of any table by its id."""
        ...

    def records(
        self, table: str, family: str | None = None, after: str | None = None, limit: int = 50
    ) -> RecordsAnswer:
        """Return a page of a table, sorted by id."""
        ...

    def rows(self, table: str, family: str | None = None) -> Iterator[Record]:
        """Yield every row of a table, sorted by id."""
        ...

    def tables(self) -> VersionAnswer:
        """Return the tables with their version and the number of their rows."""
        ...
