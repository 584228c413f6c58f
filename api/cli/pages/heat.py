"""The section of a loop page on heat: temperatures, radiators, sound, options, comparisons.

Owns: the order and look of its parts. Does not own: reasons (`reasons.py`) or amounts (`amounts.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages.amounts import temperature, with_range
from api.cli.pages.layout import QUIET, STRONG, bullets, columns, section, sign
from api.cli.pages.names import Names
from api.cli.pages.section_common import assumed, found, lead, left_out, more, subsection
from schemas.answers.answers import Finding
from schemas.answers.heat import CoolingOption, HeatSection, RadiatorHeat, UncertaintyCause
from schemas.verdict import Verdict

MOST_OPTIONS_IN_BRIEF = 5
_DASH = Text("-", style=QUIET)


def heat_section(
    reported: HeatSection, findings: Sequence[Finding], names: Names, *, brief: bool
) -> Iterator[RenderableType]:
    """Yield the section: how warm it gets, what limits it, what would help.

    Args:
        reported: what the loop answer reports about its heat.
        findings: those of this section that are not well.
        names: words for ids.
        brief: whether the page has many sections, so that only the main figures are shown.
    """
    yield section("Heat", lead(reported.verdict, _summary(reported)))
    yield from found(findings, names)
    if reported.notes:
        yield subsection("Beyond its range", bullets((_DASH, Text(note)) for note in reported.notes))
    if reported.points and not brief:
        yield subsection("Coolant around the loop", _points(reported))
    if reported.sources:
        yield subsection("Cooled parts", _sources(reported))
    if reported.radiators:
        yield subsection("Radiators", bullets((_DASH, _radiator(one)) for one in reported.radiators))
    if reported.sound:
        yield subsection("Sound", Text(f"    {reported.sound}"))
    if reported.uncertainty_causes and not brief:
        yield subsection(
            "What makes it uncertain", bullets((_DASH, _cause(one)) for one in reported.uncertainty_causes)
        )
    yield from _options(reported, MOST_OPTIONS_IN_BRIEF if brief else len(reported.options))
    if reported.rule_of_thumb:
        mark = sign(Verdict.COMPATIBLE if reported.rule_of_thumb.holds else Verdict.CONDITIONAL)
        yield subsection("Rule of thumb", bullets([(mark, Text(reported.rule_of_thumb.sentence))]))
    if reported.comparisons:
        words = (Text(one.sentence) for one in reported.comparisons)
        yield subsection("How much it matters", bullets((_DASH, one) for one in words))
    if reported.failure_cases:
        words = (Text(one.sentence) for one in reported.failure_cases)
        yield subsection("If something fails", bullets((_DASH, one) for one in words))
    if brief:
        yield more("heat", "coolant at every place, what makes it uncertain, further options, what was assumed")
    else:
        yield from assumed(reported.assumed)
        yield from left_out(reported.left_out)


def _summary(reported: HeatSection) -> str:
    lead_words = f"; {reported.heat_w:.0f} W into the coolant ({reported.pumps_w:.0f} W of it from pumps)"
    if reported.coolant_to_air_delta_t_k is None or reported.coolant_hottest_c is None:
        return lead_words
    over = with_range(reported.coolant_to_air_delta_t_k, "K", 0)
    hottest = temperature(reported.coolant_hottest_c)
    return (
        f"{lead_words}; coolant-to-air delta T {over} with air at {reported.air_c:.0f} degC; coolant {hottest} at its "
        f"hottest"
    )


def _points(reported: HeatSection) -> RenderableType:
    words = "  ".join(f"{one.place} {one.temperature_c:.1f}" for one in reported.points)
    return bullets([(Text(), Text(f"{words}  [degC]"))])


def _sources(reported: HeatSection) -> Table:
    table = columns("", "part", "heat", "coolant in", "out", "surface of the part")
    for one in reported.sources:
        surface = with_range(one.surface_c, "degC", 0) if one.surface_c else "not known"
        coolant = f"{one.coolant_in_c:.1f} degC", f"{one.coolant_out_c:.1f} degC"
        table.add_row("  ", Text(one.name, style=STRONG), f"{one.heat_w:.0f} W", *coolant, surface)
    return table


def _radiator(one: RadiatorHeat) -> RenderableType:
    fans = f"{one.fans}, {one.arrangement}, {one.speed_rpm:.0f} rpm" if one.speed_rpm is not None else one.fans
    lines: list[RenderableType] = [
        Text.assemble((one.name, STRONG), f"  {one.title}; {fans}"),
        Text(
            f"{one.heat_w:.0f} W ({one.share_percent:.0f} %), {with_range(one.conductance_w_per_k, 'W/K')}; air "
            f"{one.air_in_c:.1f} to {one.air_out_c:.1f} degC, {one.air_flow_m3_per_h:.0f} m3/h at "
            f"{one.pressure_pa:.1f} Pa"
        ),
    ]
    if one.resistance_shares is not None:
        shares = one.resistance_shares
        lines.append(
            Text(
                f"Limited by {one.limited_by}: air {shares.air_percent:.0f} %, fins {shares.core_percent:.0f} %, "
                f"coolant {shares.coolant_percent:.0f} % of the thermal resistance",
                style=QUIET,
            )
        )
    lines += [Text(note, style=QUIET) for note in one.notes]
    return Group(*lines)


def _cause(one: UncertaintyCause) -> Text:
    return Text(f"{one.cause.replace('-', ' ')}: {one.lowers_k:.1f} K cooler to {one.raises_k:.1f} K warmer")


def _options(reported: HeatSection, most: int) -> Iterator[RenderableType]:
    if not reported.options:
        return
    short = ""
    if reported.shortfall_k is not None and reported.shortfall_w is not None and reported.shortfall_k > 0:
        short = (
            f": {reported.shortfall_k:.0f} K or {reported.shortfall_w:.0f} W short of the target of "
            f"{reported.target_k:.0f} K"
        )
    options = bullets((sign(_verdict(option)), Text(option.sentence)) for option in reported.options[:most])
    yield subsection(f"Options{short}", options)


def _verdict(option: CoolingOption) -> Verdict:
    return Verdict.COMPATIBLE if option.reaches else Verdict.CONDITIONAL
