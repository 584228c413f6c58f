"""What is wrong with a loop before all else, as the first sentence of its answer.

Owns: which error is the cause of the others, and how it is said with its place. Does not own: what is decided, or the
words of rows (`consequence` of limits, `reason` of rules).
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from kb.evidence.tree import Finding, LimitCheck, RuleHit
from kb.report.sentences.findings import finding_sentence, row_name
from kb.store.snapshot import Snapshot
from schemas.answers.answers import Finding as FindingAnswer
from schemas.level import Judgement

_CAUSES = (  # each explains those behind it: coolant that cannot go round leaves blocks without flow
    "pumps",
    "flow-paths",
    "parts-backwards",
    "heat-without-flow",
    "heat-without-radiator",
    "fan-size-difference",
    "fan-speed-share",
    "freezing-margin",
    "boiling-margin",
)
_ID = re.compile(r"\b[a-z-]+/[a-z0-9-]+")
_RANKS = {code: rank for rank, code in enumerate(_CAUSES)}


def cause_rank(finding: Finding | FindingAnswer) -> int:
    """Return how early an error stands among causes; whatever is no error or explains no other comes last [-]."""
    return _RANKS.get(finding.code, len(_CAUSES)) if finding.judgement is Judgement.ERROR else len(_CAUSES)


def cause_sentence(snapshot: Snapshot, findings: Iterable[Finding], loop: str) -> str | None:
    """Return what is wrong before all else, with its place; `None` if nothing is.

    Args:
        snapshot: the knowledge.
        findings: what was found, the most severe first.
        loop: name of the loop, which needs no place of its own.
    """
    errors = [one for one in findings if one.judgement is Judgement.ERROR]
    if not errors:
        return None
    first = min(errors, key=cause_rank)
    said = _consequence(snapshot, first)
    return said if first.place == loop else _at(said, _named(snapshot, first.place.removeprefix(f"{loop}: ")))


def _consequence(snapshot: Snapshot, finding: Finding) -> str:
    broken = [node for node in finding.evidence if isinstance(node, LimitCheck) and not node.holds]
    if broken:
        return broken[0].limit.consequence
    lead = finding.evidence[0]
    return lead.rule.reason if isinstance(lead, RuleHit) else finding_sentence(snapshot, finding)


def _named(snapshot: Snapshot, place: str) -> str:
    """Return a place with rows called by their names."""
    return _ID.sub(lambda found: row_name(snapshot, found.group()), place)


def _at(sentence: str, place: str) -> str:
    """Return a sentence with its place, in brackets behind the words that a colon ends, or at its end."""
    head, colon, rest = sentence.partition(": ")
    if colon and ". " not in head:
        return f"{head} ({place}): {rest}"
    return f"{sentence.removesuffix('.')} ({place})."
