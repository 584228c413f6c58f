"""The section of a loop page on heat: temperatures, radiators, sound, ways out, comparisons.

Owns: the order and look of its parts. Does not own: reasons (`reasons.py`) or amounts (`amounts.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages.amounts import band, temperature
from api.cli.pages.layout import QUIET, STRONG, bullets, columns, section, sign
from api.cli.pages.names import Names
from api.cli.pages.section_common import assumed, found, lead, left_out, more, subsection
from schemas.answers.answers import FindingTold
from schemas.answers.heat import BandCauseTold, HeatTold, RadiatorHeatTold, WayOutTold
from schemas.verdict import Verdict

MOST_WAYS_IN_BRIEF = 5
_DASH = Text("-", style=QUIET)


def heat_section(
    told: HeatTold, findings: Sequence[FindingTold], names: Names, *, brief: bool
) -> Iterator[RenderableType]:
    """Yield the section: how warm it gets, what limits it, what would help.

    Args:
        told: what the loop answer tells of its heat.
        findings: those of this section that are not well.
        names: words for ids.
        brief: whether the page has many sections, so that only the main figures are told.
    """
    yield section("Heat", lead(told.verdict, _summary(told)))
    yield from found(findings, names)
    if told.notes:
        yield subsection("Beyond its range", bullets((_DASH, Text(note)) for note in told.notes))
    if told.points and not brief:
        yield subsection("Coolant around the loop", _points(told))
    if told.sources:
        yield subsection("Cooled parts", _sources(told))
    if told.radiators:
        yield subsection("Radiators", bullets((_DASH, _radiator(one)) for one in told.radiators))
    if told.sound:
        yield subsection("Sound", Text(f"    {told.sound}"))
    if told.band_causes and not brief:
        yield subsection("What makes it uncertain", bullets((_DASH, _cause(one)) for one in told.band_causes))
    yield from _ways_out(told, MOST_WAYS_IN_BRIEF if brief else len(told.ways_out))
    if told.trade_rule:
        mark = sign(Verdict.COMPATIBLE if told.trade_rule.holds else Verdict.CONDITIONAL)
        yield subsection("The trade's rule of thumb", bullets([(mark, Text(told.trade_rule.sentence))]))
    if told.comparisons:
        words = (Text(one.sentence) for one in told.comparisons)
        yield subsection("How much it matters", bullets((_DASH, one) for one in words))
    if told.what_ifs:
        words = (Text(one.sentence) for one in told.what_ifs)
        yield subsection("If something fails", bullets((_DASH, one) for one in words))
    if brief:
        yield more("heat", "coolant at every place, what makes it uncertain, further ways out, what was assumed")
    else:
        yield from assumed(told.assumed)
        yield from left_out(told.left_out)


def _summary(told: HeatTold) -> str:
    lead_words = f"; {told.heat_w:.0f} W into the coolant ({told.pumps_w:.0f} W of it from pumps)"
    if told.coolant_over_air_k is None or told.coolant_hottest_c is None:
        return lead_words
    over = band(told.coolant_over_air_k, "K", 0)
    hottest = temperature(told.coolant_hottest_c)
    return f"{lead_words}; coolant {over} over the air of {told.air_c:.0f} degC, {hottest} at its hottest"


def _points(told: HeatTold) -> RenderableType:
    words = "  ".join(f"{one.place} {one.temperature_c:.1f}" for one in told.points)
    return bullets([(Text(), Text(f"{words}  [degC]"))])


def _sources(told: HeatTold) -> Table:
    table = columns("", "part", "heat", "coolant in", "out", "surface of the part")
    for one in told.sources:
        surface = band(one.surface_c, "degC", 0) if one.surface_c else "not known"
        coolant = f"{one.coolant_in_c:.1f} degC", f"{one.coolant_out_c:.1f} degC"
        table.add_row("  ", Text(one.name, style=STRONG), f"{one.heat_w:.0f} W", *coolant, surface)
    return table


def _radiator(one: RadiatorHeatTold) -> RenderableType:
    fans = f"{one.fans}, {one.arrangement}, {one.speed_rpm:.0f} rpm" if one.speed_rpm is not None else one.fans
    lines: list[RenderableType] = [
        Text.assemble((one.name, STRONG), f"  {one.title}; {fans}"),
        Text(
            f"{one.heat_w:.0f} W ({one.share_percent:.0f} %), {band(one.conductance_w_per_k, 'W/K')}; air "
            f"{one.air_in_c:.1f} to {one.air_out_c:.1f} degC, {one.air_flow_m3_per_h:.0f} m3/h at "
            f"{one.pressure_pa:.1f} Pa"
        ),
    ]
    if one.hindrances is not None:
        shares = one.hindrances
        lines.append(
            Text(
                f"Limited by {one.limited_by}: air {shares.air_percent:.0f} %, fins {shares.core_percent:.0f} %, "
                f"coolant {shares.coolant_percent:.0f} % of what hinders the heat",
                style=QUIET,
            )
        )
    lines += [Text(note, style=QUIET) for note in one.notes]
    return Group(*lines)


def _cause(one: BandCauseTold) -> Text:
    return Text(f"{one.cause.replace('-', ' ')}: {one.lowers_k:.1f} K cooler to {one.raises_k:.1f} K warmer")


def _ways_out(told: HeatTold, most: int) -> Iterator[RenderableType]:
    if not told.ways_out:
        return
    short = ""
    if told.shortfall_k is not None and told.shortfall_w is not None and told.shortfall_k > 0:
        short = f": {told.shortfall_k:.0f} K or {told.shortfall_w:.0f} W short of the wanted {told.wanted_k:.0f} K"
    ways = bullets((sign(_verdict(way)), Text(way.sentence)) for way in told.ways_out[:most])
    yield subsection(f"Ways out{short}", ways)


def _verdict(way: WayOutTold) -> Verdict:
    return Verdict.COMPATIBLE if way.reaches else Verdict.CONDITIONAL
