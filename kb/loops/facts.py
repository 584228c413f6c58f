"""What the question about a loop says of itself, as facts for requirements.

Owns: parts that are there, circumstances that are stated. Does not own: evaluating facts
(`kb/evidence/requirements.py`) or facts of materials in the filling (`kb/compatibility/materials/facts.py`).
"""

from __future__ import annotations

from kb.evidence.requirements import KnownFacts
from kb.loops.loop import ResolvedLoop


def loop_facts(loop: ResolvedLoop) -> KnownFacts:
    """Return the facts of a loop; a list of parts is taken as whole, so what it lacks is known to be absent.

    Args:
        loop: the loop.
    """
    has_reservoir = any(part.asked.kind == "reservoir" for part in loop.parts.values())
    figures = {f"condition:{_short(one)}": value for one, value in loop.conditions.items()}
    if loop.fluid is not None:
        figures["fluid:count"] = 1.0
    return KnownFacts({"part:reservoir": has_reservoir, "use:filling": True}, figures)


def _short(quantity_id: str) -> str:
    return quantity_id.removeprefix("quantity/")
