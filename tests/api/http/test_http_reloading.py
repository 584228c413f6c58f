"""New tables in a running service: swapped at once, refused if bad, pinned by those who need the old ones."""

from __future__ import annotations

import asyncio
import gc
import os
import shutil
import sys
import weakref
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
import uvicorn
from asgi_asking import Asker, Raw, got, require_problem
from starlette.testclient import TestClient
from starlette.types import ASGIApp, Receive, Scope, Send

from api.http.app import create_app
from api.http.reload.reloading import Reloader, fingerprint
from api.http.server import serve as serve_module
from api.http.server.guard import Guarded
from api.http.settings import Settings
from kb.knowledge_base import KnowledgeBase, load
from kb.load import TABLES_FOLDER

sys.path.insert(0, str(Path(__file__).resolve().parents[3]))
from reload_trial import run_trial

ROW = "/v1/rows/thread/g-1-4"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "tables"
    shutil.copytree(TABLES_FOLDER, folder)
    return folder


def name_version(folder: Path, version: str) -> None:
    (folder / "VERSION").write_text(f"{version}\n")


def app_maker(settings: Settings = Settings()) -> Callable[[KnowledgeBase], ASGIApp]:  # noqa: B008 - frozen
    return lambda base: create_app(base, settings)


def in_thread(load: Callable[[Path], KnowledgeBase]) -> Callable[[Path, KnowledgeBase], Awaitable[KnowledgeBase]]:
    return lambda folder, _before: asyncio.to_thread(load, folder)


def reloader_of(
    folder: Path, kept: int = 1, watch_s: float = 0.0, load: Callable[[Path], KnowledgeBase] = load
) -> Reloader:
    return Reloader(load(folder), app_maker(), folder, in_thread(load), kept, watch_s)


def version_reported(app: ASGIApp, pin: str | None = None) -> str:
    reply = Asker(app)(got(ROW, headers=[(b"wetted-version", pin.encode())] if pin else []))
    assert reply.status == 200
    assert reply.headers["wetted-version"] == reply.json()["kb_version"]
    return reply.headers["wetted-version"]


def test_new_tables_answer_after_a_reload(folder: Path) -> None:
    service = reloader_of(folder)
    before = version_reported(service)
    name_version(folder, "2027.1.1")
    assert version_reported(service) == before
    state = asyncio.run(service.reload())
    assert version_reported(service) == state.version
    assert state.version.startswith("2027.1.1+")
    assert (state.reloads, state.refusals, state.refused) == (1, 0, "")


def test_bad_tables_are_refused_and_the_old_ones_go_on(folder: Path, caplog: pytest.LogCaptureFixture) -> None:
    service = reloader_of(folder)
    before = version_reported(service)
    whole = (folder / "tubes.csv").read_bytes()
    for spoil in (lambda: (folder / "tubes.csv").write_bytes(whole[:-40]), lambda: shutil.rmtree(folder)):
        spoil()
        state = asyncio.run(service.reload())
        assert version_reported(service) == before == state.version
        assert state.refused
    assert (state.reloads, state.refusals) == (0, 2)
    assert "new tables were refused" in caplog.text
    shutil.copytree(TABLES_FOLDER, folder)
    assert asyncio.run(service.reload()).refused == ""


def test_tables_that_go_to_and_fro_answer_as_the_files_say(folder: Path) -> None:
    service = reloader_of(folder)
    versions = []
    for version in ("2027.1.1", "2027.1.2", "2027.1.1", "2027.1.1", "2027.1.3"):
        name_version(folder, version)
        versions.append(asyncio.run(service.reload()).version)
        assert version_reported(service) == versions[-1]
        assert versions[-1].startswith(f"{version}+")
    assert service.state.reloads == 4
    table = folder / "tubes.csv"
    table.write_bytes(table.read_bytes()[:-40])
    assert asyncio.run(service.reload()).refused, "the same version does not stand for other files"
    assert version_reported(service) == versions[-1]


def test_what_breaks_while_loading_is_refused_too(base: KnowledgeBase, folder: Path) -> None:
    def break_down(_folder: Path) -> KnowledgeBase:
        raise MemoryError

    service = Reloader(base, app_maker(), folder, in_thread(break_down))
    assert asyncio.run(service.reload()).refused == "MemoryError: "
    assert version_reported(service) == base.version


def test_tables_that_change_while_they_are_read_are_read_again(folder: Path) -> None:
    loads = []

    def load_slowly(read: Path) -> KnowledgeBase:
        loads.append(read)
        found = load(read)
        if len(loads) == 2:
            name_version(folder, "2027.1.2")
        return found

    service = reloader_of(folder, load=load_slowly)
    name_version(folder, "2027.1.1")
    assert asyncio.run(service.reload()).version.startswith("2027.1.2+")
    assert len(loads) == 3


def test_a_pinned_edition_goes_on_answering_as_long_as_it_is_kept(folder: Path) -> None:
    service = reloader_of(folder, kept=1)
    versions = [version_reported(service)]
    for number in (1, 2):
        name_version(folder, f"2027.1.{number}")
        versions.append(asyncio.run(service.reload()).version)
    assert version_reported(service, versions[1]) == versions[1]
    assert version_reported(service, versions[2]) == version_reported(service) == versions[2]
    reply = Asker(service)(got(ROW, headers=[(b"wetted-version", versions[0].encode())]))
    problem = require_problem(reply.status, reply.headers, reply.body)
    assert (problem.type, reply.headers["wetted-version"]) == ("/problems/version-not-served", versions[2])


def test_tags_of_old_tables_are_not_those_of_new_ones(folder: Path) -> None:
    service = reloader_of(folder, kept=0)
    tag = Asker(service)(got(ROW)).headers["etag"]
    name_version(folder, "2027.1.1")
    asyncio.run(service.reload())
    again = Asker(service)(got(ROW, headers=[(b"if-none-match", tag.encode())]))
    assert (again.status, again.headers["etag"] != tag) == (200, True)


def test_a_request_ends_with_the_edition_it_began_with(base: KnowledgeBase) -> None:
    entered = asyncio.Event()
    go_on = asyncio.Event()
    reported: list[str] = []

    def make(one: KnowledgeBase) -> ASGIApp:
        async def app(_scope: Scope, _receive: Receive, _send: Send) -> None:
            entered.set()
            await go_on.wait()
            reported.append(one.version)

        return app

    class Other(KnowledgeBase):
        version = "other"  # type: ignore[assignment]

    async def swap_meanwhile() -> None:
        service = Reloader(base, make, TABLES_FOLDER, in_thread(lambda _: Other(base.snapshot)), kept=0)
        request = asyncio.create_task(Asker(service).send(Raw("GET", b"/")))
        await entered.wait()
        assert (await service.reload()).version == "other"
        go_on.set()
        with pytest.raises(IndexError):  # nothing is sent
            await request

    asyncio.run(swap_meanwhile())
    assert reported == [base.version]


def test_editions_that_nobody_can_ask_any_more_are_let_go(folder: Path) -> None:
    made: list[weakref.ref[KnowledgeBase]] = []
    held_while_idle: list[Scope] = []

    async def server(scope: Scope, receive: Receive, send: Send) -> None:
        held_while_idle.append(scope)
        await service(scope, receive, send)

    def load_noted(read: Path) -> KnowledgeBase:
        found = load(read)
        made.append(weakref.ref(found))
        return found

    service = reloader_of(folder, kept=0, load=load_noted)
    for number in range(1, 4):
        name_version(folder, f"2027.1.{number}")
        asyncio.run(service.reload())
        version_reported(server)
    gc.collect()
    assert [one() is not None for one in made] == [False, False, False, True]


def test_the_first_tables_are_let_go_like_any_others(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[weakref.ref[KnowledgeBase]] = []

    def load_noted(read: Path) -> KnowledgeBase:
        found = load(read)
        made.append(weakref.ref(found))
        return found

    class Server:
        """Serves nobody, but gets new tables."""

        def __init__(self, config: uvicorn.Config) -> None:
            assert isinstance(config.app, Guarded)
            self._service = config.app.app
            assert isinstance(self._service, Reloader)

        def run(self) -> None:
            assert made[0]() is not None
            name_version(folder, "2027.2.1")
            assert asyncio.run(self._service.reload()).reloads == 1
            gc.collect()
            assert made[0]() is None

    for name, instead in (("load", load_noted), ("prepare_process", str), ("configure_logs", str)):
        monkeypatch.setattr(serve_module, name, instead)
    monkeypatch.setattr(uvicorn, "Server", Server)
    serve_module.serve(Settings(tables=str(folder), kept_versions=0))
    assert len(made) == 1


def test_a_changed_file_is_noticed_when_the_operator_wants_it(folder: Path) -> None:
    async def watch() -> str:
        service = reloader_of(folder, watch_s=0.02)
        async with service.running():
            await asyncio.sleep(0.1)
            name_version(folder, "2027.1.1")
            for _ in range(300):
                if service.state.reloads:
                    break
                await asyncio.sleep(0.02)
        return service.state.version

    assert asyncio.run(watch()).startswith("2027.1.1+")


def test_a_fingerprint_shows_every_change_of_a_folder(tmp_path: Path) -> None:
    prints = [fingerprint(tmp_path / "none"), fingerprint(tmp_path)]
    (tmp_path / "a.csv").write_text("x")
    prints.append(fingerprint(tmp_path))
    (tmp_path / "a.csv").write_text("yy")
    prints.append(fingerprint(tmp_path))
    os.utime(tmp_path / "a.csv", (1, 1))
    prints.append(fingerprint(tmp_path))
    assert len(set(prints)) == len(prints)
    assert fingerprint(tmp_path) == prints[-1]


def test_the_service_begins_and_ends_with_its_server(base: KnowledgeBase, folder: Path) -> None:
    service = Reloader(base, app_maker(), folder, in_thread(load))
    with TestClient(service) as client:
        assert client.get("/health").status_code == 200


def test_reloads_under_load_neither_fail_nor_mix_an_answer() -> None:
    trial = run_trial(seconds=3, per_minute=120, rate=100, versions=3)
    assert trial.load.failures == []
    assert trial.load.answers > 100
    assert trial.reloads >= 2
    assert len(trial.served) >= 2


def test_broken_tables_under_load_leave_the_old_ones_answering() -> None:
    trial = run_trial(seconds=3, per_minute=60, rate=50, versions=1, with_broken=True)
    assert trial.load.failures == []
    assert trial.load.answers > 100
    assert (trial.reloads, len(trial.served)) == (0, 1)
    assert trial.refusals >= 1
