"""The words for what has to be known about the performance of a loop and is not.

Owns: putting the words of flow, heat, filling and space together, and those of a section about which the question says
nothing. Does not own: the words of each section (a file each). Imported only when such a gap is reported, because the
sections behind it load libraries.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kb.evidence.tree import Missing
from kb.loops.performance import NOTHING_SAID
from kb.report.sentences.fill import FILL_MISSING_REMEDIES, FILL_MISSING_SENTENCES
from kb.report.sentences.flow import FLOW_MISSING_REMEDIES, FLOW_MISSING_SENTENCES
from kb.report.sentences.heat import HEAT_MISSING_REMEDIES, HEAT_MISSING_SENTENCES
from kb.report.sentences.space import SPACE_MISSING_REMEDIES, SPACE_MISSING_SENTENCES
from schemas.questions.choices import Section

_NOTHING_SAID_REMEDIES = MappingProxyType(
    {
        Section.FLOW: "Name a pump, and lead runs from port to port.",
        Section.HEAT: "Give heat_w of blocks, radiators with their fans, and runs from port to port.",
        Section.FILL: "Name parts and runs that hold coolant.",
        Section.SPACE: "Give place or screws of radiators, or added_weight_g of blocks.",
    }
)

GAP_SENTENCES: Mapping[str, Callable[[Missing], str]] = MappingProxyType(
    {**FILL_MISSING_SENTENCES, **SPACE_MISSING_SENTENCES, **FLOW_MISSING_SENTENCES, **HEAT_MISSING_SENTENCES}
    | dict.fromkeys(
        NOTHING_SAID.values(), lambda gap: f"The question gives too little to judge the {gap.what} of {gap.subject}."
    )
)
GAP_REMEDIES: Mapping[str, str] = MappingProxyType(
    {**FILL_MISSING_REMEDIES, **SPACE_MISSING_REMEDIES, **FLOW_MISSING_REMEDIES, **HEAT_MISSING_REMEDIES}
    | {NOTHING_SAID[section]: remedy for section, remedy in _NOTHING_SAID_REMEDIES.items()}
)
