"""Sets the checkout up for development, if need be, and runs the tests; arguments are passed on to pytest.

Owns: the test command of the checkout, `python3 scripts/test.py`.
Does not own: the environment (environment.py), which tests there are (pyproject.toml).
"""

import sys

from environment import CHECKOUT, TEST, exit_code, prepare, run_program


def main(arguments: list[str]) -> int:
    """Run pytest in the checkout, whatever the current folder, and return its exit code."""
    environment = prepare(TEST)
    return run_program([environment.program("python"), "-m", "pytest", *arguments], environment, folder=CHECKOUT)


if __name__ == "__main__":
    sys.exit(exit_code(main))
