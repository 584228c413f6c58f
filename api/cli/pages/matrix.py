"""The page of a matrix: two families against one another.

Owns: signs in a table where the terminal is wide enough, otherwise a list by row; what decides below it.
Does not own: the verdicts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.console import Console, ConsoleOptions, Group, RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages.layout import QUIET, SIGNS, STRONG, bullets, colour, foot, section, sign
from api.cli.pages.names import Names
from schemas.answers.answers import MatrixAnswer, MatrixCell
from schemas.verdict import Verdict

_MOST_REASONS = 12  # the rest is one --csv away; more on a page nobody reads


def matrix_page(answer: MatrixAnswer, names: Names) -> Iterator[RenderableType]:
    """Yield the page: how many cells of which verdict, the matrix, what decides."""
    yield Text(f"{len(answer.rows)} rows, {len(answer.columns)} columns", style=STRONG)
    yield _legend(answer.cells)
    yield Text()
    yield _Matrix(answer, names)
    yield from _reasons(answer.cells, names)
    yield foot(answer.kb_version, "; every cell with what decides it: --csv or --json")


@dataclass(frozen=True, slots=True)
class _Matrix:
    """The cells: a table if it fits the width, else a list."""

    answer: MatrixAnswer
    names: Names

    def __rich_console__(self, _: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        label = max(len(self.names.title(row)) for row in self.answer.rows)
        if label + len(self.answer.columns) * (self._widest_number + 1) + 1 <= options.max_width:
            yield self._table()
            yield Text()
            yield self._numbers()
        else:
            yield from self._list()

    @property
    def _widest_number(self) -> int:
        return len(str(len(self.answer.columns)))

    def _table(self) -> Table:
        table = Table.grid(padding=(0, 1, 0, 0))
        table.add_column()
        for _ in self.answer.columns:
            table.add_column(min_width=self._widest_number, justify="right")
        table.add_row("", *(Text(str(at), style=QUIET) for at in range(1, len(self.answer.columns) + 1)))
        for row, cells in self._rows():
            table.add_row(self.names.title(row), *(sign(cell.verdict) for cell in cells))
        return table

    def _numbers(self) -> Table:
        """Return what the numbers over the columns stand for."""
        return bullets((Text(str(at)), Text(self.names.title(one))) for at, one in enumerate(self.answer.columns, 1))

    def _list(self) -> Iterator[RenderableType]:
        """Yield every row with its columns by verdict."""
        for row, cells in self._rows():
            verdicts = sorted({cell.verdict for cell in cells}, key=lambda one: one.severity)
            lines = ((sign(one), Text(self._members(one, cells))) for one in verdicts)
            yield Group(Text(self.names.title(row), style=STRONG), bullets(lines))
        columns = "; ".join(map(self.names.title, self.answer.columns))
        yield Group(Text(), Text.assemble(("The columns: ", STRONG), columns))

    def _members(self, verdict: Verdict, cells: Sequence[MatrixCell]) -> str:
        """Return the columns of a verdict; what holds for more than half of them is only counted."""
        titles = [self.names.title(cell.column) for cell in cells if cell.verdict is verdict]
        if len(titles) * 2 <= len(cells):
            return "; ".join(titles)
        return f"{verdict.value} with {'all' if len(titles) == len(cells) else 'the other'} {len(titles)}"

    def _rows(self) -> Iterator[tuple[str, Sequence[MatrixCell]]]:
        wide = len(self.answer.columns)
        for at, row in enumerate(self.answer.rows):
            yield row, self.answer.cells[at * wide : (at + 1) * wide]


def _legend(cells: Sequence[MatrixCell]) -> Text:
    counts = Counter(cell.verdict for cell in cells)
    words = (
        Text(f"{SIGNS[one]} {one.value} {counts[one]}", style=colour(one))
        for one in sorted(counts, key=lambda one: one.severity)
    )
    return Text("   ").join(words)


def _reasons(cells: Sequence[MatrixCell], names: Names) -> Iterator[RenderableType]:
    """Yield what decides the cells that are not well, the worst and most frequent first."""
    wrong = (cell for cell in cells if cell.verdict is not Verdict.COMPATIBLE)
    counts = Counter((cell.verdict, decider) for cell in wrong for decider in cell.decided_by)
    ordered = sorted(counts.items(), key=lambda item: (-item[0][0].severity, -item[1], item[0][1]))
    lines = [
        (sign(verdict), Text.assemble(names.why(decider), (f"  {decider}, {count} x", QUIET)))
        for (verdict, decider), count in ordered[:_MOST_REASONS]
    ]
    if lines:
        more = len(ordered) - len(lines)
        rest = [Text(f"  and {more} more reasons", style=QUIET)] if more else []
        yield section("What decides", bullets(lines), *rest)
