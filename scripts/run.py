"""Sets the checkout up, if need be, and asks the demo question; arguments are a question of your own.

Owns: the main command of the checkout, `python3 scripts/run.py`, and what its exit code means.
Does not own: the environment (environment.py), the `wetted` command (api/cli).
"""

import os
import shlex
import sys
from pathlib import Path

from environment import RUN, Environment, exit_code, prepare, run_program

# compatible, conditional, unknown, incompatible: the demo loop has a fault, and saying so is the answer it is for.
ANSWER_CODES = frozenset({0, 10, 11, 12})


def as_typed(program: Path, here: Path) -> str:
    """Return a program's path as a person in a folder would type it.

    >>> as_typed(Path("/src/wetted/.venv/bin/wetted"), Path("/src/wetted"))
    '.venv/bin/wetted'
    """
    path = program.relative_to(here) if program.is_relative_to(here) else program
    return str(path) if os.name == "nt" else shlex.quote(str(path))


def entering(environment: Environment, here: Path) -> str:
    """Return what a person in a folder types to enter an environment.

    >>> entering(Environment(Path("/src/wetted")), Path("/src/wetted"))
    '. .venv/bin/activate'
    """
    script = as_typed(environment.programs / "activate", here)
    return script if os.name == "nt" else f". {script}"


def main(arguments: list[str]) -> int:
    """Pass arguments on to `wetted` with its exit code; without any, answer the demo and say how to go on."""
    environment = prepare(RUN)
    wetted = environment.program("wetted")
    if arguments:
        return run_program([wetted, *arguments], environment)
    code = run_program([wetted, "loop", "example/first-loop"], environment)
    if code not in ANSWER_CODES:
        return code
    here = Path.cwd()
    print(f"To start the service: {as_typed(wetted, here)} serve")
    print(f"To type just wetted, as in README.md: {entering(environment, here)}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(exit_code(main))
