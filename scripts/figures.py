"""The figures in scripts/FIGURES.md that follow from the tables: made here, so that they are never stale.

Owns: counting rows, provenance and what decides pairs, and writing the tables between their marks in that page. With
`--check` nothing is written and the exit code says whether scripts/FIGURES.md is current.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from kb.curation.coverage.facts import shares_by_basis, weak_tables
from kb.curation.coverage.pairs import covered_kinds, decide_all
from kb.curation.coverage.report import markdown_table
from kb.load import load_tables
from kb.store.frozen import BuiltTables
from kb.store.snapshot import Snapshot
from schemas.answers.coverage import PairsCovered
from schemas.columns.provenance import Basis

PAGE = Path(__file__).resolve().parent / "FIGURES.md"
START, END = "<!-- figures: made by scripts/figures.py -->", "<!-- end of figures -->"
COVERAGE_START, COVERAGE_END = "<!-- coverage: made by scripts/figures.py -->", "<!-- end of coverage -->"
SCREWED_AND_PUSHED = frozenset({"thread", "port", "tube", "fitting"})
LIQUIDS = frozenset({"fluid", "additive"})


def figures(tables: BuiltTables) -> str:
    """Return the table of row counts by basis, as Markdown."""
    heads = " | ".join(basis.value for basis in Basis)
    lines = [f"| table | rows | {heads} |", "| --- | ---: |" + " ---: |" * len(Basis)]
    total: Counter[str] = Counter()
    for name, rows in tables.rows.items():
        counts = Counter(row.basis.value for row in rows if hasattr(row, "basis"))
        total.update({"rows": len(rows), **counts})
        lines.append(_line(name, len(rows), counts))
    lines.append(_line("**all**", total["rows"], total))
    return "\n".join(lines)


def _line(name: str, rows: int, counts: Counter[str]) -> str:
    cells = " | ".join(str(counts[basis.value] or "") for basis in Basis)
    return f"| {name} | {rows} | {cells} |"


def coverage(tables: BuiltTables) -> str:
    """Return what decides the pairs of archetypes, and how many facts are weak, as Markdown."""
    snapshot = Snapshot(tables)
    counts: dict[str, Counter[str]] = {}
    for kinds in covered_kinds(snapshot, decide_all(snapshot)):
        numbers = {"pairs": kinds.pairs, "rule": kinds.by_rule, "computation": kinds.by_computation}
        counts.setdefault(_kind_of_pair(kinds), Counter()).update({**numbers, "unknown": kinds.unknown})
    names = ("pairs", "rule", "computation", "unknown")
    lines = [(sort, *(str(count[name]) for name in names)) for sort, count in counts.items()]
    weak = weak_tables(snapshot)
    alone = sum(table.weak for table in weak)
    facts = sum(share.facts for share in shares_by_basis(snapshot))
    table = markdown_table([("pairs of archetypes", "asked", "by rule", "by computation", "unknown"), *lines])
    weakness = (
        f"{alone} of {facts} active facts are unverified estimates or of low confidence and cite one source alone."
    )
    return f"{table}\n\n{weakness}"


def _kind_of_pair(kinds: PairsCovered) -> str:
    pair = {kinds.a, kinds.b}
    if pair <= SCREWED_AND_PUSHED:
        return "threads, ports, tubes, fittings, one with another"
    if not pair & {"material", *LIQUIDS}:
        return "an O-ring by itself with these, or with an O-ring"
    if not pair - {"material", *LIQUIDS}:
        return "materials, fluids, additives, one with another"
    return "tubes, fittings, O-rings in fluids and additives"


def with_figures(page: str, made: str, start: str = START, end: str = END) -> str:
    """Return the text of scripts/FIGURES.md with the figures between two marks replaced."""
    before, rest = page.split(start)
    _, after = rest.split(end)
    return f"{before}{start}\n{made}\n{end}{after}"


def main() -> int:
    """Write or check the figures."""
    parser = argparse.ArgumentParser(description="Figures of scripts/FIGURES.md that follow from the tables.")
    parser.add_argument("--check", action="store_true", help="write nothing; exit 1 if scripts/FIGURES.md is stale")
    asked = parser.parse_args()
    old = PAGE.read_text(encoding="utf-8")
    tables = load_tables()
    new = with_figures(old, figures(tables))
    new = with_figures(new, coverage(tables), COVERAGE_START, COVERAGE_END)
    if asked.check:
        print("scripts/FIGURES.md is current" if new == old else "scripts/FIGURES.md is stale: run scripts/figures.py")
        return int(new != old)
    PAGE.write_text(new, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
