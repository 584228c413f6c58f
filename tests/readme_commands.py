"""Which commands README.md and the pages it leads to show, and how each is tried.

Owns: sorting them, and the reasons why some are not carried out. Does not own: finding them (`page_examples.py`), or
carrying them out (`docs/test_readme.py`, `api/client/test_readme_over_http.py`, `docs/test_wheel.py`).
"""

from __future__ import annotations

import re
from pathlib import Path

from page_examples import Command, page

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAGE = page("README.md", "scripts/deploy/README.md", "scripts/FIGURES.md")
BY_NAME = "names the command"
SERVES = (
    "serves until it is stopped; api/client/test_readme_over_http.py asks a service, api/http/test_http_workers.py four"
)
NOT_CARRIED_OUT = {
    "python3 scripts/test.py": "these are the tests",
    "pytest tests/api/http": "these are tests, too",
    "wetted serve": SERVES,
    "wetted serve --workers 4": SERVES,
    "wetted bulk": BY_NAME,
    "pip install .": "test_wheel.py installs what it builds",
    "pip install '.[client]'": "needs a package index; test_wheel.py looks for the extra in what it builds",
}
IN_BASH = (".", "eval", "curl")  # carried out in whole blocks, below or beside a running service
CODES = {"python3 scripts/run.py pair thread/g-1-4 thread/npt-1-4": 12}  # of verdicts that running text does not show
TO_TRY = [command for command in PAGE.commands() if command.text not in NOT_CARRIED_OUT]
WETTED = [command for command in TO_TRY if command.words[0] == "wetted"]
SET_UP = [command for command in TO_TRY if command.words[:2] == ["python3", "scripts/run.py"]]
# Benches and trials take minutes: of them only script and options are looked for.
TRIALS = [command for command in TO_TRY if command not in SET_UP and "scripts/" in " ".join(command.words[:2])]
ANYWHERE = [command for command in WETTED if not any((ROOT / word).is_file() for word in command.words)]
# Whatever README leaves to the reader, and the commands name: a file of pairs, and a folder with a release.
PAIRS_FILE, VERDICTS_FILE, RELEASE_FOLDER = "pairs.csv", "verdicts.parquet", "DIR"
PAIRS = "a,b\ntube/soft-10x16,fitting/barb-10-g-1-4\nthread/g-1-4,thread/npt-1-4\n"


def right_code(command: Command) -> int:
    """Return the exit code that a command should end with."""
    return CODES.get(command.text, command.code)


def first_answer() -> str:
    """Return what the first python example of README prints; those over HTTP ask the same."""
    return re.findall(r"^prints\n```\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)[0]
