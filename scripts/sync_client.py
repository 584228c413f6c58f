"""The client for programs that wait, api/client/sync_client.py, made from the one for asyncio.

Owns: what differs between the two, as rules of text. Does not own: the client (`api/client/async_client.py`, which is
the one to edit). Needs ruff for the form. With `--check` nothing is written and the exit code says whether the file is
current.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / "api" / "client"
SOURCE, MADE = FOLDER / "async_client.py", FOLDER / "sync_client.py"
HEAD = '''"""The client for programs that wait. Made by scripts/sync_client.py from async_client.py; do not edit.

Owns: sending, waiting and asking again. Does not own: requests and answers (`api/client/calls.py`), or when to ask
again (`api/client/retries.py`).
"""
'''
RULES = (
    (r'\A""".*?"""\n', HEAD),
    (r"\basync (?=def|with|for)|\bawait ", ""),
    (r"`async with`", "`with`"),
    (r"\bAsync(?=Client|Iterator|BaseTransport)", ""),
    (r"\b__a(?=enter__|exit__)", "__"),
    (r"\.a(?=close\(|read\(|iter_lines\()", "."),
    (r"\basyncio\b", "time"),
    (r"\ban (?=`with`)", "a "),
    (r"for (\w+) in (.+):\n +yield \1\n", r"yield from \2\n"),
)


def made() -> str:
    """Return the client for programs that wait, as it follows from the other."""
    text = SOURCE.read_text(encoding="utf-8")
    for pattern, replacement in RULES:
        text = re.sub(pattern, replacement, text, flags=re.DOTALL if pattern.startswith(r"\A") else 0)
    for work in (("check", "--select", "I", "--fix", "--quiet"), ("format", "--quiet")):
        command = [sys.executable, "-m", "ruff", *work, "--stdin-filename", str(MADE), "-"]
        text = subprocess.run(command, input=text, capture_output=True, text=True, check=True).stdout
    return text


def main() -> int:
    """Write or check the file."""
    parser = argparse.ArgumentParser(description="The client for programs that wait.")
    parser.add_argument("--check", action="store_true", help="write nothing; exit 1 if the file is stale")
    asked = parser.parse_args()
    new = made()
    if asked.check:
        is_current = MADE.is_file() and MADE.read_text(encoding="utf-8") == new
        print(f"{MADE.name} is current" if is_current else f"{MADE.name} is stale: run scripts/sync_client.py")
        return int(not is_current)
    MADE.write_text(new, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
