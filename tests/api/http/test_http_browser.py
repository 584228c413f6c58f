"""A page in a real browser asks the service from another origin. Skipped where no Chromium is installed."""

from __future__ import annotations

import functools
import html
import json
import re
import shutil
import subprocess
import threading
from collections.abc import Iterator
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from live_service import serving

from api.http.settings import Settings
from kb import KnowledgeBase

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or ""
PAGE = """<!doctype html><title>page</title><pre id="told">nothing</pre><script>
const question = JSON.stringify({a: "thread/g-1-4", b: "thread/g-1-4"});
const posted = (headers) => ({method: "POST", body: question, headers});
const asked = {
  get: ["/v1/pair?a=thread/g-1-4&b=thread/g-1-4", {}],
  post: ["/v1/pair", posted({"Content-Type": "application/json", "X-Request-ID": "page-1"})],
  batch: ["/v1/batch/pair", posted({"Content-Type": "application/x-ndjson"})],
  refused: ["/v1/pair?a=thread/g-1-5&b=thread/g-1-4", {}],
};
(async () => {
  const told = {};
  for (const [name, [path, options]] of Object.entries(asked)) {
    try {
      const reply = await fetch("http://127.0.0.1:PORT" + path, options);
      const body = await reply.text();
      const said = ["Wetted-Version", "X-Request-ID"].map((one) => reply.headers.get(one));
      told[name] = [reply.status, ...said, body.length > 0];
    } catch (error) { told[name] = String(error); }
  }
  document.getElementById("told").textContent = JSON.stringify(told);
})();
</script>"""


class Quiet(SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        """Say nothing."""


@pytest.fixture
def pages(tmp_path: Path) -> Iterator[int]:
    server = ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=tmp_path))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield server.server_port
    server.shutdown()
    server.server_close()


@pytest.mark.long
@pytest.mark.skipif(not CHROMIUM, reason="no Chromium is installed")
@pytest.mark.parametrize("is_let_in", [True, False])
def test_a_page_of_another_origin_asks_in_a_browser(
    base: KnowledgeBase, pages: int, tmp_path: Path, is_let_in: bool
) -> None:
    origins = (f"http://127.0.0.1:{pages}",) if is_let_in else ("https://other.example",)
    with serving(base, Settings(port=0, cors_origins=origins)) as port:
        (tmp_path / "page.html").write_text(PAGE.replace("PORT", str(port)))
        own = ("--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={tmp_path / 'profile'}")
        wait = ("--virtual-time-budget=20000", "--dump-dom", f"http://127.0.0.1:{pages}/page.html")
        done = subprocess.run([CHROMIUM, *own, *wait], capture_output=True, text=True, timeout=120, check=True)
    found = re.search(r'<pre id="told">(.*?)</pre>', done.stdout, re.DOTALL)
    assert found
    reported = json.loads(html.unescape(found[1]))
    if not is_let_in:
        assert set(reported.values()) == {"TypeError: Failed to fetch"}
        return
    assert {name: one[0] for name, one in reported.items()} == {"get": 200, "post": 200, "batch": 200, "refused": 422}
    assert all(version == base.version and body for _, version, _, body in reported.values())
    assert reported["post"][2] == "page-1"
