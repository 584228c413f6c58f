"""The section of a loop page on flow: pumps, runs, pressure, splits, and what happens if something fails.

Owns: the order and look of its parts. Does not own: reasons (`reasons.py`) or amounts (`amounts.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages.amounts import band, flow
from api.cli.pages.layout import QUIET, STRONG, bullets, columns, section
from api.cli.pages.names import Names
from api.cli.pages.section_common import assumed, found, lead, left_out, more, subsection
from schemas.answers.answers import FindingTold
from schemas.answers.flow import FlowTold, PumpFlowTold, SplitTold


def flow_section(
    told: FlowTold, findings: Sequence[FindingTold], names: Names, *, brief: bool
) -> Iterator[RenderableType]:
    """Yield the section: what the pumps move, where it goes, and what would change it.

    Args:
        told: what the loop answer tells of its flow.
        findings: those of this section that are not well.
        names: words for ids.
        brief: whether the page has many sections, so that only the main figures are told.
    """
    yield section("Flow", lead(told.verdict, _coolant(told)))
    yield from found(findings, names)
    if told.pumps:
        yield subsection("Pumps", bullets((Text("-", style=QUIET), _pump(pump)) for pump in told.pumps))
    if told.runs and not brief:
        yield subsection("Where it goes", _runs(told))
    if told.splits:
        yield subsection("Where it divides", bullets((Text("-", style=QUIET), _split(split)) for split in told.splits))
    if told.worst_pressure and not brief:
        place, bar = told.worst_pressure.place, told.worst_pressure.bar
        yield subsection("Greatest pressure", Text(f"    {bar:.2f} bar over the air, at {place}"))
    if told.what_ifs and not brief:
        what_ifs = (Text(one.sentence) for one in told.what_ifs)
        yield subsection("If something fails", bullets((Text("-", style=QUIET), words) for words in what_ifs))
    if brief:
        yield more("flow", "every run and part, pressures, failures")
    else:
        yield from assumed(told.assumed)
        yield from left_out(told.left_out)


def _coolant(told: FlowTold) -> str:
    if told.coolant is None:
        return "; nothing is computed without knowing what flows"
    one = told.coolant
    return f"; {one.title} at {one.temperature_c:.0f} degC, {one.dynamic_viscosity_mpa_s:.2f} mPa s"


def _pump(pump: PumpFlowTold) -> Text:
    head = band(pump.head_kpa, "kPa")
    words = f"  {pump.title}, {pump.speed_percent:.0f} %: {flow(pump.flow_l_min.likely)}, "
    rest = f"{pump.flow_l_min.low:.1f} to {pump.flow_l_min.high:.1f} l/min; head {head}"
    return Text.assemble((pump.name, STRONG), words, rest)


def _runs(told: FlowTold) -> Table:
    table = columns("", "run or part", "flow", "drop", "speed", "")
    for run in told.runs:
        speed = f"{run.velocity_m_per_s:.2f} m/s" if run.velocity_m_per_s is not None else ""
        reynolds = f"{run.regime}, Re {run.reynolds:.0f}" if run.reynolds is not None else ""
        table.add_row("  ", run.name, *_flow_and_drop(run.flow_l_min.likely, run.drop_kpa.likely), speed, reynolds)
    for part in told.parts:
        if part.kind != "pump":
            table.add_row("  ", part.name, *_flow_and_drop(part.flow_l_min.likely, part.drop_kpa.likely), "", "")
    return table


def _flow_and_drop(l_min: float, kpa: float) -> tuple[str, str]:
    return f"{l_min:.1f} l/min", f"{kpa:.1f} kPa"


def _split(split: SplitTold) -> Text:
    shares = "; ".join(f"{one.to} {one.share_percent:.0f} % ({one.flow_l_min:.1f} l/min)" for one in split.branches)
    return Text.assemble((split.at, STRONG), f"  {shares}")
