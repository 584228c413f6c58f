"""The words for the map of knowledge: plain text for a terminal, Markdown for people who read tables.

Owns: headings, order and layout. Does not own: counting (the other files here).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from schemas.answers.coverage import CoverAnswer, Gap, PairsCovered

MOST_STALE = 10
_PAIR_HEAD = ("pairs of", "all", "by rule", "by computation", "unknown")

Table = Sequence[Sequence[str]]


def cover_text(answer: CoverAnswer) -> str:
    """Return the map of knowledge as plain text.

    Args:
        answer: the map.
    """
    return "\n".join(f"{title}\n{_aligned(table)}" for title, table in _tables(answer))


def cover_markdown(answer: CoverAnswer) -> str:
    """Return the map of knowledge as Markdown.

    Args:
        answer: the map.
    """
    blocks = (f"### {title}\n\n{markdown_table(table)}\n" for title, table in _tables(answer))
    return f"## What the tables cover ({answer.kb_version})\n\n" + "\n".join(blocks)


def markdown_table(table: Table) -> str:
    """Return a table in Markdown: its first row is the head, numbers stand to the right.

    Args:
        table: rows of cells.

    >>> markdown_table([("of", "pairs"), ("tube", "12")]).splitlines()
    ['| of | pairs |', '| --- | ---: |', '| tube | 12 |']
    """
    rule = ["---:" if _is_number_column(table, at) else "---" for at in range(len(table[0]))]
    return "\n".join("| " + " | ".join(row) + " |" for row in (table[0], rule, *table[1:]))


def pairs_table(covered: Sequence[PairsCovered]) -> Table:
    """Return how pairs are decided as a table with a head.

    Args:
        covered: pairs of groups.
    """
    return [_PAIR_HEAD, *(_pair_row(one) for one in covered)]


def _pair_row(one: PairsCovered) -> tuple[str, ...]:
    numbers = (one.pairs, one.by_rule, one.by_computation, one.unknown)
    return (f"{one.a} with {one.b}", *(str(number) for number in numbers))


def _tables(answer: CoverAnswer) -> Iterator[tuple[str, Table]]:
    yield "pairs of archetypes, by what decides them", pairs_table(answer.kinds)
    yield "materials in fluids, by family", pairs_table(answer.families)
    for title, shares in (("facts by kind of source", answer.by_source), ("facts by basis", answer.by_basis)):
        whole = sum(share.facts for share in shares)
        yield (
            title,
            [("ground", "facts", "%"), *((one.ground, str(one.facts), _percent(one.facts, whole)) for one in shares)],
        )
    yield (
        "facts that are unverified estimates or of low confidence and that no other source backs",
        [
            ("table", "facts", "weak", "such as"),
            *((one.table, str(one.facts), str(one.weak), ", ".join(one.examples)) for one in answer.weak),
        ],
    )
    yield (
        f"facts not held against their source for {answer.stale_after_days} days: {len(answer.stale)}",
        [
            ("row", "checked on"),
            *((one.row, one.checked_on.isoformat()) for one in answer.stale[:MOST_STALE]),
        ],
    )
    yield (
        f"what is missing most (of {answer.loops_judged} example loops)",
        [("missing", "loops", "weight", "met in"), *(_gap_row(gap) for gap in answer.gaps)],
    )


def _gap_row(gap: Gap) -> tuple[str, ...]:
    return gap.what, str(len(gap.loops)), str(gap.weight), ", ".join(gap.loops)


def _percent(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f}"


def _aligned(table: Table) -> str:
    widths = [max(len(row[at]) for row in table) for at in range(len(table[0]))]
    lines = []
    for row in table:
        cells = (
            cell.rjust(width) if _is_number_column(table, at) else cell.ljust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        lines.append("  " + "  ".join(cells).rstrip())
    return "\n".join(lines) + "\n"


def _is_number_column(table: Table, at: int) -> bool:
    return len(table) > 1 and all(row[at].replace(".", "", 1).isdigit() for row in table[1:])
