"""What every pair of archetypes and every example loop comes to, as lines and as one digest.

Run it before and after a change that must not move an outcome, with the Python of `.venv`:

    .venv/bin/python scripts/trials/outcomes.py --write before.txt
    .venv/bin/python scripts/trials/outcomes.py --write after.txt --renamed ids.csv

A line holds the verdict, the rows that decide it and every computed quantity at six significant digits. `--renamed`
names a CSV file `old,new` through which ids of the lines are read first, so that a change of names alone gives equal
digests.

Owns: what counts as an outcome, and its digest. Does not own: judging (`kb`), which pairs mean something.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import re
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import kb
from kb.compatibility.pair import PairDecision
from kb.curation.diff.kind_pairs import active_parts, all_pairs
from kb.curation.diff.loops import judge_loops, read_loops, rows_reported
from kb.evidence.tree import Finding, Number, cited_rows

_ID = re.compile(r"[a-z]+(?:-[a-z]+)*/[a-z0-9]+(?:[-._][a-z0-9]+)*|[a-z0-9]+(?:-[a-z0-9]+)*")


def outcome_of_pair(a: str, b: str, decision: PairDecision) -> str:
    """Return one line: the pair, its verdict, what decides it and its quantities, whatever the order of a and b."""
    first, second = sorted((a, b))
    findings = decision.joint.findings
    deciding = cited_rows(tuple(one for one in findings if one.verdict is decision.verdict))
    ways = sorted(joint.verdict.value for joint in decision.others)
    return _line(first, second, decision.verdict.value, sorted(deciding), sorted(_quantities(findings)), ways)


def _quantities(findings: Iterable[Finding]) -> Iterator[str]:
    for finding in findings:
        for node in finding.evidence:
            if isinstance(node, Number):
                yield f"{node.quantity_id}={node.value:.6g}"


def _line(*cells: str | list[str]) -> str:
    return "\t".join(cell if isinstance(cell, str) else " ".join(cell) for cell in cells)


def pair_outcomes(base: kb.KnowledgeBase) -> Iterator[str]:
    """Yield a line for every pair of archetypes that means something."""
    for a, b in all_pairs(active_parts(base.snapshot)):
        yield outcome_of_pair(a, b, base.decide(a, b))


def loop_outcomes(base: kb.KnowledgeBase) -> Iterator[str]:
    """Yield a line for every finding of every example loop, and one for its verdict."""
    for judged in judge_loops(base, read_loops()):
        verdict = judged.verdict.value if judged.verdict is not None else judged.refusal
        yield _line(judged.loop.name, "verdict", verdict)
        for finding in judged.answer.findings if judged.answer is not None else ():
            yield _line(judged.loop.name, *_report(finding))


def _report(finding: Any) -> Iterator[str | list[str]]:
    yield finding.place
    yield finding.code
    yield finding.verdict.value
    yield sorted(rows_reported(finding))
    yield [f"{one.name}={one.value:.6g}" for one in finding.quantities]


def renaming(path: Path | None) -> Callable[[str], str]:
    """Return what reads a line with old ids as one with new ids."""
    if path is None:
        return lambda line: line
    with path.open(encoding="utf-8", newline="") as file:
        names = {row["old"]: row["new"] for row in csv.DictReader(file)}
    return lambda line: _ID.sub(lambda found: names.get(found[0], found[0]), line)


def in_order(line: str) -> str:
    """Return a line with its parts and ids in alphabetical order, which a renaming may have changed."""
    cells = line.split("\t")
    return "\t".join([*sorted(cells[:2]), *(" ".join(sorted(cell.split(" "))) for cell in cells[2:])])


def main() -> int:
    """Print the digests of pairs and loops; write the lines where asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", type=Path, help="file for the lines")
    parser.add_argument("--read", type=Path, help="take the lines from this file instead of judging")
    parser.add_argument("--renamed", type=Path, help="CSV file with the columns old and new")
    asked = parser.parse_args()
    rename = renaming(asked.renamed)
    if asked.read:
        lines = asked.read.read_text(encoding="utf-8").splitlines()
    else:
        base = kb.load()
        lines = [*pair_outcomes(base), *loop_outcomes(base)]
    lines = sorted(in_order(rename(line)) for line in lines)
    text = "".join(f"{line}\n" for line in lines)
    if asked.write:
        asked.write.write_text(text, encoding="utf-8")
    print(f"{len(lines)} outcomes, digest {hashlib.sha256(text.encode()).hexdigest()[:16]}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
