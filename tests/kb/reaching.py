"""Asking so much that every row of the tables can come up, and collecting the rows that did.

Owns: questions made from the tables themselves, and reading rows off what they bring up. Does not own: which rows need
not come up (`tests/unreached_rows.csv`) or any promise. A row is reached if an answer or a decision cites it, if it is
what was asked about, or if a row that is reached leans on it: its source, its families, its owner.
"""

from __future__ import annotations

import json
import re
from collections.abc import Hashable, Iterator
from itertools import pairwise, product
from typing import Any

from figure_questions import INLINE, LOOP

from kb.compatibility.materials.wetted_surfaces import surfaces_of
from kb.compatibility.pair import decide_pair
from kb.curation.diff.kind_pairs import active_parts, all_pairs
from kb.evidence.tree import Fact, Finding, LimitCheck, Node, Number, Rival, RuleHit
from kb.knowledge_base import KnowledgeBase
from kb.load import BuiltTables
from kb.loops.flow.elements import curve_of
from kb.loops.heat.radiators import table_curve
from kb.parts.part import Part
from kb.parts.resolver import Resolver
from kb.store.examples import EXAMPLES_FOLDER
from kb.store.property_spans import PropertySpan
from kb.store.snapshot import Snapshot
from schemas.columns.columns import fields_of
from schemas.columns.figures import stated_figures
from schemas.level import Scope
from schemas.questions.choices import Section
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import MixQuestion, PairQuestion
from schemas.tables.additives import Additive
from schemas.tables.aliases import Alias
from schemas.tables.assumptions import Assumption
from schemas.tables.blocks import Block
from schemas.tables.families import Family
from schemas.tables.fan_points import FanPoint
from schemas.tables.fans import Fan
from schemas.tables.fittings import Fitting
from schemas.tables.fluids import Fluid
from schemas.tables.material_properties import MaterialProperty, PropertyName
from schemas.tables.materials import Material
from schemas.tables.metal_couples import MetalCouple
from schemas.tables.pump_points import PumpPoint
from schemas.tables.pumps import Pump
from schemas.tables.radiators import Radiator
from schemas.tables.reservoirs import Reservoir
from schemas.tables.rule_conditions import Operator, RuleCondition
from schemas.tables.rules import Rule
from schemas.tables.seals import Seal

WATER, PREMIX = "fluid/distilled-water", "fluid/propylene-glycol-inhibited-premix"
THIN = "fluid/propylene-glycol-dilute"
TUBE, FITTING, PORT = "tube/soft-10x16", "fitting/compression-10x16-g-1-4", "port/g-1-4-loop"
PORTS = {"in": PORT, "out": PORT}
TANK = {"kind": "reservoir", "is": "reservoir/tube-150"}
PUMP = {"kind": "pump", "is": "pump/medium-12-v-high-flow", "ports": PORTS}
BLOCK = {"kind": "block", "is": "block/cpu-micro-fin", "heat_w": 150}
COOLED = {"kind": "radiator", "is": "radiator/240x30-low", "fans": {"is": "fan/balanced-120"}}
WET = ["chemistry", "fill"]
EVERY_SECTION = [section.value for section in Section]
IDS = re.compile(r'"([a-z-]+/[a-z0-9-]+)"')
FILL_AND_DRAIN = (("fill", "in"), ("drain", "out"))
SUBSTANCES = ("material", "fluid", "additive")
TUBES_WITHOUT_SIZES = tuple(f"family/tube-{one}" for one in ("brass", "copper", "polycarbonate", "stainless"))
NEAREST = 4  # partners that are tried for each part, closest first


class ListeningSnapshot(Snapshot):
    """Frozen knowledge that notes which single rows are asked for under their key: no answer need cite these."""

    def __init__(self, tables: BuiltTables) -> None:
        super().__init__(tables)
        self.heard: set[str] = set()

    def assumption(self, quantity_id: str) -> Assumption | None:
        return self._hear(super().assumption(quantity_id))

    def material_property(self, material_id: str, name: PropertyName) -> MaterialProperty | None:
        return self._hear(super().material_property(material_id, name))

    def metal_couple(self, group: str, other_group: str) -> MetalCouple | None:
        return self._hear(super().metal_couple(group, other_group))

    def property_span(self, material_id: str, name: PropertyName) -> PropertySpan | None:
        span = super().property_span(material_id, name)
        self.heard.update((span.lowest.id, span.highest.id) if span is not None else ())
        return span

    def _hear(self, row: Any) -> Any:
        if row is not None:
            self.heard.add(row.id)
        return row


class Reached:
    """Asks questions and keeps the ids of all rows that came up."""

    def __init__(self, tables: BuiltTables) -> None:
        self.snapshot = ListeningSnapshot(tables)
        self.base = KnowledgeBase(self.snapshot)
        self.resolver = Resolver(self.snapshot)
        self.rows: set[str] = set()

    def ask_everything(self) -> None:
        """Ask all there is to ask, then follow what the rows that came up lean on."""
        for ask in (
            self._pairs,
            self._couples,
            self._near_partners,
            self._rules_under_their_conditions,
            self._typed_parts,
        ):
            ask()
        for question in (*given_loops(), *self._loops()):
            self._loop(question)
        self._words()
        self._mixtures()
        self._figures()
        self._curves()
        self._surfaces()
        self._heard()
        self._lean()

    def _pairs(self) -> None:
        """Ask pairs of archetypes: all of substances, and of other parts one for all that rules cannot tell apart."""
        parts = {one: self.resolver.archetype(one, "part") for one in active_parts(self.snapshot)}
        sorts = {one: _sort_of(part) for one, part in parts.items()}
        self.rows.update(parts)
        self.rows.update(family for part in parts.values() for end in part.elements for family in end.families)
        alike = ((one, one) for one, part in parts.items() if part.kind in SUBSTANCES)
        asked = set()
        for a, b in (*all_pairs(active_parts(self.snapshot)), *alike):
            if (sorts[a], sorts[b]) not in asked:
                asked.add((sorts[a], sorts[b]))
                self._decide(parts[a], parts[b])

    def _couples(self) -> None:
        """Ask every couple of metals in brackish water, where the seawater column of the table speaks."""
        metals = [self.resolver.archetype(row.id, "metal") for row in self.snapshot.active(Material)]
        metals = [metal for metal in metals if "family/metal" in metal.families]
        for one, other in product(metals, metals):
            if one.id < other.id:
                self._decide(one, other, {"quantity/chloride": 1000.0})

    def _near_partners(self) -> None:
        """Ask every tube, fitting, port and thread beside the nearest of each kind, so that their numbers count."""
        for row in (row for table in ("tubes", "fittings", "ports", "threads") for row in self.snapshot.ids((table,))):
            part = self.resolver.archetype(row, "part")
            for kind in ("tube", "fitting", "port", "thread"):
                candidates = self.base._partners.candidates(part, kind)
                for _, other in zip(range(NEAREST), candidates, strict=False):
                    self._decide(part, self.resolver.archetype(other, "other"))
            for end in self.snapshot.ends(row):
                if end.thread_id is not None:
                    self._decide(part, self.resolver.archetype(end.thread_id, "other"))

    def _rules_under_their_conditions(self) -> None:
        """Ask, for every rule with conditions, parts of both sides with values for which the conditions hold."""
        conditions: dict[str, list[RuleCondition]] = {}
        for row in self.snapshot.active(RuleCondition):
            conditions.setdefault(row.rule_id, []).append(row)
        for rule in self.snapshot.active(Rule):
            rows = conditions.get(rule.id, [])
            if {rule.id, *(row.id for row in rows)} <= self.rows or not (rows or rule.scope is Scope.FLUID):
                continue
            stated = {row.quantity_id: value_for(rows, row.quantity_id) for row in rows}
            for one, other in product(self._members(rule.subject_id), self._members(rule.object_id)):
                self._decide(one, other, stated)
                if rule.scope is Scope.FLUID:
                    self._filled(one, other, stated=stated)
                if rule.id in self.rows:
                    break

    def _filled(self, *sides: Part, stated: dict[str, float]) -> None:
        """Ask two sides of a rule as a loop: what is told of a fluid as a whole is told there."""
        ids = {part.kind: part.id for part in sides}
        body, fluid = ids.get("material", "metal/copper"), ids.get("fluid", WATER)
        filling = {"is": fluid, "additives": [ids["additive"]] if "additive" in ids else []}
        probe = {"kind": "sensor", "ports": {"in": PORT}, "materials": {"body": body}}
        conditions = {name.removeprefix("quantity/"): value for name, value in stated.items()}
        self._loop({"parts": {"probe": probe}, "fluid": filling, "conditions": conditions, "sections": ["chemistry"]})

    def _typed_parts(self) -> None:
        """Ask every ring in a fitting for a rigid tube, tubes of other sizes, and ends that no archetype has."""
        for seal in self.snapshot.active(Seal):
            end = {"kind": "rigid-compression", "seal": seal.id, "socket_bore_mm": 16.2, "groove_diameter_mm": 19.2}
            self._pair({"kind": "fitting", "ends": {"a": end}}, "tube/acrylic-16x12")
        for family, od_mm in product(TUBES_WITHOUT_SIZES, (12, 14, 20, 28)):
            self._pair({"kind": "tube", "family": family, "od_mm": od_mm, "id_mm": od_mm - 2}, "fitting/rigid-14-g-1-4")
        for change in ({"seals_on": "nothing"}, {"thread_length_mm": 1}):
            end = {"kind": "male-thread", "thread": "thread/g-1-4", **change}
            self._pair({"kind": "fitting", "ends": {"a": end}}, "port/g-1-4-din-3852-2")

    def _pair(self, a: Any, b: str) -> None:
        decision = self.base.decide_question(PairQuestion.model_validate({"a": a, "b": b}))
        self._keep(decision.joint.findings)

    def _loops(self) -> Iterator[dict[str, Any]]:
        """Yield loops of every device, fan, fluid, additive, fitting and material, and broken ones."""
        s = self.snapshot
        for pump in s.active(Pump):
            yield ring(pump={"kind": "pump", "is": pump.id, "ports": PORTS, "speed_percent": 50}, sections=["flow"])
        for block in s.active(Block):
            yield ring(cpu={"kind": "block", "is": block.id, "heat_w": 150, "areas_cm2": {"base-plate": 400}})
        for reservoir in s.active(Reservoir):
            yield ring(
                **({"tank": {**TANK, "is": reservoir.id}} if reservoir.ports > 1 else {}), sections=["flow", *WET]
            )
            yield {"parts": {"tank": {"kind": "reservoir", "is": reservoir.id}}, "sections": ["fill"]}
        for fan in s.active(Fan):
            yield ring(rad={**COOLED, "is": radiator_for(s.active(Radiator), fan), "fans": {"is": fan.id}})
        for radiator in s.active(Radiator):
            yield {"parts": {"rad": {"kind": "radiator", "is": radiator.id}}, "sections": ["space", "fill"]}
        for splitter in (row for row in s.active(Fitting) if "family/fitting-splitter" in s.families(row.family_id)):
            yield split(splitter.id)
        for fluid in s.active(Fluid):
            yield ring(fluid=fluid.id, sections=WET)
            yield ring(fluid=fluid.id, conditions={"glycol-share": 15}, sections=WET)
        for additive in s.active(Additive):
            yield ring(fluid={"is": WATER, "additives": [additive.id]}, sections=WET)
            yield ring(fluid={"is": THIN, "additives": [additive.id]}, conditions={"glycol-share": 15}, sections=WET)
        for material in s.active(Material):
            yield ring(cpu={**BLOCK, "materials": {"base-plate": material.id}}, sections=WET)
            core = {**COOLED, "materials": {"core": material.id}}
            yield {"parts": {"rad": core}, "fluid": WATER, "air_c": 25, "sections": ["heat"]}
        for fitting in {(row.family_id, row.angle_deg): row for row in s.active(Fitting)}.values():
            yield ring(first=[fitting.id], sections=["flow"])
        for family in TUBES_WITHOUT_SIZES:
            yield ring(tube={"kind": "tube", "family": family, "id_mm": 10, "od_mm": 12}, sections=WET)
        yield from broken_loops()

    def _words(self) -> None:
        """Ask for every other name; it is reached if it leads to the part it stands for."""
        for alias in self.snapshot.active(Alias):
            found = self.base.find(alias.words, limit=50)
            reported = set(IDS.findall(found.to_json()))
            if alias.part_id in reported or self._meant(alias.part_id, reported):
                self.rows.add(alias.id)

    def _mixtures(self) -> None:
        for glycol, water in product(("propylene-glycol", "ethylene-glycol"), (0, 1, 3, 30)):
            asked = MixQuestion.model_validate({"glycol": glycol, "concentrate_parts": 1, "water_parts": water})
            self._read(self.base.mix(**dict(asked)).to_json())

    def _figures(self) -> None:
        """Take up the quantities that figures of questions are held against."""
        asked = [LoopQuestion.model_validate(LOOP)]
        asked += [PairQuestion.model_validate({"a": part, "b": "thread/g-1-4"}) for part in INLINE.values()]
        self.rows.update(f"quantity/{figure.quantity}" for one in asked for figure in stated_figures(one))

    def _curves(self) -> None:
        """Take up the points that lie on the curves computed with."""
        s = self.snapshot
        for point in s.active(PumpPoint):
            curve = curve_of(s, s.get(Pump, point.pump_id))
            if (point.flow_l_min, point.head_kpa) in set(zip(curve.flows_l_min, curve.heads_kpa, strict=True)):
                self.rows.add(point.id)
        for spot in s.active(FanPoint):
            if spot.pressure_pa in table_curve(s, s.get(Fan, spot.fan_id)).pressures_pa:
                self.rows.add(spot.id)

    def _surfaces(self) -> None:
        """Take up what parts of the pairs asked above are usually made of, as questions about fluids do."""
        for row in self.snapshot.ids(("tubes", "fittings", "seals")):
            surfaces = surfaces_of(self.snapshot, row, self.resolver.archetype(row, "part").families, {})
            self.rows.update(one.usual.id for one in surfaces if one.usual is not None)

    def _heard(self) -> None:
        """Take up rows that were asked for under their key, with those that competed with them for it."""
        self.rows |= self.snapshot.heard
        properties = self.snapshot.active(MaterialProperty)
        asked = {(row.material_id, row.property) for row in properties if row.id in self.snapshot.heard}
        self.rows.update(row.id for row in properties if (row.material_id, row.property) in asked)

    def _lean(self) -> None:
        """Add what the rows that came up refer to, with the families above it, and what disputes a rule."""
        waiting = list(self.rows)
        while waiting:
            row = self.snapshot.row(waiting.pop())
            new = set(self._leant_on(row)) - self.rows if row is not None else set()
            self.rows |= new
            waiting += new

    def _leant_on(self, row: Any) -> Iterator[str]:
        for field in (field for field in fields_of(type(row)) if field.column.refers_to):
            cell = getattr(row, field.name)
            yield from cell if isinstance(cell, tuple) else () if cell is None else (cell,)
        if isinstance(row, Family):
            yield from self.snapshot.families(row.id)
        if isinstance(row, Rule):
            yield from (one.id for one in self.snapshot.disputes(row.id))

    def _decide(self, one: Part, other: Part, stated: dict[str, float] | None = None) -> None:
        decision = decide_pair(self.snapshot, one, other, stated or {})
        for joint in (decision.joint, *decision.others):
            self._keep(tuple(joint.findings))
            self._place(joint.place, one, other)

    def _place(self, place: str, *parts: Part) -> None:
        """Take up the ends of fittings that a joint is named after."""
        for part in (part for part in parts if part.kind == "fitting"):
            ends = zip(self.snapshot.ends(part.id), part.elements, strict=True)
            self.rows.update(row.id for row, end in ends if end.label in place)

    def _keep(self, findings: Any) -> None:
        for finding in findings:
            self._finding(finding)

    def _finding(self, finding: Finding) -> None:
        for node in finding.evidence:
            self._node(node)

    def _node(self, node: Node) -> None:
        if isinstance(node, Fact):
            self.rows.add(node.row_id)
        elif isinstance(node, Number):
            self.rows.add(node.quantity_id)
            for one in node.inputs:
                self._node(one)
        elif isinstance(node, LimitCheck):
            self.rows.add(node.limit.id)
        elif isinstance(node, Rival):
            self.rows.update((node.used, *node.others))
        elif isinstance(node, RuleHit):
            self.rows.add(node.rule.id)
            self.rows.update(check.condition.id for check in node.conditions)
            self.rows.update(check.origin.id for check in node.conditions if check.origin is not None)

    def _loop(self, question: dict[str, Any]) -> None:
        asked = {"sections": EVERY_SECTION, **question, "detail": "all"}
        self._read(self.base.loop(asked).to_json())

    def _read(self, answer: str) -> None:
        """Take up every row that the JSON of an answer names, as a value or as a key."""
        self.rows.update(word for word in IDS.findall(answer) if self.snapshot.row(word) is not None)

    def _members(self, side: str) -> tuple[Part, ...]:
        """Return archetypes that are a side of a rule, or belong to it."""
        if not side.startswith("family/"):
            return (self.resolver.archetype(side, "side"),)
        found = (self.resolver.archetype(one, "side") for one in active_parts(self.snapshot))
        return tuple(part for part in found if any(side in end.rule_keys for end in part.elements))

    def _meant(self, part_id: str, reported: set[str]) -> bool:
        """Return whether some part of a family was found, where the name stands for the family."""
        rows = (self.snapshot.row(one) for one in reported)
        return any(part_id in self.snapshot.families(getattr(row, "family_id", "")) for row in rows if row is not None)


def _sort_of(part: Part) -> Hashable:
    """Return what a part has in common with all others that rules cannot tell from it; a substance is alone."""
    if part.kind in SUBSTANCES:
        return part.id
    return tuple((end.kind, end.rule_keys) for end in part.elements)


def value_for(rows: list[RuleCondition], quantity_id: str) -> float:
    """Return a value of a quantity for which all conditions of a rule on it hold."""
    least, most = -1e9, 1e9
    for row in (row for row in rows if row.quantity_id == quantity_id):
        if row.operator in (Operator.MORE, Operator.AT_LEAST, Operator.EQUAL):
            least = max(least, row.value + (1e-3 if row.operator is Operator.MORE else 0))
        if row.operator in (Operator.LESS, Operator.AT_MOST, Operator.EQUAL):
            most = min(most, row.value - (1e-3 if row.operator is Operator.LESS else 0))
    return most if least == -1e9 else least


def radiator_for(radiators: Any, fan: Fan) -> str:
    return str(next(one.id for one in radiators if one.fan_size_mm == fan.fan_size_mm))


def ring(tube: Any = TUBE, first: list[str] | None = None, **changes: Any) -> dict[str, Any]:
    """Return a loop through reservoir, pump, block and radiator, with other parts or fields in it."""
    parts = {"tank": TANK, "pump": PUMP, "cpu": BLOCK, "rad": COOLED}
    parts |= {name: changes.pop(name) for name in tuple(changes) if name in parts or "kind" in str(changes[name])[:8]}
    names = ["tank", "pump", "cpu", "rad", "tank"]
    runs = [
        {"from": f"{one}.out", "to": f"{other}.in", "tube": tube, "fittings_from": [FITTING], "fittings_to": [FITTING]}
        for one, other in pairwise(names)
    ]
    runs[1]["fittings_from"] = first or [FITTING]
    return {"parts": parts, "runs": runs, "fluid": PREMIX, **changes}


def split(fitting: str) -> dict[str, Any]:
    """Return a loop in which the coolant divides and joins again in two of a fitting."""
    tees = {name: {"kind": "fitting", "is": fitting} for name in ("fork", "join")}
    whole = ring(gpu={"kind": "block", "is": "block/gpu-full-cover", "heat_w": 100}, sections=["flow"])
    ways = [("tank.out", "pump.in"), ("pump.out", "fork.a"), ("fork.b", "cpu.in"), ("fork.c", "gpu.in")]
    ways += [("cpu.out", "join.b"), ("gpu.out", "join.c"), ("join.a", "rad.in"), ("rad.out", "tank.in")]
    runs = [{**whole["runs"][0], "from": one, "to": other} for one, other in ways]
    return {**whole, "parts": {**whole["parts"], **tees}, "runs": runs}


def exchanged(loop: dict[str, Any], part: str) -> dict[str, Any]:
    """Return a loop with inlet and outlet of one part exchanged."""
    ports = {f"{part}.in": f"{part}.out", f"{part}.out": f"{part}.in"}
    turned = ({end: ports.get(run[end], run[end]) for end in ("from", "to")} for run in loop["runs"])
    return {**loop, "runs": [{**run, **ends} for run, ends in zip(loop["runs"], turned, strict=True)]}


def broken_loops() -> Iterator[dict[str, Any]]:
    """Yield loops in which something is missing, doubled or out of order."""
    sound = ring()
    yield {**sound, "parts": {name: part for name, part in sound["parts"].items() if name != "pump"}, "runs": []}
    yield {**sound, "runs": [*sound["runs"], {**sound["runs"][1], "to": "rad.out"}]}
    yield {**sound, "runs": sound["runs"][:2]}
    yield ring(pump={**PUMP, "speed_percent": 0})
    yield ring(pump={**PUMP, "height_mm": 50})
    yield ring(cpu={**BLOCK, "heat_w": 1500})
    brackish = {"chloride": 1000, "ph": 8.5}
    for metal in ("metal/tin", "metal/nickel", "metal/silver", "metal/steel-carbon"):
        beside = {**BLOCK, "materials": {"base-plate": metal, "plating": None}}
        yield ring(cpu=beside, fluid="fluid/water-inhibited", conditions=brackish, sections=WET)
    yield ring(fluid=WATER, air_c=-5)
    for part, device in (("pump", PUMP), ("cpu", BLOCK), ("cpu", {**BLOCK, "is": "block/gpu-full-cover"})):
        yield exchanged(ring(**{part: device}), part)
    beside = ring(gpu={**BLOCK, "is": "block/gpu-full-cover"}, sections=["joints"])
    aside = ({**sound["runs"][0], "from": f"tank.{port}", "to": f"gpu.{end}"} for port, end in FILL_AND_DRAIN)
    yield {**beside, "runs": [*beside["runs"], *aside]}
    yield ring(cpu={"kind": "block", "ports": {**PORTS, "in-2": PORT}, "heat_w": 100})
    yield ring(cpu={"kind": "block", "ports": {"in": PORT}, "heat_w": 100}, runs=[])
    yield ring(rad={**COOLED, "fans": {"is": "fan/balanced-120", "speed_rpm": 0}})
    yield ring(rad={**COOLED, "fans": {"is": "fan/balanced-140"}, "screws": {"length_mm": 30}})
    for length_mm in (1, 26, 28, 35, 60):
        screws = {"length_mm": length_mm, "thread": "m3", "behind_plate_mm": 3}
        yield ring(rad={**COOLED, "screws": screws, "place": {"depth_mm": 40, "port_clearance_mm": 20}})
    yield ring(spacings=[{"ports": ["cpu.in", "cpu.out"], "distance_mm": 15}])
    yield ring(cpu={**BLOCK, "added_weight_g": 5000, "supported": True})
    yield ring(cpu={**BLOCK, "added_weight_g": 5000, "supported": False})
    yield ring(target={"coolant_to_air_delta_t_k": 1, "sound_level_db": 5})
    plated = {"materials": {"base-plate": "metal/steel-carbon", "plating": "metal/nickel-plate-electroless"}}
    yield ring(cpu={**BLOCK, **plated}, sections=WET)
    bare = {"materials": {"base-plate": "metal/aluminium-6061", "plating": None}, "areas_cm2": {"base-plate": 1}}
    for stated in ({"inhibited": 1}, {"inhibited": 0}):
        yield ring(cpu={**BLOCK, **bare}, rad={**COOLED, "areas_cm2": {"core": 5000}}, conditions=stated, sections=WET)
    yield ring(pump={"kind": "pump", "ports": PORTS, "curve": [[0, 30], [10, 0]], "speed_percent": 0})
    gate = {"kind": "fitting", "is": "fitting/ball-valve-g-1-4-female", "closed": True}
    yield {**sound, "parts": {**sound["parts"], "gate": gate}}


def given_loops() -> Iterator[dict[str, Any]]:
    """Yield the example loops, and one in which every field is filled."""
    yield from (json.loads(path.read_text(encoding="utf-8")) for path in sorted(EXAMPLES_FOLDER.glob("*.json")))
    yield LOOP
