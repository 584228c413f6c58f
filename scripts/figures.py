"""The figures in README.md that follow from the tables: made here, so that they are never stale.

Owns: counting rows and provenance, and writing the table between its marks in README.md. With `--check` nothing is
written and the exit code says whether README.md is current.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from kb.store import FrozenTables, load_tables
from schemas.provenance import Basis

README = Path(__file__).resolve().parent.parent / "README.md"
START, END = "<!-- figures: made by scripts/figures.py -->", "<!-- end of figures -->"


def figures(tables: FrozenTables) -> str:
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


def with_figures(readme: str, made: str) -> str:
    """Return the text of README.md with the figures between their marks replaced."""
    before, rest = readme.split(START)
    _, after = rest.split(END)
    return f"{before}{START}\n{made}\n{END}{after}"


def main() -> int:
    """Write or check the figures."""
    parser = argparse.ArgumentParser(description="Figures of README.md that follow from the tables.")
    parser.add_argument("--check", action="store_true", help="write nothing; exit 1 if README.md is stale")
    asked = parser.parse_args()
    old = README.read_text(encoding="utf-8")
    new = with_figures(old, figures(load_tables()))
    if asked.check:
        print("README.md is current" if new == old else "README.md is stale: run scripts/figures.py")
        return int(new != old)
    README.write_text(new, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
