"""The client for programs that wait is made from the one for asyncio."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_the_client_for_programs_that_wait_is_the_one_made_from_the_other() -> None:
    run = subprocess.run(
        [sys.executable, ROOT / "scripts" / "sync_client.py", "--check"], capture_output=True, text=True, check=False
    )
    assert (run.returncode, run.stdout) == (0, "sync_client.py is current\n")
