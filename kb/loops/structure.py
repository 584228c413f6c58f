"""What a loop lacks as a whole: open ports, ports used twice, dead ends, separate circuits, no pump.

Owns: counting and holding the counts against limits. Does not own: joints (`kb/loops/run_path.py`) or limits.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from kb.evidence.limits import judge_number
from kb.evidence.tree import Finding, Number
from kb.loops.loop import ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.questions.loop import LoopQuestion, PumpInLoop

LOOP_FAMILY = ("family/loop",)
_MUST_FLOW = frozenset({"block", "pump", "radiator", "reservoir"})


def structure_findings(snapshot: Snapshot, loop: ResolvedLoop, closers: Mapping[str, tuple[str, ...]]) -> list[Finding]:
    """Return what is wrong with the loop as a whole; nothing for what is in order.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        closers: name of an open port -> parts that would close it.
    """
    question = loop.question
    uses = port_uses(question)
    findings = [
        count_finding(snapshot, "open-ends", 1, port, closers.get(port, ())) for port in loop.ports if uses[port] == 0
    ]
    findings += [count_finding(snapshot, "port-uses", count, port) for port, count in uses.items()]
    findings += _component_findings(snapshot, question)
    findings.append(count_finding(snapshot, "separate-circuits", _circuits(question), question.name))
    pumps = sum(component.kind == "pump" for component in question.parts.values())
    findings.append(count_finding(snapshot, "pumps", pumps, question.name))
    return [finding for finding in findings if finding.judgement is not Judgement.PASS]


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


def _component_findings(snapshot: Snapshot, question: LoopQuestion) -> Iterator[Finding]:
    connected = Counter(_part(end) for run in question.runs for end in (run.from_, run.to))
    connected.update(name for link in direct_links(question) for name in link)
    for name, component in question.parts.items():
        if component.kind in _MUST_FLOW:
            yield count_finding(snapshot, "connected-ports", connected[name], name)


def _circuits(question: LoopQuestion) -> int:
    """Count the groups of parts that runs connect."""
    leader = {name: name for name in question.parts}

    def find(name: str) -> str:
        while leader[name] != name:
            name = leader[name]
        return name

    for one, other in _neighbours(question):
        leader[find(one)] = find(other)
    return len({find(name) for name in leader})


def direct_links(question: LoopQuestion) -> tuple[tuple[str, str], ...]:
    """Return each reservoir with the pump that opens straight into it."""
    pumps = ((name, one) for name, one in question.parts.items() if isinstance(one, PumpInLoop))
    return tuple((one.sits_in, name) for name, one in pumps if one.sits_in is not None)


def _neighbours(question: LoopQuestion) -> Iterator[tuple[str, str]]:
    yield from ((_part(run.from_), _part(run.to)) for run in question.runs)
    yield from direct_links(question)


def _part(port: str) -> str:
    return port.split(".", 1)[0]
