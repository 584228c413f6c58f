"""The page for a whole loop.

Owns: the order of its sections, the table of joints, the list of what is needed. Does not own: reasons (`reasons.py`)
or the section on chemistry (`chemistry.py`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import groupby
from operator import attrgetter
from types import MappingProxyType

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages import reasons
from api.cli.pages.chemistry import chemistry_section
from api.cli.pages.fill import fill_section
from api.cli.pages.flow import flow_section
from api.cli.pages.heat import heat_section
from api.cli.pages.layout import QUIET, STRONG, bullets, colour, columns, foot, headline, section, sign
from api.cli.pages.names import Names
from api.cli.pages.section_common import more
from api.cli.pages.space import space_section
from schemas.answers.answers import Finding
from schemas.answers.loop import LoopAnswer, LoopJoint, PartsListLine
from schemas.questions.choices import Section
from schemas.verdict import Verdict

MOST_SECTIONS_IN_FULL = 2
PLACES_NAMED = 2  # of one reason that many joints share
_SECTION_WORDS = MappingProxyType(
    {
        Section.JOINTS: "can it be assembled",
        Section.CHEMISTRY: "are the materials compatible with each other and the coolant",
        Section.FLOW: "does the pump move enough",
        Section.HEAT: "do the radiators reject the heat",
        Section.FILL: "can it be filled and kept",
        Section.SPACE: "does it fit its place, and is it screwed on safely",
    }
)
_WIDEST_VERDICT = max(len(verdict) for verdict in Verdict)


def loop_page(answer: LoopAnswer, names: Names) -> Iterator[RenderableType]:
    """Yield the page: verdict, what is wrong, what is to do, each section, what is needed, cautions, sources."""
    yield headline(answer.verdict, answer.summary)
    found = answer.findings
    wrong = (*reasons.deciding(found, answer.verdict), *reasons.lesser(found, answer.verdict))
    errors = tuple(one for one in wrong if _is_told_first(one, answer))
    others = tuple(one for one in wrong if not _is_told_first(one, answer))
    of = {section_: tuple(one for one in others if one.section == section_) for section_ in Section}
    mechanical = of[Section.JOINTS] + (() if answer.chemistry else of[Section.CHEMISTRY])
    brief = len(answer.sections) > MOST_SECTIONS_IN_FULL
    if len(answer.sections) > 1:
        yield section("In short", _sections(answer))
    yield reasons.strength(answer)
    heading = partial(_place, runs=_runs_by_place(answer.joints))
    if errors:
        yield section("What is wrong", reasons.by_place(_each_once(errors), names, heading))
    yield from reasons.left_to_do(answer.requirements)
    if mechanical:
        yield section("What is open", reasons.by_place(_each_once(mechanical), names, heading))
    if answer.flow:
        yield from flow_section(answer.flow, of[Section.FLOW], names, brief=brief)
    if answer.heat:
        yield from heat_section(answer.heat, of[Section.HEAT], names, brief=brief)
    if answer.space:
        yield from space_section(answer.space, of[Section.SPACE], names)
    if answer.chemistry:
        yield from chemistry_section(answer.chemistry, of[Section.CHEMISTRY], names)
    if answer.fill:
        yield from fill_section(answer.fill, of[Section.FILL], names, brief=brief)
    if answer.joints and brief:
        yield section("Joints", _joints_in_brief(answer.joints))
    elif answer.joints:
        yield section("Joints", *_joints(answer.joints))
    if answer.parts_list:
        yield section("Parts list", _parts_list(answer.parts_list))
    yield from reasons.settled(answer.requirements)
    noted = reasons.notes(found)
    yield from reasons.noted(noted, names, with_places=True)
    yield from reasons.in_vain(answer.unused)
    circumstances = reasons.elsewhere(found, answer.verdict)
    if circumstances:
        yield section("Under other circumstances", reasons.in_circumstances(circumstances, names))
    yield from reasons.cautions_and_sources(answer, (*wrong, *noted))
    yield foot(answer.kb_version, "; every number with its row and source: --json")


def _is_told_first(finding: Finding, answer: LoopAnswer) -> bool:
    """Return whether an error stands before all sections; those of substances stand among these."""
    in_chemistry = finding.section == Section.CHEMISTRY and answer.chemistry is not None
    return finding.verdict is Verdict.INCOMPATIBLE and not in_chemistry


def _each_once(findings: Sequence[Finding]) -> list[Finding]:
    """Return findings with the same words reported once, under the first places they speak of."""
    alike: dict[tuple[str, Verdict, str], list[Finding]] = {}
    for one in findings:
        alike.setdefault((one.code, one.verdict, one.sentence), []).append(one)
    return [replace(group[0], place=_places(one.place for one in group)) for group in alike.values()]


def _places(places: Iterable[str]) -> str:
    several = list(dict.fromkeys(places))
    more = f"; and {len(several) - PLACES_NAMED} more" if len(several) > PLACES_NAMED else ""
    return "; ".join(several[:PLACES_NAMED]) + more


def _sections(answer: LoopAnswer) -> Table:
    return bullets(
        (sign(one.verdict), Text(f"{_SECTION_WORDS[one.section]}: {one.verdict.value}")) for one in answer.sections
    )


def _place(place: str, runs: Mapping[str, str]) -> Text:
    return Text.assemble((place, STRONG), (f"  {runs[place]}" if place in runs else "", QUIET))


def _runs_by_place(joints: Sequence[LoopJoint]) -> dict[str, str]:
    runs: dict[str, dict[str, None]] = {}
    for joint in joints:
        runs.setdefault(joint.place, {})[joint.run] = None
    return {place: f"({'; '.join(names)})" for place, names in runs.items()}


def _joints(joints: Sequence[LoopJoint]) -> Iterator[RenderableType]:
    """Yield a small table for each run."""
    for run, of_run in groupby(joints, key=attrgetter("run")):
        table = columns("", "")
        for joint in of_run:
            mark = Text("  ").append_text(sign(joint.verdict))
            verdict = Text(f" {joint.verdict.value:<{_WIDEST_VERDICT}}", style=colour(joint.verdict))
            table.add_row(mark.append_text(verdict), joint.place)
        yield Text(f"  {run}", style=QUIET)
        yield table


def _joints_in_brief(joints: Sequence[LoopJoint]) -> RenderableType:
    counts = Counter(joint.verdict for joint in joints)
    ordered = sorted(counts.items(), key=lambda item: item[0].severity)
    reported = bullets((sign(verdict), Text(f"{count} {verdict.value}")) for verdict, count in ordered)
    return Group(reported, more("joints", "every joint by run"))


def _parts_list(parts_list: Sequence[PartsListLine]) -> Table:
    table = columns("", "count", "part", "")
    for line in parts_list:
        length = f", {line.length_mm:g} mm in all" if line.length_mm is not None else ""
        title = Text.assemble(line.part, (f"\n{line.title}{length}", QUIET))
        table.add_row("  ", Text(f"{line.count} x", justify="right"), title, "suggested" if line.suggested else "")
    return table
