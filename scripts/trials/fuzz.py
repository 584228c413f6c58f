"""Requests made up from the description of the service, as many as there is time for; the tests run a few of them.

Owns: the longer run and its figures. Does not own: how requests are made and what counts as right
(`tests/api/http/generated_requests.py`). Nothing goes over the network: the application is called in this process.
Run it in the project's environment: `.venv/bin/python scripts/trials/fuzz.py --examples 200`.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "api" / "http")]

from api.http.app import create_app  # noqa: E402
from api.http.settings import Settings  # noqa: E402
from kb.knowledge_base import load  # noqa: E402


def main() -> int:
    """Ask, and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--examples", type=int, default=100, help="most requests for each operation and phase")
    parser.add_argument("--seed", type=int, default=2, help="another seed makes other requests")
    asked = parser.parse_args()
    from generated_requests import described_api, run_generated  # noqa: PLC0415 - after help, which is quick

    app, start = create_app(load(), Settings(log_requests=False)), time.monotonic()
    run = run_generated(described_api(app, asked.examples, asked.seed))
    seconds = time.monotonic() - start
    followed = run.requests.pop("Stateful tests", 0)
    print(f"{run.requests.total() + followed} requests in {seconds:.0f} s to {len(run.requests)} operations,")
    print(f"{followed} of them along links; seed {asked.seed}")
    if run.given_up:
        print(f"the generator itself gave up {len(run.given_up)} times:", *run.given_up, sep="\n  ")
    print(f"failures: {len(run.failures)}", *run.failures[:10], sep="\n\n")
    return 1 if run.failures else 0


if __name__ == "__main__":
    sys.exit(main())
