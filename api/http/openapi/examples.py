"""One example of every operation: what the description shows, and what the tests ask.

Owns: example questions, all invented. Does not own: their answers, which are asked of the tables when needed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from types import MappingProxyType
from typing import Any

from starlette.responses import Response

from api.http.problems.problem_kinds import UNKNOWN_ID
from api.http.routes.operating import Readiness
from api.http.routes.problems import all_problems, explained, problem_page, problems_page
from api.http.routes.service import Health, index_of, version_of
from kb.knowledge_base import KnowledgeBase
from schemas.answers.base import AnswerModel


@dataclass(frozen=True, slots=True)
class Example:
    """One example of an operation.

    Attributes:
        operation_id: the operation.
        answer: asks the knowledge base the same question.
        parameters: path and query parameters by name.
        body: the question as it is posted, if it is.
        beside: what parameters may be that the example leaves out, by name.
        page: makes the page that browsers get instead, if they do.
    """

    operation_id: str
    answer: Callable[[KnowledgeBase], AnswerModel]
    parameters: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))
    body: Mapping[str, Any] | None = None
    beside: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))
    page: Callable[[], Response] | None = None


_WARM: Mapping[str, Any] = MappingProxyType({"conditions": {"condition.coolant-temperature": 45}})
_AS_CSV: Mapping[str, Any] = MappingProxyType({"format": "csv"})
_SINCE = datetime(2026, 11, 25, 12, tzinfo=UTC)
_PAIR: Mapping[str, Any] = MappingProxyType(
    {
        "a": {"is": "tube/soft-10x16", "id_mm": 9.8},
        "b": "fitting/compression-10x16-g-1-4",
        "conditions": {"coolant-temperature": 45},
    }
)
_IDS: Mapping[str, Any] = MappingProxyType({"a": "thread/g-1-4", "b": "thread/npt-1-4"})
_PARTNERS: Mapping[str, Any] = MappingProxyType({"part": "port/g-1-4-iso-1179-1", "kind": "fitting", "limit": 3})
_BETWEEN: Mapping[str, Any] = MappingProxyType({"a": "port/g-1-4-iso-1179-1", "b": "tube/soft-10x16", "limit": 2})
_FIND: Mapping[str, Any] = MappingProxyType({"words": "3/8 x 5/8 soft tube", "kind": "tube", "limit": 3})
_LOOP: Mapping[str, Any] = MappingProxyType(
    {
        "name": "small loop",
        "parts": {
            "pump": {
                "kind": "pump",
                "is": "pump/medium-12-v-high-flow",
                "ports": {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"},
                "speed_percent": 70,
            },
            "cpu": {"kind": "block", "is": "block/cpu-micro-fin", "heat_w": 125},
            "radiator": {
                "kind": "radiator",
                "is": "radiator/240x30-low",
                "fans": {"is": "fan/balanced-120", "speed_rpm": 1000},
            },
        },
        "runs": [
            {
                "from": "pump.out",
                "to": "cpu.in",
                "tube": "tube/soft-10x16",
                "length_mm": 250,
                "fittings_from": ["fitting/compression-10x16-g-1-4"],
                "fittings_to": ["fitting/compression-10x16-g-1-4-rotary-90"],
            },
            {"from": "cpu.out", "to": "radiator.in", "tube": "tube/soft-10x16", "length_mm": 300},
            {"from": "radiator.out", "to": "pump.in", "tube": "tube/soft-10x16", "length_mm": 200},
        ],
        "fluid": "fluid/propylene-glycol-inhibited-premix",
        "conditions": {"coolant-temperature": 40},
    }
)
_FLUIDS: Mapping[str, Any] = MappingProxyType(
    {
        "parts": ["metal/copper", {"is": "tube/soft-10x16", "material": "elastomer/epdm"}, "plastic/pmma"],
        "conditions": {"coolant-temperature": 40},
        "limit": 3,
    }
)
_SOME_MATERIALS = ("metal/copper", "elastomer/epdm")
_MATERIALS: Mapping[str, Any] = MappingProxyType(
    {
        "fluid": {"is": "fluid/distilled-water", "properties": {"ph": 7.5}, "additives": ["additive/benzotriazole"]},
        "family": "family/metal",
        "limit": 3,
    }
)
_MATERIALS_BY_ID: Mapping[str, Any] = MappingProxyType(
    {"fluid": "fluid/distilled-water", "family": "family/plastic", "limit": 3}
)
_MATRIX: Mapping[str, Any] = MappingProxyType(
    {"rows": "family/acetal-plastic", "columns": "family/propylene-glycol-inhibited"}
)
_MIX: Mapping[str, Any] = MappingProxyType(
    {"glycol": "propylene-glycol", "concentrate_parts": 1, "water_parts": 3, "temperature_c": 25}
)


def examples() -> tuple[Example, ...]:
    """Return one example of every operation but batches."""
    return (*_asked(), *_asked_of_chemistry(), *_read(), *_of_the_service())


def batch_example(word: str) -> tuple[Mapping[str, Any], ...]:
    """Return an example batch: a question as `POST /v1/<word>` takes it, and one that cannot be asked.

    >>> batch_example("find")[1]
    mappingproxy({})
    """
    bodies = {example.operation_id: example.body for example in _asked()}
    question = bodies[f"ask_{word}"]
    assert question is not None
    return question, MappingProxyType({})


def _asked() -> tuple[Example, ...]:
    return (
        Example("ask_pair", lambda base: base.pair(**_PAIR), body=_PAIR),
        Example("read_pair", lambda base: base.pair(**_IDS), _IDS, beside={**_WARM, "met": "hose-clamp"}),
        Example("ask_partners", lambda base: base.partners(**_PARTNERS), body=_PARTNERS),
        Example("read_partners", lambda base: base.partners(**_PARTNERS), _PARTNERS, beside={"verdicts": "compatible"}),
        Example("ask_between", lambda base: base.between(**_BETWEEN), body=_BETWEEN),
        Example("read_between", lambda base: base.between(**_BETWEEN), _BETWEEN),
        Example("ask_find", lambda base: base.find(**_FIND), body=_FIND),
        Example("read_find", lambda base: base.find(**_FIND), _FIND),
        Example("ask_loop", lambda base: base.loop(_LOOP), body=_LOOP),
    )


def _asked_of_chemistry() -> tuple[Example, ...]:
    listed = MappingProxyType({"parts": ",".join(_SOME_MATERIALS)})
    fluids_beside = {**_WARM, "additives": "additive/benzotriazole", "limit": 3}
    return (
        Example("ask_fluids", lambda base: base.fluids(**_FLUIDS), body=_FLUIDS),
        Example("read_fluids", lambda base: base.fluids(_SOME_MATERIALS), listed, beside=fluids_beside),
        Example("ask_materials", lambda base: base.materials(**_MATERIALS), body=_MATERIALS),
        Example("read_materials", lambda base: base.materials(**_MATERIALS_BY_ID), _MATERIALS_BY_ID, beside=_WARM),
        Example("ask_matrix", lambda base: base.matrix(**_MATRIX), body=_MATRIX, beside=_AS_CSV),
        Example("read_matrix", lambda base: base.matrix(**_MATRIX), _MATRIX, beside={**_WARM, **_AS_CSV}),
        Example("ask_mix", lambda base: base.mix(**_MIX), body=_MIX),
        Example("read_mix", lambda base: base.mix(**_MIX), _MIX, beside={"concentrate_glycol_percent": 95}),
    )


def _read() -> tuple[Example, ...]:
    page = MappingProxyType({"table": "tubes", "family": "family/tube-soft", "limit": 2})
    after = {"after": "tube/soft-10x13", **_AS_CSV}
    row = MappingProxyType({"kind": "thread", "slug": "g-1-4"})
    return (
        Example("list_tables", lambda base: base.tables()),
        Example("read_table", lambda base: base.records("tubes", "family/tube-soft", None, 2), page, beside=after),
        Example("read_row", lambda base: base.record("thread/g-1-4"), row),
    )


def _of_the_service() -> tuple[Example, ...]:
    slug = MappingProxyType({"slug": UNKNOWN_ID.slug})
    return (
        Example("read_index", index_of),
        Example("read_health", lambda base: Health(kb_version=base.version)),
        Example("read_version", version_of),
        Example("read_readiness", _ready),
        Example("list_problems", lambda _: all_problems(), page=problems_page),
        Example("explain_problem", lambda _: explained(UNKNOWN_ID), slug, page=lambda: problem_page(UNKNOWN_ID)),
    )


def _ready(base: KnowledgeBase) -> Readiness:
    return Readiness(kb_version=base.version, since=_SINCE, reloads=0, refusals=0, judging=False, last_refused=False)
