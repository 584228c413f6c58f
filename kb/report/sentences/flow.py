"""The words about the flow of a loop.

Owns: sentences of flow that are no row of a table. Does not own: what is decided, or other sentences
(`kb/report/sentences/findings.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kb.evidence.tree import Missing
from kb.loops.coolant import PROPERTIES_MISSING
from kb.loops.flow.failures import Failure, FlowFailure
from kb.loops.flow.network import CURVE_MISSING, NO_FLOW_FOUND, SIDE_MISSING

_NOTHING_L_MIN = 0.05

FLOW_MISSING_SENTENCES: Mapping[str, Callable[[Missing], str]] = MappingProxyType(
    {
        PROPERTIES_MISSING: lambda gap: (
            f"The {gap.what} of {gap.subject} is not known, so its flow and heat cannot be computed."
        ),
        CURVE_MISSING: lambda gap: f"Nothing is known of the {gap.what} of {gap.subject}, so no flow can be computed.",
        NO_FLOW_FOUND: lambda gap: (
            f"The {gap.what} of {gap.subject} could not be computed: what drives it, or stands in its way, is beyond"
            " reckoning."
        ),
        SIDE_MISSING: lambda gap: (
            f"Whether {gap.subject} leads in or out is not known, so no flow can be computed through it."
        ),
    }
)
FLOW_MISSING_REMEDIES = MappingProxyType(
    {
        PROPERTIES_MISSING: (
            "Name a coolant of water, or of water with at most 60 % of propylene or ethylene glycol, at a temperature"
            " at which it is liquid."
        ),
        CURVE_MISSING: "Name a class of pumps, such as pump/medium-12-v-high-flow, or give points of its curve.",
        NO_FLOW_FOUND: "Check heads, curves, drops, speeds and clogged_times for a slip of the decimal point or unit.",
        SIDE_MISSING: "Let the names of further ports begin with in or out, such as in-2.",
    }
)
LEFT_OUT = (
    "Changes of bore count as sharp and in the direction in which a run is named; neighbouring fittings do not disturb"
    " one another.",
    "Drops of parts come from classes unless they are stated; the uncertainty range covers parts of that kind, not "
    "faults of one.",
    "Curves of pumps hold for water; the little that glycol takes from a small pump is left out.",
)


def regime_word(reynolds: float, laminar_up_to: float, turbulent_from: float) -> str:
    """Return what the flow in a bore is called.

    >>> regime_word(0.0, 2300.0, 4000.0), regime_word(3000.0, 2300.0, 4000.0)
    ('still', 'transition')
    """
    if reynolds == 0:
        return "still"
    if reynolds <= laminar_up_to:
        return "laminar"
    return "turbulent" if reynolds >= turbulent_from else "transition"


def failure_sentence(case: FlowFailure) -> str:
    """Return what becomes of the flow if one thing fails."""
    lead = {
        Failure.PUMP_DEAD: f"If {case.part} stands still",
        Failure.FILTER_CLOGGED: f"If {case.part} takes {case.times or 1:g} times the pressure it takes now",
        Failure.VALVE_CLOSED: f"If {case.part} is closed",
    }[case.what]
    if case.then_l_min < _NOTHING_L_MIN:
        return f"{lead}, nothing flows any more: switch the computer off before it does so itself."
    sentence = f"{lead}, the flow falls from {case.now_l_min:.1f} to {case.then_l_min:.1f} l/min"
    if case.then_l_min > case.now_l_min:
        sentence = f"{lead}, the flow through the rest rises from {case.now_l_min:.1f} to {case.then_l_min:.1f} l/min"
    if case.least_block is not None and case.least_block_l_min is not None:
        sentence += f"; {case.least_block} gets {case.least_block_l_min:.1f} l/min"
    if case.backwards:
        sentence += f"; coolant runs backwards through {', '.join(case.backwards)}"
    return f"{sentence}."
