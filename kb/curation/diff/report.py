"""The words for a change of the tables: plain text for a terminal, Markdown for a pull request.

Owns: order, grouping by cause, and how many examples are shown; everything stands in the JSON of the answer. Does not
own: finding changes (`kb/curation/diff/diff.py`).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from kb.curation.diff.reach import NEVER_READ
from schemas.answers.answers import Cell
from schemas.answers.changes import CellChange, DiffAnswer, FindingChange, LoopChange, PartChange, RowChange, RowFate
from schemas.answers.changes import VerdictChange as Changed
from schemas.verdict import Verdict

MOST_ROWS = 25  # reported one by one in each table
MOST_PARTS = 25
MOST_GROUPS = 30  # of pairs, by cause
MOST_EXAMPLES = 3  # pairs for each way a verdict changes
MOST_FINDINGS = 8  # for each loop
MOST_FITTING = 12  # parts that fit a new one
MOST_CAUSES = 4  # named beside one group
LONGEST_TEXT = 80

_Code: TypeAlias = Callable[[str], str]
Step: TypeAlias = tuple[Verdict | None, Verdict | None]


class Line(NamedTuple):
    """One line of a report.

    Attributes:
        depth: 0 for a heading, 1 for a point, 2 for a point below it.
        text: its words.
    """

    depth: int
    text: str


def diff_text(answer: DiffAnswer) -> str:
    """Return a change of the tables as plain text.

    Args:
        answer: what changes.
    """
    return "".join(f"{'  ' * line.depth}{line.text}\n" for line in _lines(answer, quoted=False))


def diff_markdown(answer: DiffAnswer) -> str:
    """Return a change of the tables as Markdown to paste into a pull request.

    Args:
        answer: what changes.
    """
    marks = ("\n### ", "- ", "  - ")
    body = "".join(f"{marks[line.depth]}{line.text}\n" for line in _lines(answer, quoted=True))
    return f"## What this change of the tables means\n{body}"


def _lines(answer: DiffAnswer, quoted: bool) -> Iterator[Line]:
    code = _quoted if quoted else str
    before, after = answer.before, answer.after
    yield Line(0, f"{code(before.name)} ({before.version}) to {code(after.name)} ({after.version})")
    yield from _row_lines(answer.rows, code)
    yield from _part_lines(answer.parts, code)
    yield from _pair_lines(answer, code)
    yield from _loop_lines(answer, code)


def _quoted(text: str) -> str:
    return f"`{text}`"


def _row_lines(rows: Sequence[RowChange], code: _Code) -> Iterator[Line]:
    by_table: dict[str, list[RowChange]] = defaultdict(list)
    for row in rows:
        by_table[row.table].append(row)
    yield Line(0, f"rows: {_counts(row.fate.value for row in rows) or 'none differs in meaning'}")
    for table, changes in by_table.items():
        informative = [row for row in changes if not _is_in_words_only(row)]
        silent = len(changes) - len(informative)
        note = f" ({silent} only in {', '.join(sorted(NEVER_READ))})" if silent else ""
        yield Line(1, f"{table}: {_counts(row.fate.value for row in changes)}{note}")
        yield from (Line(2, _row_text(row, code)) for row in informative[:MOST_ROWS])
        if len(informative) > MOST_ROWS:
            yield Line(2, f"and {len(informative) - MOST_ROWS} more")


def _is_in_words_only(row: RowChange) -> bool:
    return row.fate is RowFate.CHANGED and {cell.column for cell in row.cells} <= NEVER_READ


def _row_text(row: RowChange, code: _Code) -> str:
    title = f" ({row.title})" if row.title != row.row else ""
    if row.fate is RowFate.CHANGED:
        cells = ", ".join(_cell_text(cell) for cell in row.cells if cell.column not in NEVER_READ)
        return f"{code(row.row)} changed: {cells}"
    reason = next((f": {_value(cell.after)}" for cell in row.cells if cell.column == "withdrawn_reason"), "")
    return f"{code(row.row)} {row.fate.value}{title}{reason}"


def _cell_text(cell: CellChange) -> str:
    return f"{cell.column} {_value(cell.before)} -> {_value(cell.after)}"


def _value(value: Cell) -> str:
    if value is None:
        return "empty"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.15g}"
    text = " ".join(value) or "empty" if isinstance(value, tuple) else str(value)
    return text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 3] + "..."


def _part_lines(parts: Sequence[PartChange], code: _Code) -> Iterator[Line]:
    if not parts:
        return
    come = sum(part.appears for part in parts)
    yield Line(0, f"archetypes: {come} new, {len(parts) - come} gone or withdrawn")
    for part in parts[:MOST_PARTS]:
        counts = ", ".join(f"{count} {verdict.value}" for verdict, count in part.verdicts.items())
        fate, verb = ("new", "is") if part.appears else ("gone", "was")
        yield Line(1, f"{code(part.part)} ({part.title}), {fate}: with the other archetypes it {verb} {counts}")
        if part.fits and part.appears:
            yield Line(2, f"fits {_some(part.fits, MOST_FITTING, code)}")
    if len(parts) > MOST_PARTS:
        yield Line(1, f"and {len(parts) - MOST_PARTS} more")


def _pair_lines(answer: DiffAnswer, code: _Code) -> Iterator[Line]:
    changes = answer.verdicts
    worse = sum(change.after.severity > change.before.severity for change in changes)
    yield Line(
        0,
        f"verdicts of pairs: {len(changes)} of {answer.pairs} differ ({worse} more severe, {len(changes) - worse} "
        f"milder); {answer.pairs_judged} could be reached by the change and were judged",
    )
    groups: dict[tuple[str, ...], list[Changed]] = defaultdict(list)
    for change in changes:
        groups[change.causes].append(change)
    ordered = sorted(groups.items(), key=lambda item: (-len(item[1]), item[0]))
    for causes, group in ordered[:MOST_GROUPS]:
        yield Line(1, f"{len(group)} because of {_some(causes, MOST_CAUSES, code)}")
        yield from _step_lines(group, code)
    rest = ordered[MOST_GROUPS:]
    if rest:
        yield Line(1, f"{sum(len(group) for _, group in rest)} because of {len(rest)} other rows or sets of rows")


def _step_lines(group: Sequence[Changed], code: _Code) -> Iterator[Line]:
    steps: dict[Step, list[Changed]] = defaultdict(list)
    for change in group:
        steps[change.before, change.after].append(change)
    for step, alike in sorted(steps.items(), key=lambda item: (-len(item[1]), _step(item[0]))):
        pairs = [f"{code(change.a)} with {code(change.b)}" for change in alike]
        yield Line(2, f"{len(alike)} x {_step(step)}: {_some(pairs, MOST_EXAMPLES, str)}")


def _loop_lines(answer: DiffAnswer, code: _Code) -> Iterator[Line]:
    yield Line(0, f"example loops: {len(answer.loops)} of {answer.loops_judged} differ")
    for loop in answer.loops:
        yield Line(1, f"{code(loop.loop)}: {_loop_verdicts(loop)}")
        yield from (Line(2, f"cannot be asked: {refusal}") for refusal in loop.refusals)
        yield from (Line(2, _finding_text(finding, code)) for finding in loop.findings[:MOST_FINDINGS])
        if len(loop.findings) > MOST_FINDINGS:
            yield Line(2, f"and {len(loop.findings) - MOST_FINDINGS} more reasons differ")


def _loop_verdicts(loop: LoopChange) -> str:
    if loop.before is loop.after:
        stays = loop.after.value if loop.after is not None else "refused"
        return f"stays {stays}, for other reasons"
    return _step((loop.before, loop.after), absent="refused")


def _finding_text(finding: FindingChange, code: _Code) -> str:
    because = f" because of {_some(finding.causes, MOST_CAUSES, code)}" if finding.causes else ""
    return f"{finding.code} at {finding.place}: {_step((finding.before, finding.after))}{because}"


def _step(step: Step, absent: str = "not said") -> str:
    before, after = (one.value if one is not None else absent for one in step)
    return f"{before} -> {after}"


def _some(texts: Sequence[str], most: int, code: _Code) -> str:
    shown = ", ".join(code(text) for text in texts[:most])
    return shown + (f" and {len(texts) - most} more" if len(texts) > most else "")


def _counts(words: Iterable[str]) -> str:
    return ", ".join(f"{count} {word}" for word, count in sorted(Counter(words).items()))
