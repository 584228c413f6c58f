"""The page for a whole loop.

Owns: the order of its sections, the table of joints, the list of what is needed. Does not own: reasons (`reasons.py`)
or the section on chemistry (`chemistry.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from itertools import groupby
from operator import attrgetter

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages import reasons
from api.cli.pages.chemistry import chemistry_section, split_findings
from api.cli.pages.layout import QUIET, STRONG, colour, columns, foot, headline, section, sign
from api.cli.pages.names import Names
from schemas.loop_answers import LoopAnswer, LoopJointTold, NeededTold
from schemas.verdict import Verdict

_WIDEST_VERDICT = max(len(verdict) for verdict in Verdict)


def loop_page(answer: LoopAnswer, names: Names) -> Iterator[RenderableType]:
    """Yield the page: verdict, what is wrong, chemistry, the joints, what is needed, cautions, sources."""
    yield headline(answer.verdict, answer.summary)
    found = answer.findings
    wrong = (*reasons.deciding(found, answer.verdict), *reasons.milder(found, answer.verdict))
    chemical, mechanical = split_findings(answer.chemistry, wrong) if answer.chemistry else ((), wrong)
    if mechanical:
        heading = partial(_place, runs=_runs_by_place(answer.joints))
        yield section("What is wrong or open", reasons.by_place(mechanical, names, heading))
    if answer.chemistry:
        yield from chemistry_section(answer.chemistry, chemical, names)
    if answer.joints:
        yield section("Joints", *_joints(answer.joints))
    if answer.needed:
        yield section("What it takes", _needed(answer.needed))
    circumstances = reasons.elsewhere(found, answer.verdict)
    if circumstances:
        yield section("Under other circumstances", reasons.in_circumstances(circumstances, names))
    yield from reasons.cautions_and_sources(answer, wrong)
    yield foot(answer.kb_version, "; every number with its row and source: --json")


def _place(place: str, runs: Mapping[str, str]) -> Text:
    return Text.assemble((place, STRONG), (f"  {runs[place]}" if place in runs else "", QUIET))


def _runs_by_place(joints: Sequence[LoopJointTold]) -> dict[str, str]:
    runs: dict[str, dict[str, None]] = {}
    for joint in joints:
        runs.setdefault(joint.place, {})[joint.run] = None
    return {place: f"({'; '.join(names)})" for place, names in runs.items()}


def _joints(joints: Sequence[LoopJointTold]) -> Iterator[RenderableType]:
    """Yield a small table for each run."""
    for run, of_run in groupby(joints, key=attrgetter("run")):
        table = columns("", "")
        for joint in of_run:
            mark = Text("  ").append_text(sign(joint.verdict))
            verdict = Text(f" {joint.verdict.value:<{_WIDEST_VERDICT}}", style=colour(joint.verdict))
            table.add_row(mark.append_text(verdict), joint.place)
        yield Text(f"  {run}", style=QUIET)
        yield table


def _needed(needed: Sequence[NeededTold]) -> Table:
    table = columns("", "count", "part", "")
    for line in needed:
        length = f", {line.length_mm:g} mm in all" if line.length_mm is not None else ""
        title = Text.assemble(line.part, (f"\n{line.title}{length}", QUIET))
        table.add_row("  ", Text(f"{line.count} x", justify="right"), title, "suggested" if line.suggested else "")
    return table
