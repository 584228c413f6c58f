"""The joints of a loop, those between like elements judged once.

Owns: knowing a joint again under other names. Does not own: judging one (`kb/compatibility/joints/joint.py`).
A loop screws the same fitting into a dozen ports and pushes the same tube onto it; only the names differ.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple, TypeAlias

from kb.compatibility.joints.joint import Joint, judge_joint, place_of, screwed_place_of
from kb.evidence.tree import Finding, Missing, Node
from kb.parts.part import Element
from kb.store.snapshot import Snapshot

_Key: TypeAlias = tuple[int, str, int, str]


class Likeness(NamedTuple):
    """A joint as it was judged, perhaps between other elements that differ from the ones meant in their names alone.

    Attributes:
        joint: the joint that was judged.
        one: the element in the place of the first.
        other: the element in the place of the second.
    """

    joint: Joint
    one: Element
    other: Element


class LoopJoints:
    """Judges the joints of one loop; made anew for each question."""

    def __init__(self, snapshot: Snapshot, conditions: Mapping[str, float]) -> None:
        """Begin with no joint.

        Args:
            snapshot: the knowledge.
            conditions: quantity id -> value the asker stated.
        """
        self._snapshot = snapshot
        self._conditions = conditions
        self._judged: dict[_Key, list[Likeness]] = {}

    def like(self, one: Element, other: Element) -> Likeness:
        """Return the joint of two elements as `judge_joint` does, but perhaps under other names; `named` fixes that.

        Args:
            one: an element.
            other: another element.
        """
        alike = self._judged.setdefault((id(one.row), one.kind, id(other.row), other.kind), [])
        for likeness in alike:
            if _is_like(one, likeness.one) and _is_like(other, likeness.other):
                return likeness
        likeness = Likeness(judge_joint(self._snapshot, one, other, self._conditions), one, other)
        if _can_be_renamed(likeness.joint):
            alike.append(likeness)
        return likeness


def _is_like(one: Element, other: Element) -> bool:
    return one is other or (one.thread is other.thread and one.seal is other.seal and one.is_like(other))


def _can_be_renamed(joint: Joint) -> bool:
    """Return whether names stand nowhere in a joint but in its place and in what is missing.

    What the asker gave of a part is reported under its name; and two parts that differ by nothing are put in order by
    it.
    """
    sides = joint.first, joint.second
    given = any(one.given or one.stated_tolerances or one.stated for one in sides)
    return not given and joint.reverse is None and joint.first.row is not joint.second.row


def named(likeness: Likeness, one: Element, other: Element) -> Joint:
    """Return the joint of two elements under their own names.

    Args:
        likeness: what `LoopJoints.like` returned for them.
        one: an element.
        other: another element.
    """
    joint = likeness.joint
    if one is likeness.one and other is likeness.other:
        return joint
    instead = {id(likeness.one): one, id(likeness.other): other}
    first, second = instead[id(joint.first)], instead[id(joint.second)]
    place_for = place_of if joint.place == place_of(joint.first, joint.second) else screwed_place_of
    place = place_for(first, second)
    names = {joint.place: place, joint.first.label: first.label, joint.second.label: second.label}
    findings = tuple(_renamed_finding(finding, place, names) for finding in joint.findings)
    idle = tuple(_renamed_finding(finding, place, names) for finding in joint.idle)
    return Joint(first, second, joint.verdict, findings, idle=idle)


def _renamed_finding(finding: Finding, place: str, names: Mapping[str, str]) -> Finding:
    evidence = tuple([_renamed_node(node, names) for node in finding.evidence])
    return finding._replace(place=place, evidence=evidence)


def _renamed_node(node: Node, names: Mapping[str, str]) -> Node:
    if isinstance(node, Missing) and node.subject in names:
        return node._replace(subject=names[node.subject])
    return node
