"""A soft tube of a known material is judged in every coolant; one whose material nobody names stays unknown."""

from __future__ import annotations

import pytest

from kb import KnowledgeBase
from schemas import PairQuestion
from schemas.tables.fluids import Fluid, FluidUse
from schemas.tables.tubes import Tube
from schemas.verdict import Verdict

SOFT_MATERIALS = {"epdm": "elastomer/epdm", "pvc": "plastic/pvc-plasticised"}


@pytest.fixture(scope="module")
def coolants(base: KnowledgeBase) -> list[str]:
    wanted = (FluidUse.COOLANT, FluidUse.BASE_WATER)
    return [row.id for row in base.snapshot.active(Fluid) if row.use in wanted]


def verdict(base: KnowledgeBase, tube: object, fluid: str) -> Verdict:
    return Verdict(base.pair(**dict(PairQuestion.model_validate({"a": tube, "b": fluid}))).verdict)


@pytest.mark.parametrize("family", [f"family/tube-soft-{name}" for name in SOFT_MATERIALS])
def test_every_tube_of_a_named_material_is_judged_in_every_coolant(
    base: KnowledgeBase, coolants: list[str], family: str
) -> None:
    tubes = [row.id for row in base.snapshot.active(Tube) if row.family_id == family]
    assert tubes
    unknown = [(tube, fluid) for tube in tubes for fluid in coolants if verdict(base, tube, fluid) is Verdict.UNKNOWN]
    assert unknown == []


@pytest.mark.parametrize("name", SOFT_MATERIALS)
def test_a_material_that_the_asker_states_gives_the_verdict_of_the_tube_made_of_it(
    base: KnowledgeBase, coolants: list[str], name: str
) -> None:
    stated = {"kind": "tube", "is": "tube/soft-10x16", "material": SOFT_MATERIALS[name]}
    differing = [
        fluid for fluid in coolants if verdict(base, stated, fluid) is not verdict(base, f"tube/{name}-10x16", fluid)
    ]
    assert differing == []


def test_a_tube_of_unknown_material_stays_unknown(base: KnowledgeBase, coolants: list[str]) -> None:
    assert {verdict(base, "tube/soft-10x16", fluid) for fluid in coolants} == {Verdict.UNKNOWN}
