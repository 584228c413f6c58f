"""The page kb/checks/CODES.md: every code of `wetted tables check`, made here, so that it is never stale.

Owns: the form of the page. Does not own: codes and promises (`kb/checks/codes.py`). With `--check` nothing is written
and the exit code says whether the page is current.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from kb.checks.codes import all_codes

PAGE = Path(__file__).resolve().parent.parent / "kb" / "checks" / "CODES.md"
HEAD = """# Codes of `wetted tables check`

Made by scripts/codes.py; do not edit. A code is permanent: it is never given to another promise. `wetted tables codes`
prints the same list, `wetted tables codes TUB-001` one of them.

| code | what it promises | where it is checked |
| --- | --- | --- |
"""


def page() -> str:
    """Return the page as Markdown."""
    return HEAD + "".join(f"| {one.code} | {one.promise} | `{one.file}` |\n" for one in all_codes())


def main() -> int:
    """Write or check the page."""
    parser = argparse.ArgumentParser(description="The page of codes of `wetted tables check`.")
    parser.add_argument("--check", action="store_true", help="write nothing; exit 1 if the page is stale")
    asked = parser.parse_args()
    new = page()
    if asked.check:
        is_current = PAGE.is_file() and PAGE.read_text(encoding="utf-8") == new
        print(f"{PAGE.name} is current" if is_current else f"{PAGE.name} is stale: run scripts/codes.py")
        return int(not is_current)
    PAGE.write_text(new, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
