"""The section of a loop page on filling and maintenance.

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
from schemas.answers.answers import Finding
from schemas.answers.fill import AdditiveDose, FillSection, MaintenanceTask, ServicePoint

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
    reported: FillSection, findings: Sequence[Finding], names: Names, *, brief: bool
) -> Iterator[RenderableType]:
    """Yield the section: how much, how to fill, test and keep it.

    Args:
        reported: what the loop answer reports about filling.
        findings: those of this section that are not well.
        names: words for ids.
        brief: whether the page has many sections, so that only the main figures are shown.
    """
    low, high = volume(reported.total_ml.low), volume(reported.total_ml.high)
    yield section(
        "Filling and maintenance", lead(reported.verdict, f"; {volume(reported.total_ml.likely)} ({low} to {high})")
    )
    yield from found(findings, names)
    if not brief:
        yield subsection("What it holds", _volumes(reported))
    items = [*_mix(reported), *map(_additive, reported.additives), *_expansion(reported), *_leak_test(reported)]
    if items:
        yield subsection("Amounts", bullets((_DASH, one) for one in items))
    points = [*_points("Fill", reported.fill_ports), *_points("Drain", reported.drain_points)]
    if points:
        yield subsection("Where", bullets((_DASH, one) for one in points))
    if brief:
        yield more("fill", "what each part holds, filling and testing step by step, maintenance")
        return
    if reported.steps:
        yield subsection("Step by step", *_steps(reported))
    if reported.maintenance:
        yield subsection("Maintenance", bullets((_DASH, _maintenance(one)) for one in reported.maintenance))


def _volumes(reported: FillSection) -> Table:
    table = columns("", "part", "", "")
    for one in reported.volumes:
        amount = volume(one.volume_ml.likely) if one.volume_ml else "not known"
        table.add_row("  ", one.place, Text(amount, justify="right"), Text(_KNOWN[one.how_known], style=QUIET))
    return table


def _mix(reported: FillSection) -> Iterator[Text]:
    if reported.mix is None:
        return
    mix = reported.mix
    if mix.ready_to_use:
        poured = f"{volume(mix.premix_ml or mix.water_ml)} of {mix.title}, as bought"
    else:
        poured = f"{volume(mix.concentrate_ml)} of {mix.title} and {volume(mix.water_ml)} of water"
    share = f"; {mix.glycol_percent_volume:.0f} % glycol by volume" if mix.glycol_percent_volume else ""
    frost = f"; freezes at {mix.freezing_point_c:.0f} degC" if mix.freezing_point_c is not None else ""
    yield Text(f"Fill volume: {poured}{share}{frost}")
    yield Text(f"Buy at least {volume(mix.buy_ml)}: the loop at its largest and {mix.reserve_percent:.0f} % in reserve")


def _additive(one: AdditiveDose) -> Text:
    if one.amount_low_mg is None or one.amount_high_mg is None:
        return Text(f"{one.title}: no dose is known; follow its label")
    return Text(f"{one.title}: {one.amount_low_mg:.0f} to {one.amount_high_mg:.0f} mg for this loop")


def _expansion(reported: FillSection) -> Iterator[Text]:
    if reported.expansion is not None:
        one = reported.expansion
        space = or_unknown(one.expansion_space_ml, volume)
        warm = f"From {one.from_c:.0f} to {one.to_c:.0f} degC ({one.to_known})"
        yield Text(
            f"{warm} it expands by {one.expansion_ml:.0f} ml ({one.expansion_percent:.1f} %); expansion space: {space}"
        )


def _leak_test(reported: FillSection) -> Iterator[Text]:
    if reported.leak_test is not None:
        one = reported.leak_test
        yield Text(
            f"Pressure test with air: no more than {one.pressure_bar:.2g} bar, for the sake of {one.weakest}; one "
            f"kelvin "
            f"moves the needle by {1000 * one.bar_per_kelvin:.1f} mbar without any leak"
        )


def _points(word: str, points: Sequence[ServicePoint]) -> Iterator[Text]:
    for one in points:
        yield Text.assemble(f"{word} at ", (one.place, STRONG), f": {one.reason}")


def _steps(reported: FillSection) -> Iterator[RenderableType]:
    for stage, steps in groupby(reported.steps, key=attrgetter("stage")):
        yield Text(f"  {stage.replace('-', ' ')}", style=STRONG)
        numbered = enumerate(steps, start=1)
        yield bullets(
            (Text(f"{number}."), Text.assemble((step.title, STRONG), f": {step.text}")) for number, step in numbered
        )


def _maintenance(one: MaintenanceTask) -> RenderableType:
    times = []
    if one.first_after_days is not None:
        times.append(f"first after {one.first_after_days:g} days")
    if one.every_months is not None:
        times.append(f"every {one.every_months:g} months")
    where = f" ({', '.join(one.places)})" if one.places else ""
    when = f", {', then '.join(times)}" if times else ""
    return Group(Text.assemble((one.title, STRONG), f"{where}{when}: {one.look_for}"), Text(one.reason, style=QUIET))
