"""Small mutations of judging modules, each held against the tests that matter: what nobody notices is listed.

With the Python of `.venv`; the checkout is copied, the copy is changed, the checkout never is:

    .venv/bin/python scripts/trials/mutate.py kb/evidence/limits.py --tests tests/kb/evidence --seconds 300
    .venv/bin/python scripts/trials/mutate.py kb/evidence/rules.py kb/evidence/limits.py --list

Mutations: a comparison turned or made strict, `is` for `is not`, `and` for `or`, `all` for `any`, `max` for `min`, plus
for minus, a number 1 % larger (a whole one by 1), `True` for `False`, a negation taken away. One at a time; a run of
the tests that fails kills it. Docstrings and annotations are left alone. What `scripts/trials/mutants.csv` lists (file,
expression, what it becomes, why) changes nothing that counts and is passed over.

Owns: making mutations and running tests over them. Does not own: which tests matter (said on the command line).
"""

from __future__ import annotations

import argparse
import ast
import csv
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
REASONS = Path(__file__).with_name("mutants.csv")
COPIED = ("api", "kb", "schemas", "scripts", "tests", "pyproject.toml")
LARGER = 1.01
A_RUN_S = 120.0  # a mutation may make a loop endless

COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
SIGNS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
}
CALLS = {"all": "any", "any": "all", "max": "min", "min": "max"}
ATTRIBUTES = {"lt": "le", "le": "lt", "gt": "ge", "ge": "gt", "eq": "ne", "ne": "eq"}  # of the module operator


class Mutant(NamedTuple):
    """One small change of a file.

    Attributes:
        path: the file, from the root of the checkout.
        line: number of the line.
        was: the expression.
        now: what it becomes.
        text: the whole file, changed.
    """

    path: str
    line: int
    was: str
    now: str
    text: str

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.was}  ->  {self.now}"


def changed(node: ast.expr) -> Iterator[ast.expr]:
    """Yield every small change of one expression, its parts left as they are."""
    if isinstance(node, ast.Compare) and len(node.ops) >= 1:
        for at, sign in enumerate(node.ops):
            for other in COMPARISONS.get(type(sign), ()):
                ops = [*node.ops[:at], other(), *node.ops[at + 1 :]]
                yield ast.Compare(node.left, ops, node.comparators)
    elif isinstance(node, ast.BoolOp):
        yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
    elif isinstance(node, ast.BinOp) and type(node.op) in SIGNS:
        yield ast.BinOp(node.left, SIGNS[type(node.op)](), node.right)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield node.operand
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield ast.Constant(not node.value)
    elif isinstance(node, ast.Constant) and isinstance(node.value, float | int):
        yield ast.Constant(node.value * LARGER if isinstance(node.value, float) and node.value else node.value + 1)
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CALLS:
        yield ast.Call(ast.Name(CALLS[node.func.id]), node.args, node.keywords)
    elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "operator":
        yield ast.Attribute(node.value, ATTRIBUTES.get(node.attr, node.attr))
    elif isinstance(node, ast.IfExp):
        yield ast.IfExp(node.test, node.orelse, node.body)


def judging_expressions(tree: ast.AST) -> Iterator[ast.expr]:
    """Yield the expressions that run when something is judged: no docstrings, annotations or defaults of types."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.AnnAssign):
            children: list[ast.AST] = [node.value] if node.value is not None else []
        elif isinstance(node, ast.FunctionDef):
            children = [*node.body, *node.args.defaults, *(one for one in node.args.kw_defaults if one is not None)]
        elif isinstance(node, ast.ClassDef):
            children = list(node.body)
        elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            continue
        else:
            children = [node]
        for child in children:
            if isinstance(child, ast.expr):
                yield child
            yield from judging_expressions(child)


def mutants_of(path: str, source: str) -> list[Mutant]:
    """Return every mutant of a file, in the order of its lines.

    Args:
        path: the file, from the root of the checkout.
        source: its text.
    """
    lines = source.splitlines(keepends=True)
    starts = [0]
    for line in lines:
        starts.append(starts[-1] + len(line.encode()))
    raw, found = source.encode(), list[Mutant]()
    seen: set[tuple[int, int, str]] = set()
    for node in judging_expressions(ast.parse(source)):
        if node.end_lineno is None or node.end_col_offset is None:
            continue
        begin, end = starts[node.lineno - 1] + node.col_offset, starts[node.end_lineno - 1] + node.end_col_offset
        was = raw[begin:end].decode()
        for other in changed(node):
            now = ast.unparse(ast.fix_missing_locations(other))
            if (begin, end, now) in seen or now == ast.unparse(node):
                continue
            seen.add((begin, end, now))
            text = (raw[:begin] + f"({now})".encode() + raw[end:]).decode()
            found.append(Mutant(path, node.lineno, " ".join(was.split()), now, text))
    return sorted(found, key=lambda one: one.line)


def reasons() -> dict[tuple[str, str, str], str]:
    """Return why some mutants change nothing that counts: file, expression, what it becomes -> why."""
    if not REASONS.exists():
        return {}
    with REASONS.open(encoding="utf-8", newline="") as file:
        return {(row["file"], row["was"], row["now"]): row["why"] for row in csv.DictReader(file)}


def copied(folder: Path) -> Path:
    """Copy what tests need into a folder and return it."""
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(source, folder / name)
    return folder


def fails(folder: Path, tests: list[str]) -> bool:
    """Return whether the tests fail in a folder, or run longer than they may."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *tests]
    surroundings = os.environ | {"PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1"}
    try:
        done = subprocess.run(command, cwd=folder, env=surroundings, capture_output=True, timeout=A_RUN_S, check=False)
    except subprocess.TimeoutExpired:
        return True
    return done.returncode != 0


def run(mutants: list[Mutant], tests: list[str], seconds: float) -> tuple[list[Mutant], int]:
    """Run tests over mutants until the time is up; return those that survived and how many were tried."""
    survivors: list[Mutant] = []
    until = time.monotonic() + seconds
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        work = copied(Path(folder))
        if fails(work, tests):
            sys.exit("the tests fail without any mutation; mend them first")
        for tried, mutant in enumerate(mutants):
            if time.monotonic() > until:
                return survivors, tried
            target = work / mutant.path
            target.write_text(mutant.text, encoding="utf-8")
            if not fails(work, tests):
                survivors.append(mutant)
                print(f"survives  {mutant}", flush=True)
            shutil.copy2(ROOT / mutant.path, target)
    return survivors, len(mutants)


def main() -> int:
    """Run mutations over the modules named; 1 if any survives."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("modules", nargs="+", help="files, from the root of the checkout")
    parser.add_argument("--tests", nargs="+", default=["tests/kb/evidence"], help="files or folders of tests")
    parser.add_argument("--seconds", type=float, default=300.0, help="time for all of them [s]")
    parser.add_argument("--every", type=int, default=1, help="try every n-th mutation only")
    parser.add_argument("--list", action="store_true", help="list the mutations and run nothing")
    asked = parser.parse_args()
    known = reasons()
    mutants = [
        one
        for path in asked.modules
        for one in mutants_of(path, (ROOT / path).read_text(encoding="utf-8"))
        if (one.path, one.was, one.now) not in known
    ][:: asked.every]
    if asked.list:
        print(*mutants, sep="\n")
        return 0
    survivors, tried = run(mutants, asked.tests, asked.seconds)
    print(
        f"{tried} of {len(mutants)} mutations tried, {len(survivors)} survive, {len(known)} passed over with a reason"
    )
    return 1 if survivors else 0


if __name__ == "__main__":
    sys.exit(main())
