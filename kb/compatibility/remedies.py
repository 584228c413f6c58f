"""Parts that would make a failed pair right.

Owns: which parts to name beside an incompatible pair. Does not own: finding chains and partners.
"""

from __future__ import annotations

from kb.compatibility.adapters import single_fittings
from kb.compatibility.pair import PairDecision
from kb.compatibility.partner_candidates import PartnerIndex
from kb.parts.part import ElementKind, Part
from schemas.verdict import Verdict

MOST_NAMED = 3
_COUPLED = frozenset({ElementKind.COUPLING_PLUG, ElementKind.COUPLING_SOCKET})


def remedy_parts(index: PartnerIndex, pair: tuple[Part, Part], decision: PairDecision) -> tuple[str, ...]:
    """Return ids of parts that would make an incompatible pair right, best first; empty if none is known.

    Two threads, or a thread and a tube, want a fitting between them; a tube and a fitting want another fitting.

    Args:
        index: offers candidates.
        pair: the two parts that were judged.
        decision: what was decided about them.
    """
    if decision.verdict is not Verdict.INCOMPATIBLE:
        return ()
    tubes = [part for part in pair if part.kind == "tube"]
    fittings = [part for part in pair if part.kind == "fitting"]
    if tubes and fittings:
        return tuple(_fittings_for(index, (tubes[0], fittings[0])))
    if any(element.kind in _COUPLED for element in (decision.joint.first, decision.joint.second)):
        return ()
    return single_fittings(index, pair, MOST_NAMED)


def _fittings_for(index: PartnerIndex, pair: tuple[Part, Part]) -> list[str]:
    """Return fittings that fit the tube: of the kind the asker tried first, then of other kinds."""
    tube, tried = pair
    compatible_fittings = index.fitting_index.compatible_fittings(tube)
    kind = _kind(tried)
    best_first = sorted(compatible_fittings, key=lambda fitting: _kind(fitting) != kind)  # stable: then closeness
    return [fitting.id for fitting in best_first[:MOST_NAMED]]


def _kind(fitting: Part) -> str:
    return next((family for family in fitting.families if family.startswith("family/fitting-")), "")
