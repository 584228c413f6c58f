"""The answer about a mixture of glycol and water.

Owns: a judged mixture -> `MixAnswer`. Does not own: judging it (`kb/compatibility/materials/glycol_mix.py`).
"""

from __future__ import annotations

from kb.compatibility.materials.glycol_mix import GlycolMix
from kb.formulas.coolant.glycol import LIBRARY
from kb.report.answers.evidence import report_cautions, report_findings, report_sources
from kb.store.snapshot import Snapshot
from schemas.answers.answers import MixAnswer
from schemas.questions.questions import MixQuestion


def answer_mix(snapshot: Snapshot, question: MixQuestion, mix: GlycolMix) -> MixAnswer:
    """Return shares, properties and what the share means for inhibitor, growth and pumping.

    Args:
        snapshot: the knowledge.
        question: what was asked.
        mix: what was found.
    """
    reported = report_findings(snapshot, mix.findings)
    return MixAnswer(
        kb_version=snapshot.version,
        glycol=question.glycol,
        glycol_percent_volume=mix.glycol_percent_volume,
        glycol_percent_mass=mix.glycol_percent_mass,
        temperature_c=question.temperature_c,
        library=LIBRARY,
        findings=reported,
        cautions=report_cautions(snapshot, reported),
        sources=report_sources(snapshot, reported),
        **mix.properties._asdict(),
    )
