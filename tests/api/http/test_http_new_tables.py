"""Tables never seen before are judged in a process of their own, and whatever becomes of it, the service goes on."""

from __future__ import annotations

import asyncio
import contextlib
import functools
import os
import shutil
import signal
import time
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from asgi_asking import Asker, got

from api.http.app import create_app
from api.http.reload import loading
from api.http.reload.loading import LoadError, judge_beside, load_beside
from api.http.reload.reloading import Reloader
from api.http.responses.metrics import Metrics
from api.http.server.serve import service as whole_service
from api.http.settings import Settings
from kb.curation.release.build import build_release
from kb.knowledge_base import KnowledgeBase, load
from kb.load import TABLES_FOLDER, check_folder, load_tables

PATIENCE_S = 60.0


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a copy of the tables that no cache knows."""
    monkeypatch.setenv("WETTED_CACHE_DIR", str(tmp_path / "cache"))
    folder = tmp_path / "tables"
    shutil.copytree(TABLES_FOLDER, folder)
    name_version(folder, "2027.1.1")
    return folder


def name_version(folder: Path, version: str) -> None:
    (folder / "VERSION").write_text(f"{version}\n")


def retitle(folder: Path) -> None:
    table = folder / "tubes.csv"
    table.write_bytes(table.read_bytes().replace(b",acrylic tube 13 x 10 mm,", b",clear tube 13 x 10 mm,"))


def service(base: KnowledgeBase, folder: Path, patience_s: float = PATIENCE_S) -> Reloader:
    return Reloader(base, create_app, folder, functools.partial(load_beside, patience_s=patience_s))


def judging_children() -> list[int]:
    reported = Path(f"/proc/{os.getpid()}/task").glob("*/children")
    children = [int(one) for path in reported for one in path.read_text().split()]
    return [one for one in children if loading.__name__.encode() in command_line_of(one)]


def command_line_of(process: int) -> bytes:
    """Return how a process was started; nothing if it has ended meanwhile."""
    with contextlib.suppress(FileNotFoundError, ProcessLookupError):
        return Path(f"/proc/{process}/cmdline").read_bytes()
    return b""


async def answered_meanwhile(app: Reloader, work: Awaitable[object], meanwhile: Callable[[], object]) -> list[float]:
    """Ask again and again while work goes on; return how long each answer took [s]."""
    task, took = asyncio.ensure_future(work), []
    while not task.done():
        start = time.perf_counter()
        reply = await Asker(app).send(got("/v1/rows/thread/g-1-4"))
        took.append(time.perf_counter() - start)
        assert reply.status == 200
        meanwhile()
        await asyncio.sleep(0.02)
    await task
    return took


def test_questions_are_answered_while_new_tables_are_judged(base: KnowledgeBase, folder: Path) -> None:
    app, seen = service(base, folder), set[int]()
    retitle(folder)
    took = asyncio.run(answered_meanwhile(app, app.reload(), lambda: seen.update(judging_children())))
    assert app.state.refused == ""
    assert app.state.version.startswith("2027.1.1+")
    assert len(seen) == 1, "they are judged once, by another process"
    assert len(took) > 10
    assert sorted(took)[len(took) // 2] < 0.1


def test_who_asks_whether_it_is_ready_learns_that_new_tables_are_being_judged(
    base: KnowledgeBase, folder: Path, caplog: pytest.LogCaptureFixture
) -> None:
    async def seen_meanwhile() -> list[tuple[bool, bool]]:
        app = whole_service(Settings(tables=str(folder), log_requests=False), base, Metrics())
        ask, seen = Asker(app), list[tuple[bool, bool]]()
        task = asyncio.ensure_future(app.reload())
        while not task.done():
            seen.append(((await ask.send(got("/ready"))).json()["judging"], bool(judging_children())))
            await asyncio.sleep(0.02)
        ready = (await ask.send(got("/ready"))).json()
        assert (ready["judging"], ready["last_refused"], ready["reloads"]) == (False, False, 1)
        return seen

    caplog.set_level("INFO")
    seen = asyncio.run(seen_meanwhile())
    assert all(is_reported for is_reported, is_judged in seen if is_judged)
    assert any(is_reported for is_reported, _ in seen)
    assert "new tables are being judged and loaded" in caplog.text


def test_faults_found_there_are_those_found_here(folder: Path, tmp_path: Path) -> None:
    (folder / "VERSION").write_text("none\n")
    table = folder / "tubes.csv"
    table.write_bytes(table.read_bytes().replace(b"tube/acrylic-13x10,", b"tube/\xc3\xa4crylic-13x10,"))
    with pytest.raises(LoadError) as refused:
        asyncio.run(judge_beside(folder, tmp_path / "cache", PATIENCE_S))
    faults = check_folder(folder)
    told = "; ".join(map(str, faults[: loading.MOST_FAULTS_TOLD]))
    assert str(refused.value) == f"{len(faults)} faults: {told}"
    assert {fault.file for fault in faults} >= {"VERSION", "tubes.csv"}


def test_a_judge_that_is_killed_is_a_refusal_and_the_service_goes_on(base: KnowledgeBase, folder: Path) -> None:
    def kill() -> None:
        for child in judging_children():
            os.kill(child, signal.SIGKILL)

    app = service(base, folder)
    asyncio.run(answered_meanwhile(app, app.reload(), kill))
    assert "SIGKILL" in app.state.refused
    assert (app.state.version, app.state.refusals) == (base.version, 1)
    assert asyncio.run(app.reload()).version.startswith("2027.1.1+"), "the next try is a new one"


def test_a_judge_that_takes_too_long_is_ended_and_a_refusal(base: KnowledgeBase, folder: Path) -> None:
    app = service(base, folder, patience_s=0.2)
    took = asyncio.run(answered_meanwhile(app, app.reload(), lambda: None))
    assert app.state.refused == "judging the tables took longer than 0.2 s"
    assert took
    assert judging_children() == []


def test_a_judge_that_breaks_reports_its_last_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "asyncio.py").write_text("raise RuntimeError('spoiled')")
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(LoadError, match=r"judging the tables.* exit status 1.* RuntimeError: spoiled"):
        asyncio.run(judge_beside(tmp_path, tmp_path, PATIENCE_S))


def test_a_service_that_ends_takes_the_judge_with_it(folder: Path, tmp_path: Path) -> None:
    async def begin_and_leave() -> None:
        task = asyncio.create_task(judge_beside(folder, tmp_path / "cache", PATIENCE_S))
        while not judging_children():
            await asyncio.sleep(0.01)
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task

    asyncio.run(begin_and_leave())
    assert judging_children() == []


def test_where_the_cache_cannot_be_written_another_folder_is_taken(
    base: KnowledgeBase, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("WETTED_CACHE_DIR", str(tmp_path / "file" / "cache"))
    assert asyncio.run(service(base, folder).reload()).version.startswith("2027.1.1+")


def test_tables_that_were_frozen_before_start_no_process(
    base: KnowledgeBase, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    load_tables(folder)
    monkeypatch.setattr("api.http.reload.loading.judge_beside", lambda *_: pytest.fail("a process was started"))
    assert asyncio.run(service(base, folder).reload()).version.startswith("2027.1.1+")


def test_one_release_after_another_is_served(base: KnowledgeBase, folder: Path, tmp_path: Path) -> None:
    link, versions = tmp_path / "present", []
    app = service(base, link)
    for number in (1, 2, 1):
        name_version(folder, f"2027.1.{number}")
        release = tmp_path / f"release-{number}"
        if not release.exists():
            build_release(release, load_tables(folder), folder)
        for target in (release, release / "wetted.duckdb"):
            link.unlink(missing_ok=True)
            link = tmp_path / f"present{target.suffix}"
            link.unlink(missing_ok=True)
            link.symlink_to(target)
            app._tables = link
            versions.append(asyncio.run(app.reload()).version)
            assert app.state.refused == ""
    assert [version.partition("+")[0] for version in versions] == [f"2027.1.{one}" for one in (1, 1, 2, 2, 1, 1)]


def test_the_base_that_is_loaded_shares_what_did_not_change(base: KnowledgeBase, folder: Path) -> None:
    async def load_two() -> tuple[KnowledgeBase, KnowledgeBase]:
        first = await load_beside(folder, base, PATIENCE_S)
        retitle(folder)
        return first, await load_beside(folder, first, PATIENCE_S)

    first, second = asyncio.run(load_two())
    differing = {
        name for name, rows in second.snapshot.built.rows.items() if rows is not first.snapshot.built.rows[name]
    }
    assert differing == {"tubes"}
    assert second.version == load(folder).version
