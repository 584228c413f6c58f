"""Archetypes that can be asked about in one state of the tables only, with what they fit there.

Owns: summing up a part that is new, gone or withdrawn. Does not own: judging a pair (`kb/compatibility/pair.py`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from kb.curation.diff.kind_pairs import all_pairs
from kb.curation.diff.verdicts import Side
from kb.report.sentences.findings import row_name
from schemas.answers.changes import PartChange
from schemas.verdict import Verdict

_FITS = (Verdict.COMPATIBLE, Verdict.CONDITIONAL)


def changed_part(part: str, side: Side, kinds: Mapping[str, str], appears: bool) -> PartChange:
    """Return what an archetype means to all others of the state of the tables that has it.

    Args:
        part: id of the archetype.
        side: the state of the tables that has it.
        kinds: id of every archetype there -> its kind.
        appears: whether it is new; if not, it is gone.
    """
    counts: Counter[Verdict] = Counter()
    fits: list[tuple[int, str]] = []
    for pair in _pairs_of(part, kinds):
        verdict = side.decide(pair).verdict
        counts[verdict] += 1
        if verdict in _FITS:
            fits.append((verdict.severity, pair[1] if pair[0] == part else pair[0]))
    title = row_name(side.snapshot, part)
    verdicts = {verdict: counts[verdict] for verdict in Verdict if counts[verdict]}
    return PartChange(
        part=part, title=title, appears=appears, verdicts=verdicts, fits=tuple(other for _, other in sorted(fits))
    )


def _pairs_of(part: str, kinds: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Yield the pairs of a part with every other archetype that it can meet."""
    for other, kind in kinds.items():
        if other != part:
            yield from (pair for pair in all_pairs({part: kinds[part], other: kind}) if pair[0] != pair[1])
