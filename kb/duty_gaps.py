"""The words for what has to be known of the duty of a loop and is not.

Owns: putting the words of flow, heat, filling and space together. Does not own: these words (a file each). Imported
only when such a gap is told, because the sections behind it load libraries.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kb.evidence import Missing
from kb.fill_wording import FILL_MISSING_MENDS, FILL_MISSING_SENTENCES
from kb.flow_wording import FLOW_MISSING_MENDS, FLOW_MISSING_SENTENCES
from kb.heat_wording import HEAT_MISSING_MENDS, HEAT_MISSING_SENTENCES
from kb.space_wording import SPACE_MISSING_MENDS, SPACE_MISSING_SENTENCES

GAP_SENTENCES: Mapping[str, Callable[[Missing], str]] = MappingProxyType(
    {**FILL_MISSING_SENTENCES, **SPACE_MISSING_SENTENCES, **FLOW_MISSING_SENTENCES, **HEAT_MISSING_SENTENCES}
)
GAP_MENDS: Mapping[str, str] = MappingProxyType(
    {**FILL_MISSING_MENDS, **SPACE_MISSING_MENDS, **FLOW_MISSING_MENDS, **HEAT_MISSING_MENDS}
)
