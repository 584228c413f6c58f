"""The question about a whole loop: its devices, runs, plugs, fluid, surroundings, and what to judge.

Owns: the form of the loop question. Does not own: other questions and inline parts (`schemas/questions/questions.py`),
or answering. Amounts are numbers in the unit of the field's name, or text with a unit (`"heat_w": "0.3 kW"`). What
they may be says the row of their quantity (`schemas/columns/figures.py`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, field_validator, model_validator

from schemas.columns.amounts import (
    AIR_FLOW,
    AIR_PRESSURE,
    FLOW,
    HEAT,
    MASS,
    PRESSURE,
    TEMPERATURE,
    THERMAL_RESISTANCE,
    VOLUME,
    AmountError,
    Dimension,
    parse_amount,
)
from schemas.columns.figures import PLAIN, Figure
from schemas.questions.choices import Section
from schemas.questions.questions import (
    MOST_PARTS,
    MOST_RUNS,
    Asked,
    Conditions,
    Materials,
    Met,
    Millimetres,
    PartId,
    PartRef,
    Word,
    as_millimetres,
)
from schemas.tables.radiators import ScrewThread
from schemas.tables.wetted_materials import WettedRole

MOST_FANS = 9
MOST_PUMP_POINTS = 50


def _amount(dimension: Dimension) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:
        if not isinstance(value, str):
            return value
        try:
            return parse_amount(value, dimension)
        except AmountError as error:
            raise ValueError(str(error)) from None

    return read


Watts = Annotated[float, PLAIN, Figure("heat-given-off"), BeforeValidator(_amount(HEAT))]
ElectricWatts = Annotated[float, PLAIN, Figure("electric-power"), BeforeValidator(_amount(HEAT))]
Flow = Annotated[float, PLAIN, Figure("stated-flow"), BeforeValidator(_amount(FLOW))]
CurveFlow = Annotated[float, PLAIN, Figure("curve-flow"), BeforeValidator(_amount(FLOW))]
Pressure = Annotated[float, PLAIN, Figure("stated-pressure"), BeforeValidator(_amount(PRESSURE))]
CurveHead = Annotated[float, PLAIN, Figure("curve-head"), BeforeValidator(_amount(PRESSURE))]
AirFlow = Annotated[float, PLAIN, Figure("fan-flow-max"), BeforeValidator(_amount(AIR_FLOW))]
AirPressure = Annotated[float, PLAIN, Figure("fan-pressure-max"), BeforeValidator(_amount(AIR_PRESSURE))]
AirTemperature = Annotated[float, PLAIN, Figure("air-temperature"), BeforeValidator(_amount(TEMPERATURE))]
Volume = Annotated[float, PLAIN, Figure("part-volume"), BeforeValidator(_amount(VOLUME))]
ThermalResistance = Annotated[float, PLAIN, Figure("thermal-resistance"), BeforeValidator(_amount(THERMAL_RESISTANCE))]
Mass = Annotated[float, PLAIN, Figure("part-weight"), BeforeValidator(_amount(MASS))]
Height = Annotated[float, PLAIN, Figure("height-above-surface"), BeforeValidator(as_millimetres)]
RunLength = Annotated[float, PLAIN, Figure("run-length"), BeforeValidator(as_millimetres)]
BendAngle = Annotated[float, PLAIN, Figure("bend-angle")]
AirShare = Annotated[float, PLAIN, Figure("air-share")]
OpenShare = Annotated[float, PLAIN, Figure("open-share")]
PumpSpeed = Annotated[float, PLAIN, Figure("pump-speed")]
FanSpeed = Annotated[float, PLAIN, Figure("fan-speed")]
GreatestFanSpeed = Annotated[float, PLAIN, Figure("fan-speed-max")]
SoundLevel = Annotated[float, PLAIN, Figure("sound-level")]
Packing = Annotated[float, PLAIN, Figure("packing-thickness")]
FreeDepth = Annotated[float, PLAIN, Figure("free-depth")]
FinDensity = Annotated[float, PLAIN, Figure("fin-density")]
CloggedTimes = Annotated[float, PLAIN, Figure("clogged-times")]
CoolantDeltaT = Annotated[float, PLAIN, Figure("coolant-to-air-delta-t")]
WettedArea = Annotated[float, PLAIN, Figure("wetted-area")]

PORT_FORM = r"^[a-z0-9]+(?:[-_][a-z0-9]+)*\.[a-z0-9]+(?:[-_][a-z0-9]+)*$"
PortName = Annotated[str, Field(pattern=PORT_FORM, max_length=80)]
PartName = Annotated[str, Field(pattern=r"^[a-z0-9]+(?:[-_][a-z0-9]+)*$", max_length=40)]


class MeasuredDrop(Asked):
    """What a part takes of water at one flow, from its spec sheet."""

    flow_l_min: Flow = Field(examples=[4.0])
    drop_kpa: Pressure = Field(examples=[7.5])


class Obstacle(Asked):
    """A filter or grille in the way of the air."""

    kind: Literal["filter", "grille"]
    open_share_percent: OpenShare = Field(description="Share of its face that is open.", examples=[45])


class Fans(Asked):
    """The fans of a radiator: an archetype, what the spec sheet says otherwise, and how they are set up."""

    is_: PartId = Field(alias="is", examples=["fan/balanced-120"])
    count: Annotated[int, Field(ge=0, le=MOST_FANS, strict=True)] | None = Field(
        default=None, description="Fans on one face; by default all that fit."
    )
    arrangement: Literal["push", "pull", "push-pull"] = "push"
    speed_rpm: FanSpeed | None = Field(default=None, description="Speed they turn at; by default their greatest.")
    speed_max_rpm: GreatestFanSpeed | None = None
    flow_max_m3_per_h: AirFlow | None = Field(default=None, description="Flow without resistance, at greatest speed.")
    pressure_max_pa: AirPressure | None = Field(default=None, description="Pressure at no flow, at greatest speed.")
    sound_level_dba: SoundLevel | None = Field(
        default=None, description="Sound level of one fan at greatest speed, as its spec sheet gives it."
    )
    thickness_mm: Millimetres | None = None
    hole_spacing_mm: Millimetres | None = None
    stopped: Annotated[int, Field(ge=0, le=MOST_FANS, strict=True)] = Field(
        default=0, description="How many of them stand still."
    )


class Screws(Asked):
    """The screws that hold the fans to a radiator."""

    length_mm: Millimetres = Field(description="Length below the head.", examples=[30])
    thread: ScrewThread | None = None
    washer_mm: Packing = Field(
        default=0.0, description="Washers, gaskets and guards between head and fan, or fan and radiator."
    )
    behind_plate_mm: FreeDepth | None = Field(
        default=None, description="Free depth from the outside of the threaded plate to the nearest tube or fin."
    )


class Place(Asked):
    """The place where a radiator or device goes."""

    depth_mm: Millimetres | None = Field(default=None, description="Room for radiator and fans together.")
    length_mm: Millimetres | None = None
    width_mm: Millimetres | None = None
    fan_size_mm: Millimetres | None = Field(default=None, description="Size of the fans the place is drilled for.")
    hole_spacing_mm: Millimetres | None = Field(default=None, description="Spacing of its holes along a fan's edge.")
    port_clearance_mm: Millimetres | None = Field(default=None, description="Free room in front of the ports.")


class Component(Asked):
    """What every device of a loop may say of itself."""

    is_: PartId | None = Field(default=None, alias="is")
    ports: dict[PartName, PartRef] = Field(default_factory=dict, max_length=12)
    materials: Materials = Field(
        default_factory=dict,
        description="Material of each wetted surface; null if there is none; what is not named is usual.",
        examples=[{"base-plate": "metal/copper", "plating": "metal/nickel-plate-electrolytic"}],
    )
    areas_cm2: dict[WettedRole, WettedArea] = Field(default_factory=dict)
    title: Word | None = None
    volume_ml: Volume | None = Field(default=None, description="Coolant it holds.")
    height_mm: Height | None = Field(
        default=None, description="How far its ports lie above the coolant's surface in the reservoir; below: negative."
    )
    place: Place | None = None

    @model_validator(mode="after")
    def _ports_or_archetype(self) -> Component:
        if self.is_ is None and not self.ports:
            raise ValueError("a device needs its ports, or an archetype that has them; give ports or is")
        return self


class Block(Component):
    """A block on something that gives off heat."""

    kind: Literal["block"]
    is_: PartId | None = Field(default=None, alias="is", examples=["block/cpu-micro-fin"])
    heat_w: Watts | None = Field(default=None, description="Heat that the cooled part gives off under load.")
    overclocked: bool = Field(default=False, strict=True, description="Whether the cooled part runs beyond stock.")
    thermal_resistance_k_per_w: ThermalResistance | None = Field(
        default=None, description="Cooled surface over entering coolant, per watt, at the flow of its drop."
    )
    drop: MeasuredDrop | None = None
    added_weight_g: Mass | None = Field(default=None, description="Weight it adds to a card, filled.")
    supported: bool | None = Field(default=None, strict=True, description="Whether the card is held at its free end.")


class PumpInLoop(Component):
    """A pump, with its top."""

    kind: Literal["pump"]
    is_: PartId | None = Field(default=None, alias="is", examples=["pump/medium-12-v-high-head"])
    speed_percent: PumpSpeed | None = Field(default=None, description="Share of its full speed; 0 is a dead pump.")
    head_max_kpa: Pressure | None = Field(default=None, description="Head at no flow and full speed.")
    flow_max_l_min: Flow | None = Field(default=None, description="Flow at no head and full speed.")
    curve: tuple[tuple[CurveFlow, CurveHead], ...] = Field(
        default=(), max_length=MOST_PUMP_POINTS, description="Its curve at full speed: flow [l/min] and head [kPa]."
    )
    power_w: ElectricWatts | None = Field(default=None, description="Electric power at full speed.")
    sits_in: PartName | None = Field(
        default=None, description="Reservoir it sits in or under, so that its inlet opens straight into it."
    )


class RadiatorInLoop(Component):
    """A radiator with its fans."""

    kind: Literal["radiator"]
    is_: PartId | None = Field(default=None, alias="is", examples=["radiator/240x30-low"])
    fins_per_inch: FinDensity | None = None
    thickness_mm: Millimetres | None = None
    fans: Fans | None = None
    obstacles: tuple[Obstacle, ...] = Field(default=(), max_length=4)
    air_c: AirTemperature | None = Field(default=None, description="Air where it enters; by default that of the room.")
    air_from: dict[PartName, AirShare] = Field(
        default_factory=dict,
        max_length=10,
        description="Share of its air that comes out of another radiator, by the name of that one.",
        examples=[{"front": 40}],
    )
    drop: MeasuredDrop | None = None
    screws: Screws | None = None


class ReservoirInLoop(Component):
    """A reservoir."""

    kind: Literal["reservoir"]
    is_: PartId | None = Field(default=None, alias="is", examples=["reservoir/tube-150"])
    air_ml: Volume | None = Field(default=None, description="Expansion space: the air gap above the usual mark.")


class Passive(Component):
    """A filter or sensor."""

    kind: Literal["filter", "sensor"]
    drop: MeasuredDrop | None = None
    clogged_times: CloggedTimes = Field(default=1.0, description="How many times its usual pressure it takes.")


class BranchingFitting(Component):
    """A splitter, manifold or valve that stands in the loop by itself; its ends are its ports a, b, c ..."""

    kind: Literal["fitting"]
    is_: PartId = Field(alias="is", examples=["fitting/tee-g-1-4-female"])
    closed: bool = Field(default=False, strict=True, description="Whether a valve is shut.")

    @model_validator(mode="after")
    def _ends_are_ports(self) -> BranchingFitting:
        if self.ports:
            raise ValueError("a fitting is named by is; its ends are its ports; leave ports out")
        return self


AnyComponent = Block | PumpInLoop | RadiatorInLoop | ReservoirInLoop | Passive | BranchingFitting
LoopComponent = Annotated[AnyComponent, Field(discriminator="kind")]


class Run(Asked):
    """A path of the coolant from one port to another: fittings, a tube, fittings; or fittings alone."""

    from_: PortName = Field(alias="from", examples=["pump.out"])
    to: PortName = Field(examples=["cpu.in"])
    tube: PartRef | None = None
    length_mm: RunLength | None = None
    bends_deg: BendAngle | None = Field(
        default=None, description="Angle by which the tube turns altogether; by default one right angle."
    )
    bend_radius_mm: Millimetres | None = Field(default=None, description="Radius of the middle line of its bends.")
    fittings_from: tuple[PartRef, ...] = Field(default=(), max_length=8, description="From the first port to the tube.")
    fittings_to: tuple[PartRef, ...] = Field(default=(), max_length=8, description="From the last port to the tube.")


class PortSpacing(Asked):
    """Distance between the middles of two neighbouring ports."""

    ports: tuple[PortName, PortName]
    distance_mm: Millimetres


class Target(Asked):
    """What the loop should reach."""

    coolant_to_air_delta_t_k: CoolantDeltaT | None = Field(
        default=None, description="How much warmer the coolant may be than the air, before the radiators."
    )
    sound_level_db: SoundLevel | None = Field(
        default=None, description="Level that all fans together should stay below, on the scale of the fans' figures."
    )


class LoopQuestion(Asked):
    """Can this loop be assembled, does it do its work, and what is missing?"""

    name: Word = "the loop"
    note: Annotated[str, Field(max_length=2000)] | None = None
    parts: dict[PartName, LoopComponent] = Field(min_length=1, max_length=MOST_PARTS)
    runs: tuple[Run, ...] = Field(default=(), max_length=MOST_RUNS)
    plugs: dict[PortName, PartRef] = Field(default_factory=dict, max_length=MOST_PARTS)
    spacings: tuple[PortSpacing, ...] = Field(default=(), max_length=MOST_RUNS)
    fluid: PartRef | None = Field(default=None, examples=["fluid/propylene-glycol-inhibited-premix"])
    air_c: AirTemperature | None = Field(default=None, description="Air of the room; by default that of a warm room.")
    target: Target = Field(default_factory=Target)
    conditions: Conditions = Field(default_factory=dict)
    met: Met = ()
    sections: tuple[Section, ...] | None = Field(
        default=None,
        min_length=1,
        max_length=len(Section),
        description=(
            "What to judge; by default joints and chemistry, and flow, heat, fill and space as far as the question "
            "gives figures for them."
        ),
    )
    detail: Literal["faults", "all"] = Field(
        default="faults", description="Whether findings without fault are reported in full, too."
    )

    @field_validator("runs")
    @classmethod
    def _no_run_to_itself(cls, runs: tuple[Run, ...]) -> tuple[Run, ...]:
        for index, run in enumerate(runs):
            if run.from_ == run.to:
                raise ValueError(f"run {index} leads from {run.from_} to itself")
        return runs
