"""The section of a loop page on filling and upkeep.

Owns: the order and look of its parts. Does not own: reasons (`reasons.py`) or amounts (`amounts.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from operator import attrgetter
from types import MappingProxyType

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages.amounts import or_unknown, volume
from api.cli.pages.layout import QUIET, STRONG, bullets, columns, section
from api.cli.pages.names import Names
from api.cli.pages.section_common import found, lead, more, subsection
from schemas.answers.answers import FindingTold
from schemas.answers.fill import AdditiveTold, FillTold, PlaceTold, UpkeepTold

_KNOWN = MappingProxyType(
    {
        "stated": "as you gave it",
        "row": "typical of its class",
        "computed": "from its dimensions",
        "assumed": "from an assumed length",
        "unknown": "left out of the sum",
    }
)
_DASH = Text("-", style=QUIET)


def fill_section(
    told: FillTold, findings: Sequence[FindingTold], names: Names, *, brief: bool
) -> Iterator[RenderableType]:
    """Yield the section: how much, how to fill, test and keep it.

    Args:
        told: what the loop answer tells of filling.
        findings: those of this section that are not well.
        names: words for ids.
        brief: whether the page has many sections, so that only the main figures are told.
    """
    low, high = volume(told.total_ml.low), volume(told.total_ml.high)
    yield section("Filling and upkeep", lead(told.verdict, f"; {volume(told.total_ml.likely)} ({low} to {high})"))
    yield from found(findings, names)
    if not brief:
        yield subsection("What it holds", _volumes(told))
    items = [*_mix(told), *map(_additive, told.additives), *_expansion(told), *_leak_test(told)]
    if items:
        yield subsection("Amounts", bullets((_DASH, one) for one in items))
    points = [*_points("Fill", told.fill_points), *_points("Drain", told.drain_points)]
    if points:
        yield subsection("Where", bullets((_DASH, one) for one in points))
    if brief:
        yield more("fill", "what each part holds, filling and testing step by step, upkeep")
        return
    if told.steps:
        yield subsection("Step by step", *_steps(told))
    if told.upkeep:
        yield subsection("Upkeep", bullets((_DASH, _upkeep(one)) for one in told.upkeep))


def _volumes(told: FillTold) -> Table:
    table = columns("", "part", "", "")
    for one in told.volumes:
        amount = volume(one.volume_ml.likely) if one.volume_ml else "not known"
        table.add_row("  ", one.place, Text(amount, justify="right"), Text(_KNOWN[one.how_known], style=QUIET))
    return table


def _mix(told: FillTold) -> Iterator[Text]:
    if told.mix is None:
        return
    mix = told.mix
    if mix.ready_to_use:
        poured = f"{volume(mix.premix_ml or mix.water_ml)} of {mix.title}, as bought"
    else:
        poured = f"{volume(mix.concentrate_ml)} of {mix.title} and {volume(mix.water_ml)} of water"
    share = f"; {mix.glycol_percent_volume:.0f} % glycol by volume" if mix.glycol_percent_volume else ""
    frost = f"; freezes at {mix.freezing_point_c:.0f} degC" if mix.freezing_point_c is not None else ""
    yield Text(f"Pour in {poured}{share}{frost}")
    yield Text(f"Have {volume(mix.buy_ml)} at hand: the loop at its largest and {mix.reserve_percent:.0f} % in reserve")


def _additive(one: AdditiveTold) -> Text:
    if one.amount_low_mg is None or one.amount_high_mg is None:
        return Text(f"{one.title}: no dose is known; follow its label")
    return Text(f"{one.title}: {one.amount_low_mg:.0f} to {one.amount_high_mg:.0f} mg for this loop")


def _expansion(told: FillTold) -> Iterator[Text]:
    if told.expansion is not None:
        one = told.expansion
        room = or_unknown(one.room_ml, volume)
        warm = f"From {one.from_c:.0f} to {one.to_c:.0f} degC ({one.to_known})"
        yield Text(
            f"{warm} it grows by {one.growth_ml:.0f} ml ({one.growth_percent:.1f} %); air above the mark: {room}"
        )


def _leak_test(told: FillTold) -> Iterator[Text]:
    if told.leak_test is not None:
        one = told.leak_test
        yield Text(
            f"A test with air: no more than {one.pressure_bar:.2g} bar, for the sake of {one.weakest}; one kelvin "
            f"moves the needle by {1000 * one.bar_per_kelvin:.1f} mbar without any leak"
        )


def _points(word: str, points: Sequence[PlaceTold]) -> Iterator[Text]:
    for one in points:
        yield Text.assemble(f"{word} at ", (one.place, STRONG), f": {one.reason}")


def _steps(told: FillTold) -> Iterator[RenderableType]:
    for stage, steps in groupby(told.steps, key=attrgetter("stage")):
        yield Text(f"  {stage.replace('-', ' ')}", style=STRONG)
        numbered = enumerate(steps, start=1)
        yield bullets(
            (Text(f"{number}."), Text.assemble((step.title, STRONG), f": {step.text}")) for number, step in numbered
        )


def _upkeep(one: UpkeepTold) -> RenderableType:
    times = []
    if one.first_after_days is not None:
        times.append(f"first after {one.first_after_days:g} days")
    if one.every_months is not None:
        times.append(f"every {one.every_months:g} months")
    where = f" ({', '.join(one.places)})" if one.places else ""
    when = f", {', then '.join(times)}" if times else ""
    return Group(Text.assemble((one.title, STRONG), f"{where}{when}: {one.look_for}"), Text(one.reason, style=QUIET))
