"""Sets the checkout up for development, if need be, and runs the tests; arguments are passed on to pytest.

Owns: the test command of the checkout, `python3 scripts/test.py`.
Does not own: the environment (environment.py), which tests there are (pyproject.toml).
"""

import sys
from pathlib import Path

from environment import CHECKOUT, TEST, exit_code, prepare, run_program

ON_ALL_CORES = ("-n", "auto", "--dist", "worksteal")


def main(arguments: list[str]) -> int:
    """Run pytest in the checkout, whatever the current folder, and return its exit code."""
    environment = prepare(TEST)
    program: list[str | Path] = [environment.program("python"), "-m", "pytest", *ON_ALL_CORES, *arguments]
    return run_program(program, environment, folder=CHECKOUT)


if __name__ == "__main__":
    sys.exit(exit_code(main))
