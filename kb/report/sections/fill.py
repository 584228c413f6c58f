"""Filling and upkeep of a loop in the shape of answers.

Owns: that step. Does not own: judging (`kb/loops/fill/judge.py`) or words (`kb/report/sentences/fill.py`).
"""

from __future__ import annotations

from kb.loops.coolant import LoopCoolant
from kb.loops.fill.glycol_dose import Dose, Mix
from kb.loops.fill.judge import FillDuty, Growth
from kb.loops.fill.pressure_test import AirTest
from kb.loops.fill.procedures import Task
from kb.loops.fill.volumes import Contents
from kb.report.answers.evidence import tell_assumed, tell_caution, tell_source
from kb.report.sentences.fill import LOWEST_PART, drain_reason, fill_reason
from kb.store.snapshot import Snapshot
from schemas.answers.answers import CautionTold, SourceTold
from schemas.answers.band import BandTold
from schemas.answers.fill import (
    AdditiveTold,
    ExpansionTold,
    FillTold,
    LeakTestTold,
    MixTold,
    PlaceTold,
    StepTold,
    UpkeepTold,
    VolumeTold,
)
from schemas.tables.cautions import Caution
from schemas.tables.fluids import FluidBase
from schemas.tables.procedures import Procedure
from schemas.tables.sources import Source
from schemas.verdict import Verdict, worst


def tell_fill(snapshot: Snapshot, duty: FillDuty) -> FillTold:
    """Return filling and upkeep in the shape of answers.

    Args:
        snapshot: the knowledge.
        duty: what was found.
    """
    volume = duty.volume
    drains = [PlaceTold(place=one.name, reason=drain_reason(one)) for one in duty.drains]
    drains += [PlaceTold(place=name, reason=LOWEST_PART) for name in duty.lowest]
    return FillTold(
        verdict=worst(finding.verdict for finding in duty.findings),
        volumes=tuple(_volume(one) for one in volume.contents),
        total_ml=BandTold(low=volume.low, likely=volume.likely, high=volume.high),
        unknown_volumes=volume.unknown,
        mix=_mix(duty, duty.mix) if duty.mix is not None else None,
        additives=tuple(_additive(dose) for dose in duty.doses),
        expansion=_expansion(duty, duty.growth) if duty.growth is not None else None,
        leak_test=_leak_test(duty.test) if duty.test is not None else None,
        fill_points=tuple(PlaceTold(place=one.name, reason=fill_reason(one)) for one in duty.fills),
        drain_points=tuple(drains),
        steps=tuple(_step(snapshot, row) for row in duty.steps),
        upkeep=tuple(_upkeep(task) for task in duty.tasks),
        change_fluid_after_months=duty.change_months,
        assumed=tell_assumed(snapshot, duty.assumed),
        cautions=_cautions(snapshot, duty),
        sources=_sources(snapshot, duty),
    )


def _volume(one: Contents) -> VolumeTold:
    is_known = one.how_known != "unknown"
    return VolumeTold(
        place=one.place,
        volume_ml=BandTold(low=one.low, likely=one.likely, high=one.high) if is_known else None,
        how_known=one.how_known,
        row=one.fact.row_id if one.fact is not None and one.fact.source_id else None,
        tubes_ml=one.tubes_ml,
    )


def _mix(duty: FillDuty, mix: Mix) -> MixTold:
    contents = duty.volume.likely
    is_water = mix.fluid.base is FluidBase.WATER and mix.amounts is None
    coolant = mix.coolant if isinstance(mix.coolant, LoopCoolant) else None
    return MixTold(
        fluid=mix.fluid.id,
        title=mix.fluid.title,
        ready_to_use=mix.amounts is None,
        concentrate_ml=mix.amounts.concentrate_ml if mix.amounts is not None else 0.0,
        water_ml=mix.amounts.water_ml if mix.amounts is not None else contents if is_water else 0.0,
        premix_ml=contents if mix.amounts is None and not is_water else 0.0,
        glycol_percent_volume=coolant.volume_percent if coolant is not None else None,
        glycol_percent_mass=coolant.mass_percent if coolant is not None else None,
        freezing_point_c=mix.freezing_c,
        buy_ml=duty.volume.high * (1 + duty.reserve.value / 100),
        reserve_percent=duty.reserve.value,
    )


def _additive(dose: Dose) -> AdditiveTold:
    row = dose.additive
    return AdditiveTold(
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


def _expansion(duty: FillDuty, growth: Growth) -> ExpansionTold:
    judged = [one.verdict for one in duty.findings if one.code.startswith("expansion-room")]
    return ExpansionTold(
        from_c=growth.from_c,
        to_c=growth.to_c,
        to_known=growth.to_known,
        growth_ml=growth.growth_ml,
        growth_percent=growth.growth_ml / duty.volume.high * 100 if duty.volume.high else 0.0,
        room_ml=growth.room_ml,
        sealed_bar=growth.sealed_bar,
        verdict=worst(judged) if judged else Verdict.UNKNOWN,
    )


def _leak_test(test: AirTest) -> LeakTestTold:
    return LeakTestTold(
        pressure_bar=test.pressure_bar,
        weakest=test.weakest,
        limit=test.limit.id,
        bar_per_kelvin=test.per_kelvin_bar,
        source=test.limit.source_id,
    )


def _step(snapshot: Snapshot, row: Procedure) -> StepTold:
    def make() -> StepTold:
        return StepTold(
            id=row.id,
            stage=row.stage.value,
            position=row.position,
            title=row.title,
            text=row.text,
            caution=row.caution_id,
            source=row.source_id,
            basis=row.basis.value,
        )

    return snapshot.derive(("step-told", row.id), make)


def _upkeep(task: Task) -> UpkeepTold:
    row = task.row
    return UpkeepTold(
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


def _cautions(snapshot: Snapshot, duty: FillDuty) -> tuple[CautionTold, ...]:
    named = {row.caution_id for row in duty.steps} | {task.row.caution_id for task in duty.tasks}
    rows = (snapshot.get(Caution, one) for one in sorted(one for one in named if one is not None))
    return tuple(tell_caution(row) for row in rows)


def _sources(snapshot: Snapshot, duty: FillDuty) -> tuple[SourceTold, ...]:
    named = {row.source_id for row in duty.steps} | {task.row.source_id for task in duty.tasks}
    return tuple(tell_source(snapshot.get(Source, one)) for one in sorted(named))
