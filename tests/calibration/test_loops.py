"""Loops of four bands come to verdicts of their bands, for the reasons that put them there.

The bands are ours (see README.md beside this file): a regression net, no truth from outside. A loop that
the evidence does not support stays red, with the reason in `RED_...`; it fails as soon as it turns green.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest

import kb
from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import Finding
from schemas.answers.loop import LoopAnswer
from schemas.verdict import Verdict

LOOPS = Path(__file__).with_name("loops.csv")
BANDS = ("good", "usable with care", "risky", "wrong")
ALLOWED = {
    "good": {Verdict.COMPATIBLE},
    "usable with care": {Verdict.COMPATIBLE, Verdict.CONDITIONAL},
    "risky": {Verdict.CONDITIONAL, Verdict.INCOMPATIBLE},
    "wrong": {Verdict.INCOMPATIBLE},
}
CM2_PER_DM2 = 100
USUAL_ROLES = {
    "block": ("base-plate", "plating", "seal", "top"),
    "radiator": ("core", "solder", "tank"),
    "reservoir": ("body", "seal"),
    "pump": ("body", "impeller", "seal"),
}
ORDER = {Verdict.COMPATIBLE: 0, Verdict.CONDITIONAL: 1, Verdict.INCOMPATIBLE: 2}  # unknown is red by itself
RED_VERDICT: dict[str, str] = {}
RED_REASON: dict[str, str] = {}


class CalibrationLoop(NamedTuple):
    """One row of `loops.csv`, as a question."""

    id: str
    band: str
    reason: str
    causes: frozenset[str]
    question: dict[str, Any]


def listed(cell: str) -> list[str]:
    return [one for one in cell.split("; ") if one]


def part_of(text: str) -> tuple[str, dict[str, Any]]:
    """Read `block:base-plate=metal/copper@4`: name, then role, material and area in dm2 of every surface."""
    name, _, surfaces = text.partition(":")
    kind = name if name in USUAL_ROLES else "sensor"
    materials: dict[str, str | None] = dict.fromkeys(USUAL_ROLES.get(kind, ()))
    areas: dict[str, float] = {}
    for surface in surfaces.split(","):
        role, _, rest = surface.partition("=")
        materials[role], _, area = rest.partition("@")
        if area:
            areas[role] = float(area) * CM2_PER_DM2
    ports = {"in": "port/g-1-4-loop"}
    return name, {"kind": kind, "ports": ports, "materials": materials, "areas_cm2": areas}


def loop_of(row: dict[str, str]) -> CalibrationLoop:
    question = {
        "name": f"calibration loop {row['id']}",
        "parts": dict(part_of(one) for one in listed(row["asked_parts"])),
        "fluid": {"is": row["asked_fluid"], "additives": listed(row["asked_additives"])},
        "conditions": {
            name: float(value) for name, value in (one.split("=") for one in row["asked_conditions"].split())
        },
        "met": listed(row["asked_met"]),
        "sections": ["chemistry"],
        "detail": "all",
    }
    return CalibrationLoop(row["id"], row["band"], row["reason"], frozenset(listed(row["causes"])), question)


def rows() -> list[dict[str, str]]:
    with LOOPS.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


SET = tuple(loop_of(row) for row in rows())


@cache
def answered(at: int) -> LoopAnswer:
    return kb.load().loop(SET[at].question)


def every_loop(red: Mapping[str, str], *bands: str) -> list[Any]:
    """Return the loops of some bands; those named red have to fail."""
    return [
        pytest.param(
            at, id=loop.id, marks=[pytest.mark.xfail(strict=True, reason=red[loop.id])] if loop.id in red else []
        )
        for at, loop in enumerate(SET)
        if loop.band in bands
    ]


def cited(finding: Finding) -> frozenset[str]:
    """Return the rules that apply, the limits and the requirement of a finding."""
    named = {rule.id for rule in finding.rules if rule.applies} | {limit.id for limit in finding.limits}
    return frozenset(named | ({finding.requirement} if finding.requirement else set()))


def decisive(answer: LoopAnswer) -> list[Finding]:
    return [one for one in answer.findings if one.verdict is answer.verdict]


@pytest.mark.parametrize("at", every_loop(RED_VERDICT, *BANDS))
def test_a_loop_comes_to_a_verdict_of_its_band(at: int) -> None:
    answer = answered(at)
    assert answer.verdict in ALLOWED[SET[at].band], [one.sentence for one in decisive(answer)]


@pytest.mark.parametrize("at", every_loop(RED_REASON, "usable with care", "risky", "wrong"))
def test_the_reason_of_its_band_is_what_is_told(at: int) -> None:
    answer, loop = answered(at), SET[at]
    if answer.verdict is Verdict.COMPATIBLE:  # a note or a settled warning has to name the care
        assert any(loop.causes & cited(one) for one in answer.findings), loop.reason
    else:
        assert any(loop.causes & cited(one) for one in decisive(answer)), loop.reason
    assert answer.verdict in ALLOWED[loop.band]


def test_no_worse_band_has_a_milder_verdict() -> None:
    known = [(BANDS.index(loop.band), ORDER.get(answered(at).verdict)) for at, loop in enumerate(SET)]
    ranked = [(band, severity) for band, severity in known if severity is not None]
    assert not [
        (better, worse) for better in ranked for worse in ranked if better[0] < worse[0] and better[1] > worse[1]
    ]


def test_every_band_is_there_and_every_loop_once() -> None:
    assert len({loop.id for loop in SET}) == len(SET) == 20
    assert {loop.band for loop in SET} == set(BANDS)


def test_every_cause_is_a_row(base: KnowledgeBase) -> None:
    causes = {one for loop in SET for one in loop.causes}
    assert not [one for one in causes if base.snapshot.row(one) is None]
    assert not [loop.id for loop in SET if not loop.causes and loop.band != "good"]


MATERIALS = {
    r"(?<!no )copper": "metal/copper",
    r"(?<!no )brass": "metal/brass-",
    "nickel": "metal/nickel-plate-",
    "316": "metal/stainless-316",
    "430": "metal/stainless-430",
    "tin-lead": "metal/solder-tin-lead",
    "aluminium|anodised": "metal/aluminium-",
    "galvanised": "metal/steel-galvanised",
    "carbon-steel": "metal/steel-carbon",
    "magnesium": "metal/magnesium",
    "POM": "plastic/pom-copolymer",
    "PPS": "plastic/pps",
    "PMMA": "plastic/pmma",
    "PA66-GF": "plastic/pa66-gf",
    "PETG": "plastic/petg",
    r"\bPC\b": "plastic/pc",
    "ABS": "plastic/abs",
    "soft PVC": "plastic/pvc-plasticised",
    "EPDM": "elastomer/epdm",
    "NBR": "elastomer/nbr",
}
FIGURES = {
    r"(\d+) % vol": "glycol-share",
    r"pH (\d[.\d]*)": "ph",
    r"chloride (\d+)": "chloride",
    r"hardness (\d+)": "hardness",
}


@pytest.mark.parametrize("at", range(len(SET)), ids=[loop.id for loop in SET])
def test_every_material_and_area_of_a_loop_is_asked(at: int) -> None:
    row, question = rows()[at], SET[at].question
    words = "; ".join(row[column] for column in ("metals_with_areas", "plastics", "elastomers"))
    named = {prefix for pattern, prefix in MATERIALS.items() if re.search(pattern, words)}
    asked = [one for part in question["parts"].values() for one in part["materials"].values() if one]
    assert named == {prefix for prefix in MATERIALS.values() if any(is_of(one, prefix) for one in asked)}
    areas = {f"{one / CM2_PER_DM2:g}" for part in question["parts"].values() for one in part["areas_cm2"].values()}
    figures = re.sub(r"\b(3003|6061|316|430|\d+ um)\b", "", row["metals_with_areas"])
    assert areas == set(re.findall(r"\b\d+(?:\.\d+)?\b", figures))


def is_of(material: str, prefix: str) -> bool:
    return material.startswith(prefix) if prefix.endswith("-") else material == prefix


@pytest.mark.parametrize("at", range(len(SET)), ids=[loop.id for loop in SET])
def test_every_figure_of_a_loop_is_asked(at: int) -> None:
    row, conditions = rows()[at], SET[at].question["conditions"]
    assert conditions["coolant-temperature"] == float(row["temperature"].removesuffix(" C"))
    for pattern, name in FIGURES.items():
        for figure in re.findall(pattern, row["fluid"])[-1:]:  # of a premix let down, the share it comes to
            assert conditions[name] == float(figure), (row["id"], name)
