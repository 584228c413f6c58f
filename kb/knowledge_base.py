"""The knowledge base as a program sees it: load once, ask many times.

Owns: the in-process interface. Does not own: how a question is answered (one module a question) or words
(`kb/report/sentences/findings.py`).
What a question needs is imported by its method: a pair needs nothing of loops, and every command is a start.
"""

# ruff: noqa: PLC0415 - a method imports what its question needs

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from kb.load import TABLES_FOLDER, built_tables, load_tables
from kb.loops.deadline import UNLIMITED, Budget
from kb.parts.resolver import Resolver
from kb.store.release_marker import is_release
from kb.store.snapshot import PART_TABLES, Snapshot
from schemas.interface import GOOD_VERDICTS
from schemas.questions import plain
from schemas.tables import ROW_CLASSES
from schemas.verdict import Verdict

if TYPE_CHECKING:
    from kb.compatibility.pair import PairDecision
    from kb.compatibility.partner_candidates import PartnerIndex
    from kb.parts.part import Part
    from kb.parts.search.index import FindIndex
    from kb.report.answers.requirements import Stated
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
    from schemas.interface import Answers
    from schemas.questions.choices import PartnerKind
    from schemas.questions.plain import LoopLike, PartLike
    from schemas.questions.questions import FindableKind, Glycol, PairQuestion

TABLES_VARIABLE = "WETTED_TABLES"
MOST_MEANT = 10  # of which an error names those that are valid in its place
ROWS_A_STEP = 200
RULES_A_STEP = 200  # pairs of rule keys whose rules are found in one turn: about a millisecond


class KnowledgeBase:
    """Answers questions from one immutable snapshot. Safe to share: nothing a question does changes it."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self._resolver = Resolver(snapshot, self._meant_by)

    @cached_property
    def _find(self) -> FindIndex:
        from kb.parts.search.index import FindIndex

        return FindIndex(self.snapshot)

    @cached_property
    def _partners(self) -> PartnerIndex:
        from kb.compatibility.partner_candidates import PartnerIndex

        return PartnerIndex(self.snapshot, self._resolver)

    @property
    def version(self) -> str:
        """Calendar version and digest of the tables, as every answer carries it."""
        return self.snapshot.version

    def warm_up(self) -> None:
        """Make the indexes that the first questions would otherwise wait for."""
        from kb.parts.near_ids import ids_near

        self.find("1/4")
        self._partners.warm_up()
        for tables in (PART_TABLES, tuple(ROW_CLASSES)):
            ids_near(self.snapshot, tables).to("no/id")

    def precompute(self) -> Iterator[str]:
        """Find, step by step, what first questions would wait for; whoever asks before finds it anew.

        Yields:
            what has been found: the id of a part for the fittings that join it; then how many pairs of rule keys
            have their rules; then `mating of ID`.
        """
        from kb.compatibility.pair import rule_key_pairs
        from kb.evidence.rules import written_rules

        yield from self._partners.precompute()
        parts = (self._resolver.archetype(one, "part") for one in self.snapshot.ids())
        elements = [element for part in parts for element in part.elements]
        for step, keys in enumerate(rule_key_pairs(self.snapshot, elements)):
            written_rules(self.snapshot, keys)
            if step % RULES_A_STEP == 0:
                yield f"{step} pairs of rule keys"
        threads = self.snapshot.ids(("threads",))
        for one in threads:
            for other in threads:
                self.decide(one, other)
            yield f"mating of {one}"

    def decide(self, a: str, b: str, conditions: Mapping[str, float] | None = None) -> PairDecision:
        """Judge two archetypes, without words: the fast call for scripts that ask often.

        Args:
            a: id of an archetype.
            b: id of another.
            conditions: quantity name -> value in the quantity's unit.

        Raises:
            QuestionError: if an id or a quantity does not exist.

        >>> load().decide("thread/g-1-4", "thread/npt-1-4").verdict.value
        'incompatible'
        """
        from kb.compatibility.pair import decide_pair

        first, second = self._resolver.archetype(a, "a"), self._resolver.archetype(b, "b")
        return decide_pair(self.snapshot, first, second, self._conditions(conditions) if conditions else {})

    def decide_question(self, question: PairQuestion) -> PairDecision:
        """Judge the two parts of a question, without words.

        Raises:
            QuestionError: if a part or quantity does not exist.
        """
        return self._decided(question)[2]

    def pair(
        self,
        a: PartLike,
        b: PartLike,
        conditions: Mapping[str, float] | None = None,
        met: Iterable[str] = (),
    ) -> PairAnswer:
        """Answer whether two parts are compatible, with reasons, numbers and sources.

        Args:
            a: a part: an id, an inline part, or the JSON of one as a mapping.
            b: the other part.
            conditions: quantity name -> value in the quantity's unit.
            met: requirements that the asker states to be met.

        Raises:
            QuestionError: if a part, quantity or requirement does not exist, or facts contradict what is stated.
            ValueError: if the arguments make no question; so it is with every question.

        >>> load().pair("thread/g-1-4", {"is": "thread/npt-1-4"}).verdict.value
        'incompatible'
        """
        from kb.report.answers.pair import answer_pair

        first, second, decision, stated = self._decided(plain.two_parts(a, b, conditions, met))
        remedies = self._remedies(first, second, decision)
        return answer_pair(self.snapshot, (first, second), decision, remedies, stated)

    def _remedies(self, a: Part, b: Part, decision: PairDecision) -> tuple[str, ...]:
        if decision.verdict is not Verdict.INCOMPATIBLE:
            return ()
        from kb.compatibility.remedies import remedy_parts

        return remedy_parts(self._partners, (a, b), decision)

    def partners(
        self,
        part: PartLike,
        kind: PartnerKind = "fitting",
        verdicts: Iterable[Verdict] = GOOD_VERDICTS,
        limit: int = 20,
    ) -> PartnersAnswer:
        """Answer which archetypes of a kind fit a part, best first.

        Args:
            part: the part.
            kind: what to look for.
            verdicts: which verdicts to list.
            limit: most partners to list.

        Raises:
            QuestionError: if the part does not exist.
        """
        from kb.compatibility.partners import find_partners
        from kb.report.answers.partners import answer_partners

        question = plain.partners(part, kind, verdicts, limit)
        found = find_partners(self.snapshot, self._resolver, self._partners, question)
        return answer_partners(self.snapshot, question.kind, found)

    def between(self, a: PartLike, b: PartLike, limit: int = 10) -> BetweenAnswer:
        """Answer what goes between two parts, fewest fittings first.

        Raises:
            QuestionError: if a part does not exist.
        """
        from kb.report.answers.adapters import answer_between

        return answer_between(self.snapshot, self._resolver, self._partners, plain.between(a, b, limit))

    def find(self, words: str, kind: FindableKind | None = None, limit: int = 10) -> FindAnswer:
        """Answer which archetypes spec-sheet words can mean, likeliest first.

        Args:
            words: words as a spec sheet writes them.
            kind: only archetypes of this kind.
            limit: most candidates to list.
        """
        from kb.parts.search.search import find
        from kb.report.answers.search import answer_find

        question = plain.find(words, kind, limit)
        return answer_find(self.snapshot, find(self._find, question.words, question.kind, question.limit))

    def loop(self, question: LoopLike) -> LoopAnswer:
        """Answer whether a loop can be assembled, and what is missing.

        Args:
            question: the loop, or its JSON as a mapping.

        Raises:
            QuestionError: if a part, port or quantity does not exist.
        """
        return self.loop_within(question, UNLIMITED)

    def loop_within(self, question: LoopLike, budget: Budget) -> LoopAnswer:
        """Answer the same as `loop`, unless it takes too long.

        Args:
            question: the loop.
            budget: how long the answer may take.

        Raises:
            QuestionError: if a part, port or quantity does not exist.
            BudgetSpentError: if it takes longer.
        """
        from kb.loops.judge import judge_loop
        from kb.loops.loop import resolve_loop
        from kb.report.answers.loop import answer_loop

        asked = plain.loop(question)
        met = self._resolver.met(asked.met, "met")
        conditions = self._conditions(asked.conditions)
        loop = resolve_loop(self.snapshot, self._resolver, asked, conditions, budget, met)
        return answer_loop(self.snapshot, judge_loop(self.snapshot, self._resolver, self._partners, loop))

    def fluids(
        self,
        parts: Iterable[PartLike],
        additives: Iterable[str] = (),
        conditions: Mapping[str, float] | None = None,
        limit: int = 20,
    ) -> SuitableAnswer:
        """Answer which coolants are compatible with materials or parts, best first.

        Args:
            parts: materials or parts that the coolant touches.
            additives: ids of what is added to the coolant.
            conditions: quantity name -> value in the quantity's unit.
            limit: most coolants to list.

        Raises:
            QuestionError: if a part does not exist or nobody knows what it is made of.
        """
        from kb.compatibility.materials.ranking import rank_fluids
        from kb.report.answers.ranking import answer_ranking

        question = plain.fluids(parts, additives, conditions, limit)
        stated = self._conditions(question.conditions)
        ranking = rank_fluids(self.snapshot, self._resolver, question, stated)
        return answer_ranking(self.snapshot, ranking, question.limit, stated)

    def materials(
        self,
        fluid: PartLike,
        family: str | None = None,
        conditions: Mapping[str, float] | None = None,
        limit: int = 100,
    ) -> SuitableAnswer:
        """Answer which materials are compatible with a fluid, best first.

        Args:
            fluid: the fluid.
            family: only materials of this family.
            conditions: quantity name -> value in the quantity's unit.
            limit: most materials to list.

        Raises:
            QuestionError: if the fluid or family does not exist.
        """
        from kb.compatibility.materials.ranking import rank_materials
        from kb.report.answers.ranking import answer_ranking

        question = plain.materials(fluid, family, conditions, limit)
        stated = self._conditions(question.conditions)
        ranking = rank_materials(self.snapshot, self._resolver, question, stated)
        return answer_ranking(self.snapshot, ranking, question.limit, stated)

    def matrix(self, rows: str, columns: str, conditions: Mapping[str, float] | None = None) -> MatrixAnswer:
        """Answer how all members of two families of substances get on.

        Raises:
            QuestionError: if a family does not exist or the matrix is too large.
        """
        from kb.compatibility.materials.ranking import judge_matrix
        from kb.report.answers.ranking import answer_matrix

        question = plain.matrix(rows, columns, conditions)
        matrix = judge_matrix(self.snapshot, self._resolver, question, self._conditions(question.conditions))
        return answer_matrix(self.snapshot, matrix)

    def mix(
        self,
        glycol: Glycol,
        concentrate_parts: float,
        water_parts: float,
        concentrate_glycol_percent: float = 100.0,
        temperature_c: float = 25.0,
    ) -> MixAnswer:
        """Answer what comes of mixing a glycol concentrate with water.

        Args:
            glycol: which glycol the concentrate holds.
            concentrate_parts: parts of concentrate, by volume.
            water_parts: parts of water, by volume.
            concentrate_glycol_percent: share of glycol in the concentrate, by volume [%].
            temperature_c: temperature of the properties [degC].
        """
        from kb.compatibility.materials.glycol_mix import judge_mix
        from kb.report.answers.glycol_mix import answer_mix

        question = plain.mix(glycol, concentrate_parts, water_parts, concentrate_glycol_percent, temperature_c)
        return answer_mix(self.snapshot, question, judge_mix(self.snapshot, question))

    def record(self, row_id: str) -> RecordAnswer:
        """Return one row of any table by its id.

        Raises:
            QuestionError: if no row has this id.
        """
        from kb.report.answers.rows import read_record

        return read_record(self.snapshot, self._resolver, row_id)

    def records(
        self, table: str, family: str | None = None, after: str | None = None, limit: int = 50
    ) -> RecordsAnswer:
        """Return a page of a table, sorted by id.

        Args:
            table: name of the table, such as `tubes`.
            family: only rows of this family.
            after: only rows whose id sorts after this one.
            limit: most rows to return.

        Raises:
            QuestionError: if the table or family does not exist.
        """
        from kb.report.answers.rows import read_records

        return read_records(self.snapshot, self._resolver, table, family, after, limit)

    def rows(self, table: str, family: str | None = None) -> Iterator[Record]:
        """Yield every row of a table, sorted by id.

        Args:
            table: name of the table, such as `tubes`.
            family: only rows of this family.

        Raises:
            QuestionError: if the table or family does not exist.
        """
        after: str | None = None
        while True:
            page = self.records(table, family, after, ROWS_A_STEP)
            yield from page.records
            after = page.next
            if after is None:
                return

    def tables(self) -> VersionAnswer:
        """Return the tables with their version and the number of their rows."""
        from kb.report.answers.rows import read_version

        return read_version(self.snapshot)

    def _decided(self, question: plain.TwoParts | PairQuestion) -> tuple[Part, Part, PairDecision, Stated]:
        from kb.compatibility.pair import decide_pair
        from kb.report.answers.requirements import Stated

        a, b = self._resolver.part(question.a, "a"), self._resolver.part(question.b, "b")
        conditions = self._conditions(question.conditions) if question.conditions else {}
        met = self._resolver.met(question.met, "met") if question.met else {}
        return a, b, decide_pair(self.snapshot, a, b, conditions, met), Stated(tuple(conditions), tuple(met))

    def _meant_by(self, words: str, kind: str | None) -> tuple[str, ...]:
        from kb.parts.search.search import find

        return tuple(one.id for one in find(self._find, words, kind, MOST_MEANT).candidates)

    def _conditions(self, stated: Mapping[str, float]) -> dict[str, float]:
        """Return stated conditions by quantity id."""
        return self._resolver.conditions(stated, "conditions")


def load(
    tables: Path | str | None = None, cache: Path | None = None, before: KnowledgeBase | None = None
) -> KnowledgeBase:
    """Load the tables and return the knowledge base.

    Args:
        tables: folder of the tables, or a release of them (its folder or its DuckDB file); by default what
            $WETTED_TABLES names, else the tables that come with the program.
        cache: where built tables are kept between starts; by default the user's cache folder. A release needs none.
        before: a base that is loaded already: tables that are the same are shared with it.

    Raises:
        TablesRefusedError: if anything is wrong with the tables; it lists everything.
    """
    path = Path(tables) if tables is not None else default_tables()
    if is_release(path):
        from kb.store.release_reader import read_release

        return KnowledgeBase(Snapshot(read_release(path)))
    return KnowledgeBase(Snapshot(load_tables(path, cache, before.snapshot.built if before else None)))


def load_built(tables: Path, cache: Path, before: KnowledgeBase | None = None) -> KnowledgeBase | None:
    """Return the knowledge base if its tables were judged and built before, `None` if that is still to be done.

    Args:
        tables: folder of the tables, or a release of them, which is built already.
        cache: where built tables are kept.
        before: a base that is loaded already: tables that are the same are shared with it.

    Raises:
        TablesRefusedError: if the folder, a file in it or the release cannot be read.
    """
    if is_release(tables):
        from kb.store.release_reader import read_release

        return KnowledgeBase(Snapshot(read_release(tables)))
    built = built_tables(tables, cache, before.snapshot.built if before else None)
    return None if built is None else KnowledgeBase(Snapshot(built))


def default_tables() -> Path:
    """Return where the tables are taken from if nobody says: $WETTED_TABLES, else those of the program."""
    chosen = os.environ.get(TABLES_VARIABLE)
    return Path(chosen) if chosen else TABLES_FOLDER


if TYPE_CHECKING:
    _ANSWERS: type[Answers] = KnowledgeBase
