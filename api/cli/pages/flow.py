"""The section of a loop page on flow: pumps, runs, pressure, splits, and what happens if something fails.

Owns: the order and look of its parts. Does not own: reasons (`reasons.py`) or amounts (`amounts.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages.amounts import flow, with_range
from api.cli.pages.layout import QUIET, STRONG, bullets, columns, section
from api.cli.pages.names import Names
from api.cli.pages.section_common import assumed, found, lead, left_out, more, subsection
from schemas.answers.answers import Finding
from schemas.answers.flow import FlowSection, FlowSplit, PumpFlow


def flow_section(
    reported: FlowSection, findings: Sequence[Finding], names: Names, *, brief: bool
) -> Iterator[RenderableType]:
    """Yield the section: what the pumps move, where it goes, and what would change it.

    Args:
        reported: what the loop answer reports about its flow.
        findings: those of this section that are not well.
        names: words for ids.
        brief: whether the page has many sections, so that only the main figures are shown.
    """
    yield section("Flow", lead(reported.verdict, _coolant(reported)))
    yield from found(findings, names)
    if reported.pumps:
        yield subsection("Pumps", bullets((Text("-", style=QUIET), _pump(pump)) for pump in reported.pumps))
    if reported.runs and not brief:
        yield subsection("Pressure drop by part", _runs(reported))
    if reported.splits:
        yield subsection("Flow split", bullets((Text("-", style=QUIET), _split(split)) for split in reported.splits))
    if reported.worst_pressure and not brief:
        place, bar = reported.worst_pressure.place, reported.worst_pressure.bar
        yield subsection("Greatest pressure", Text(f"    {bar:.2f} bar gauge, at {place}"))
    if reported.failure_cases and not brief:
        failure_cases = (Text(one.sentence) for one in reported.failure_cases)
        yield subsection("If something fails", bullets((Text("-", style=QUIET), words) for words in failure_cases))
    if brief:
        yield more("flow", "every run and part, pressures, failures")
    else:
        yield from assumed(reported.assumed)
        yield from left_out(reported.left_out)


def _coolant(reported: FlowSection) -> str:
    if reported.coolant is None:
        return "; nothing is computed without knowing what flows"
    one = reported.coolant
    return f"; {one.title} at {one.temperature_c:.0f} degC, {one.dynamic_viscosity_mpa_s:.2f} mPa s"


def _pump(pump: PumpFlow) -> Text:
    head = with_range(pump.head_kpa, "kPa")
    words = f"  {pump.title}, {pump.speed_percent:.0f} %: {flow(pump.flow_l_min.likely)}, "
    rest = f"{pump.flow_l_min.low:.1f} to {pump.flow_l_min.high:.1f} l/min; head {head}"
    return Text.assemble((pump.name, STRONG), words, rest)


def _runs(reported: FlowSection) -> Table:
    table = columns("", "run or part", "flow", "drop", "speed", "")
    for run in reported.runs:
        speed = f"{run.velocity_m_per_s:.2f} m/s" if run.velocity_m_per_s is not None else ""
        reynolds = f"{run.regime}, Re {run.reynolds:.0f}" if run.reynolds is not None else ""
        table.add_row("  ", run.name, *_flow_and_drop(run.flow_l_min.likely, run.drop_kpa.likely), speed, reynolds)
    for part in reported.parts:
        if part.kind != "pump":
            table.add_row("  ", part.name, *_flow_and_drop(part.flow_l_min.likely, part.drop_kpa.likely), "", "")
    return table


def _flow_and_drop(l_min: float, kpa: float) -> tuple[str, str]:
    return f"{l_min:.1f} l/min", f"{kpa:.1f} kPa"


def _split(split: FlowSplit) -> Text:
    shares = "; ".join(f"{one.to} {one.share_percent:.0f} % ({one.flow_l_min:.1f} l/min)" for one in split.branches)
    return Text.assemble((split.at, STRONG), f"  {shares}")
