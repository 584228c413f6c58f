"""Filling and maintenance of a loop in the shape of answers.

Owns: that step. Does not own: judging (`kb/loops/fill/judge.py`) or words (`kb/report/sentences/fill.py`).
"""

from __future__ import annotations

from kb.evidence.tree import verdict_of
from kb.loops.coolant import LoopCoolant
from kb.loops.fill.glycol_dose import Dose, Mix
from kb.loops.fill.judge import Expansion, FillPlan
from kb.loops.fill.pressure_test import PressureTest
from kb.loops.fill.procedures import Task
from kb.loops.fill.volumes import Contents
from kb.report.answers.evidence import report_assumed, report_caution, report_source
from kb.report.sentences.fill import drain_reason, fill_reason, lowest_part_reason
from kb.store.snapshot import Snapshot
from schemas.answers.answers import CitedCaution, CitedSource
from schemas.answers.fill import (
    AdditiveDose,
    CoolantExpansion,
    CoolantMix,
    FillSection,
    LeakTest,
    MaintenanceTask,
    PartVolume,
    ProcedureStep,
    ServicePoint,
)
from schemas.answers.uncertainty_range import UncertaintyRange
from schemas.tables.cautions import Caution
from schemas.tables.fluids import FluidBase
from schemas.tables.procedures import Procedure
from schemas.tables.sources import Source
from schemas.verdict import Verdict, worst


def report_fill(snapshot: Snapshot, plan: FillPlan) -> FillSection:
    """Return filling and maintenance in the shape of answers.

    Args:
        snapshot: the knowledge.
        plan: what was found.
    """
    volume = plan.volume
    drains = [ServicePoint(place=one.name, reason=drain_reason(snapshot, one)) for one in plan.drains]
    drains += [ServicePoint(place=name, reason=lowest_part_reason(snapshot)) for name in plan.lowest]
    return FillSection(
        verdict=verdict_of(plan.findings),
        volumes=tuple(_volume(one) for one in volume.contents),
        total_ml=UncertaintyRange(low=volume.low, likely=volume.likely, high=volume.high),
        unknown_volumes=volume.unknown,
        mix=_mix(plan, plan.mix) if plan.mix is not None else None,
        additives=tuple(_additive(dose) for dose in plan.doses),
        expansion=_expansion(plan, plan.expansion) if plan.expansion is not None else None,
        leak_test=_leak_test(plan.test) if plan.test is not None else None,
        fill_ports=tuple(ServicePoint(place=one.name, reason=fill_reason(snapshot, one)) for one in plan.fills),
        drain_points=tuple(drains),
        steps=tuple(_step(snapshot, row) for row in plan.steps),
        maintenance=tuple(_maintenance(task) for task in plan.tasks),
        change_fluid_after_months=plan.change_months,
        assumed=report_assumed(snapshot, plan.assumed),
        cautions=_cautions(snapshot, plan),
        sources=_sources(snapshot, plan),
    )


def _volume(one: Contents) -> PartVolume:
    is_known = one.how_known != "unknown"
    return PartVolume(
        place=one.place,
        volume_ml=UncertaintyRange(low=one.low, likely=one.likely, high=one.high) if is_known else None,
        how_known=one.how_known,
        row=one.fact.row_id if one.fact is not None and one.fact.source_id else None,
        tubes_ml=one.tubes_ml,
    )


def _mix(plan: FillPlan, mix: Mix) -> CoolantMix:
    contents = plan.volume.likely
    is_water = mix.fluid.base is FluidBase.WATER and mix.amounts is None
    coolant = mix.coolant if isinstance(mix.coolant, LoopCoolant) else None
    return CoolantMix(
        fluid=mix.fluid.id,
        title=mix.fluid.title,
        ready_to_use=mix.amounts is None,
        concentrate_ml=mix.amounts.concentrate_ml if mix.amounts is not None else 0.0,
        water_ml=mix.amounts.water_ml if mix.amounts is not None else contents if is_water else 0.0,
        premix_ml=contents if mix.amounts is None and not is_water else 0.0,
        glycol_percent_volume=coolant.volume_percent if coolant is not None else None,
        glycol_percent_mass=coolant.mass_percent if coolant is not None else None,
        freezing_point_c=mix.freezing_c,
        buy_ml=plan.volume.high * (1 + plan.reserve.value / 100),
        reserve_percent=plan.reserve.value,
    )


def _additive(dose: Dose) -> AdditiveDose:
    row = dose.additive
    return AdditiveDose(
        id=row.id,
        title=row.title,
        role=row.role,
        dose_low_mg_per_l=row.dose_low_mg_per_l,
        dose_high_mg_per_l=row.dose_high_mg_per_l,
        amount_low_mg=dose.low_mg,
        amount_high_mg=dose.high_mg,
        source=row.source_id,
        note=row.note,
    )


def _expansion(plan: FillPlan, expansion: Expansion) -> CoolantExpansion:
    judged = [one.verdict for one in plan.findings if one.code.startswith("expansion-space")]
    return CoolantExpansion(
        from_c=expansion.from_c,
        to_c=expansion.to_c,
        to_known=expansion.to_known,
        expansion_ml=expansion.expansion_ml,
        expansion_percent=expansion.expansion_ml / plan.volume.high * 100 if plan.volume.high else 0.0,
        expansion_space_ml=expansion.expansion_space_ml,
        sealed_bar=expansion.sealed_bar,
        verdict=worst(judged) if judged else Verdict.UNKNOWN,
    )


def _leak_test(test: PressureTest) -> LeakTest:
    return LeakTest(
        pressure_bar=test.pressure_bar,
        weakest=test.weakest,
        limit=test.limit.id,
        bar_per_kelvin=test.per_kelvin_bar,
        source=test.limit.source_id,
    )


def _step(snapshot: Snapshot, row: Procedure) -> ProcedureStep:
    def make() -> ProcedureStep:
        return ProcedureStep(
            id=row.id,
            stage=row.stage.value,
            position=row.position,
            title=row.title,
            text=row.text,
            caution=row.caution_id,
            source=row.source_id,
            basis=row.basis.value,
        )

    return snapshot.derive(("step-reported", row.id), make)


def _maintenance(task: Task) -> MaintenanceTask:
    row = task.row
    return MaintenanceTask(
        id=row.id,
        task=row.task.value,
        title=row.title,
        subject=row.subject_id,
        places=task.places,
        first_after_days=row.first_after_days,
        every_months=row.every_months,
        look_for=row.look_for,
        reason=row.reason,
        source=row.source_id,
        basis=row.basis.value,
    )


def _cautions(snapshot: Snapshot, plan: FillPlan) -> tuple[CitedCaution, ...]:
    named = {row.caution_id for row in plan.steps} | {task.row.caution_id for task in plan.tasks}
    rows = (snapshot.get(Caution, one) for one in sorted(one for one in named if one is not None))
    return tuple(report_caution(row) for row in rows)


def _sources(snapshot: Snapshot, plan: FillPlan) -> tuple[CitedSource, ...]:
    named = {row.source_id for row in plan.steps} | {task.row.source_id for task in plan.tasks}
    return tuple(report_source(snapshot.get(Source, one)) for one in sorted(named))
