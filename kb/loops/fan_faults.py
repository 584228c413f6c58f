"""Fans that cannot do what is said of them, whatever else is known of the heat.

Owns: which numbers of fans are judged without any heat. Does not own: the limits, how fans are set up
(`kb/loops/heat/radiators.py`), or holes and places (`kb/loops/space/`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Number
from kb.formulas.fit.counts import size_difference_mm
from kb.formulas.heat.fan_laws import speed_share_percent
from kb.loops.loop import LoopPart, ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.questions.loop import Fans, RadiatorInLoop
from schemas.tables.fans import Fan
from schemas.tables.radiators import Radiator


def fan_faults(snapshot: Snapshot, loop: ResolvedLoop, has_heat: bool, has_space: bool) -> list[Finding]:
    """Return what is wrong with the fans of a loop, of what other sections do not tell; nothing for what is in order.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        has_heat: whether its heat is judged, with speed and size of its fans.
        has_space: whether its space is judged, with the size of its fans.
    """
    found: list[Finding] = []
    for part in loop.parts.values():
        if isinstance(part.asked, RadiatorInLoop) and part.asked.fans is not None:
            fans, row = part.asked.fans, snapshot.get(Fan, part.asked.fans.is_)
            found += [] if has_heat else speed_findings(snapshot, part.name, row, *_speeds(fans, row))
            size = None if has_heat or has_space else size_finding(snapshot, part, row)
            found += [size] if size is not None else []
    return [finding for finding in found if finding.judgement is not Judgement.PASS]


def _speeds(fans: Fans, row: Fan) -> tuple[float, float]:
    most = fans.speed_max_rpm or row.speed_max_rpm
    return (fans.speed_rpm if fans.speed_rpm is not None else most), most


def speed_findings(
    snapshot: Snapshot, radiator: str, row: Fan, speed_rpm: float, speed_max_rpm: float
) -> Iterator[Finding]:
    """Yield whether fans can turn as fast and as slowly as is said; nothing of fans that stand still.

    Args:
        snapshot: the knowledge.
        radiator: name of their radiator.
        row: their archetype.
        speed_rpm: what they are to turn at.
        speed_max_rpm: their greatest speed, stated or of the archetype.
    """
    if speed_rpm <= 0:
        return
    families = (row.id, *snapshot.families(row.family_id))
    speed = Fact(radiator, "speed_rpm", speed_rpm, "", "")
    stated = speed_max_rpm != row.speed_max_rpm
    source = ("", "") if stated else (row.source_id, row.locator or "")
    most = Fact(radiator if stated else row.id, "speed_max_rpm", speed_max_rpm, *source)
    least = Fact(row.id, "speed_min_rpm", row.speed_min_rpm, row.source_id, row.locator or "")
    for quantity, against in (("fan-speed-share", most), ("fan-speed-floor", least)):
        value = speed_share_percent(speed_rpm, float(against.value))
        yield judge_number(snapshot, Number(f"quantity/{quantity}", value, (speed, against)), families, radiator)


def size_finding(snapshot: Snapshot, radiator: LoopPart, fan: Fan) -> Finding | None:
    """Return whether fans are of the size of their radiator; `None` if nobody knows its size.

    Args:
        snapshot: the knowledge.
        radiator: the radiator.
        fan: the archetype of its fans.
    """
    row = radiator.row
    if not isinstance(row, Radiator):
        return None
    sizes = [Fact(one.id, "fan_size_mm", one.fan_size_mm, one.source_id, one.locator or "") for one in (fan, row)]
    number = Number("quantity/fan-size-difference", size_difference_mm(fan.fan_size_mm, row.fan_size_mm), tuple(sizes))
    return judge_number(snapshot, number, radiator.families, f"{radiator.name}, fans and radiator")
