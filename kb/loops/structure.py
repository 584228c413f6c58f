"""What a loop lacks as a whole: open ports, ports used twice, dead ends, separate circuits.

Owns: counting and holding the counts against limits. Does not own: joints (`kb/loops/run_path.py`), whether coolant can
go round (`kb/loops/circulation.py`) or limits.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from kb.evidence.limits import judge_number
from kb.evidence.tree import Finding, Number
from kb.loops.loop import ResolvedLoop
from kb.loops.service_ports import service_ports
from kb.loops.topology import circuits, direct_links, part_of
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.questions.loop import LoopQuestion

LOOP_FAMILY = ("family/loop",)
_MUST_FLOW = frozenset({"block", "pump", "radiator", "reservoir"})
_FILL_PORT_FAMILY = "family/reservoir-fill-port"


def structure_findings(snapshot: Snapshot, loop: ResolvedLoop, closers: Mapping[str, tuple[str, ...]]) -> list[Finding]:
    """Return what is wrong with the loop as a whole; nothing for what is in order.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        closers: name of an open port -> parts that would close it.
    """
    question = loop.question
    uses, service = port_uses(question), service_ports(loop)
    findings = [
        count_finding(snapshot, _open(port in service), 1, port, closers.get(port, ()))
        for port in loop.ports
        if uses[port] == 0
    ]
    findings += [count_finding(snapshot, "port-uses", count, port) for port, count in uses.items()]
    findings += _component_findings(snapshot, loop)
    findings.append(count_finding(snapshot, "separate-circuits", len(circuits(question)), question.name))
    return [finding for finding in findings if finding.judgement is not Judgement.PASS]


def _open(is_service: bool) -> str:
    return "service-ports-unplugged" if is_service else "open-ends"


def count_finding(snapshot: Snapshot, quantity: str, count: int, place: str, remedies: tuple[str, ...] = ()) -> Finding:
    """Return a finding about a count at a place of the loop.

    Args:
        snapshot: the knowledge.
        quantity: name of the quantity without its prefix.
        count: how many were counted.
        place: where.
        remedies: parts that would make it right.
    """
    number = Number(f"quantity/{quantity}", float(count), ())
    return judge_number(snapshot, number, LOOP_FAMILY, place)._replace(remedies=remedies)


def port_uses(question: LoopQuestion) -> Counter[str]:
    """Return how many runs and plugs each port serves."""
    ends = [end for run in question.runs for end in (run.from_, run.to)]
    return Counter([*ends, *question.plugs])


def _component_findings(snapshot: Snapshot, loop: ResolvedLoop) -> Iterator[Finding]:
    question = loop.question
    connected = Counter(part_of(end) for run in question.runs for end in (run.from_, run.to))
    connected.update(name for link in direct_links(question) for name in link)
    for name, part in loop.parts.items():
        if part.asked.kind in _MUST_FLOW and _FILL_PORT_FAMILY not in part.families:
            yield count_finding(snapshot, "connected-ports", connected[name], name)
