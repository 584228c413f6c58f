"""Whatever goes wrong ends in one clear line on standard error and a documented exit code, never in a traceback."""

from __future__ import annotations

import json
import os
import re
import shutil
import socket
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

import api.cli.commands.reading
from kb import Fault, TablesRefusedError
from kb.load import TABLES_FOLDER

TUBE = "tube/soft-10x16"


@pytest.mark.parametrize(
    "arguments",
    [
        ("frobnicate",),
        ("pair", TUBE),
        ("pair", TUBE, TUBE, TUBE),
        ("pair", TUBE, TUBE, "--frobnicate"),
        ("pair", "tube/soft-10x17", TUBE),
        ("pair", "", TUBE),
        ("pair", "no such thing", TUBE),
        ("pair", "x" * 500, TUBE),
        ("pair", '{"is": ', TUBE),
        ("pair", '{"is": "tube/nope"}', TUBE),
        ("pair", '{"is": "tube/soft-10x16", "is": "tube/soft-10x13"}', TUBE),
        ("pair", '{"is": "tube/soft-10x16", "wide_mm": 3}', TUBE),
        ("pair", '{"is": "tube/soft-10x16", "id": "3 parsec"}', TUBE),
        ("pair", '{"od_mm": 3}', TUBE),
        ("pair", "{" * 5000, TUBE),
        ("pair", '{"a":' * 5000, TUBE),
        ("pair", "@/no/such/file", TUBE),
        ("pair", "@/", TUBE),
        ("pair", "@", TUBE),
        ("pair", TUBE, TUBE, "--condition", "warm"),
        ("pair", TUBE, TUBE, "--condition", "warm=1"),
        ("pair", TUBE, TUBE, "--condition", "coolant-temperature=nan"),
        ("pair", TUBE, TUBE, "--condition", "coolant-temperature=1", "--condition", "coolant-temperature=2"),
        ("partners", TUBE, "--kind", "wheel"),
        ("partners", TUBE, "--limit", "0"),
        ("partners", TUBE, "--limit", "9" * 50),
        ("between", TUBE, "port/nope"),
        ("find", ""),
        ("find", "y" * 500),
        ("fluids",),
        ("fluids", "tube/nope"),
        ("fluids", "metal/copper", ""),
        ("fluids", "thread/g-1-4"),
        ("fluids", "metal/copper", "--additive", "additive/nope"),
        ("fluids", "metal/copper", "--limit", "0"),
        ("fluids", "metal/copper", "--condition", "warm=1"),
        ("materials", "metal/copper"),
        ("materials", "fluid/distilled-water", "--family", "family/fitting"),
        ("materials", "fluid/distilled-water", "--limit", "9" * 50),
        ("matrix", "family/metal"),
        ("matrix", "family/metal", "family/nope"),
        ("matrix", "family/metal", "family/tube"),
        ("matrix", "metal/copper", "family/water"),
        ("pair", "radiator/360x45-low", "fan/low-speed-140"),
        ("pair", "family/tube-soft", TUBE),
        ("pair", "metal/coper", "fluid/distilled-water"),
        ("partners", "pump/medium-12-v-high-flow"),
        ("partners", "fluid/destilled-water"),
        ("between", "block/memory", TUBE),
        ("fluids", "fan/low-speed-140"),
        ("fluids", "plastic/unobtainium"),
        ("materials", "fluid/destilled-water"),
        ("matrix", "family/metal", "family/metal", "--csv", "--json"),
        ("mix", "propylene-glycol"),
        ("mix", "syrup", "--parts", "1:3"),
        ("mix", "propylene-glycol", "--parts", "1"),
        ("mix", "propylene-glycol", "--parts", "1:-3"),
        ("mix", "propylene-glycol", "--parts", "nan:1"),
        ("mix", "propylene-glycol", "--parts", "0:1"),
        ("mix", "propylene-glycol", "--parts", "1:3", "--concentrate-share", "101"),
        ("mix", "propylene-glycol", "--parts", "1:3", "--temperature", "nan"),
        ("loop", "/no/such/file"),
        ("show", "tube/nope"),
        ("show", ""),
        ("list", "wheels"),
        ("list", "tubes", "--family", "family/nope"),
        ("list", "tubes", "--limit", "-1"),
        ("serve", "--port", "99999"),
        ("tables", "frobnicate"),
    ],
)
def test_what_cannot_be_asked_ends_in_one_line_and_code_2(wetted: Callable, arguments: tuple[str, ...]) -> None:
    reported = wetted(*arguments)
    assert reported.code == 2
    assert reported.out == ""
    assert re.fullmatch(r"wetted: .+\n", reported.err)
    assert len(reported.err) < 800


def test_an_unknown_id_is_reported_with_the_nearest_ones(wetted: Callable) -> None:
    reported = wetted("pair", "tube/soft-10x17", TUBE)
    assert reported.err.startswith("wetted: a: no part has the id 'tube/soft-10x17'; ")
    assert "; nearest: " in reported.err
    assert TUBE in reported.err


def test_a_device_in_a_pair_is_reported_to_be_one_and_where_it_is_taken(wetted: Callable) -> None:
    reported = wetted("pair", "radiator/360x45-low", "fan/low-speed-140")
    assert reported.err.startswith("wetted: a: radiator/360x45-low is a radiator; this field takes a thread, port, ")
    assert "state it in a loop" in reported.err


def test_every_wrong_field_has_a_line_of_its_own(wetted: Callable, tmp_path: Path) -> None:
    (tmp_path / "loop.json").write_text(
        '{"parts": {"pump": {"kind": "wheel"}, "cpu": {"kind": "block", "ports": 3}}, "runs": [{"from": "x"}], "y": 1}'
    )
    reported = wetted("loop", str(tmp_path / "loop.json"))
    assert reported.code == 2
    places = [line.split(": ")[1] for line in reported.err.splitlines()]
    assert places == ["parts.pump.kind", "parts.cpu.ports", "runs.0.from", "runs.0.to", "y"]


def test_of_very_many_wrong_fields_the_first_are_reported(wetted: Callable, tmp_path: Path) -> None:
    fields = ", ".join(f'"wrong{number}": 1' for number in range(50))
    (tmp_path / "loop.json").write_text(f'{{"parts": {{"p": {{"kind": "pump", "ports": {{"a": "b"}}}}}}, {fields}}}')
    reported = wetted("loop", str(tmp_path / "loop.json"))
    assert len(reported.err.splitlines()) == 11
    assert reported.err.endswith("and at least 10 more\n")


@pytest.mark.parametrize(
    "content", [b"", b"[]", b"null", b"\xff\xfe", b"\xef\xbb\xbf{}", b"{}", b'{"parts": NaN}', b"1" * 5000]
)
def test_a_loop_file_with_anything_else_in_it_is_refused(wetted: Callable, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "loop.json").write_bytes(content)
    reported = wetted("loop", str(tmp_path / "loop.json"))
    assert (reported.code, reported.out) == (2, "")
    assert re.fullmatch(r"wetted: .+\n", reported.err)


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="needs a file without end")
def test_a_file_without_end_is_refused(wetted: Callable) -> None:
    reported = wetted("loop", "/dev/zero")
    assert reported.code == 2
    assert "larger than" in reported.err


@pytest.mark.skipif(sys.platform == "win32", reason="arguments are text there")
@pytest.mark.parametrize(
    "hostile",
    [
        b"\xff\xfe",
        b'{"is": "\xff"}',
        b"tube/\xff",
        b"@\xff",
        b"\x1b[31mred",
        b"\n",
        b"y" * 100_000,
        b'{"is": "' + b"y" * 100_000 + b'"}',
    ],
)
@pytest.mark.parametrize(
    "command", [("pair", TUBE), ("partners",), ("find",), ("show",), ("list",), ("loop",), ("fluids",), ("materials",)]
)
def test_hostile_arguments_end_in_one_line(wetted: Callable, command: tuple[str, ...], hostile: bytes) -> None:
    reported = wetted(*command, os.fsdecode(hostile))
    assert "\x1b" not in reported.err + reported.out
    assert reported.code == 2 or command == ("find",)
    if reported.code == 2:
        assert re.fullmatch(r"wetted: .+\n", reported.err)
        assert len(reported.err) < 800


@pytest.mark.skipif(sys.platform == "win32", reason="arguments are text there")
def test_bytes_that_are_no_text_end_in_one_line_in_a_real_process(process: Callable) -> None:
    reported = process(["pair", b"\xff\xfe", TUBE], LC_ALL="C", PYTHONUTF8="0", PYTHONCOERCECLOCALE="0")
    assert (reported.code, reported.out) == (2, "")
    assert re.fullmatch(r"wetted: .+\n", reported.err)


def test_a_sound_folder_of_tables_is_said_to_be_sound(wetted: Callable) -> None:
    reported = wetted("tables", "check")
    assert (reported.code, reported.out) == (0, f"no faults in {TABLES_FOLDER}\n")


def test_every_fault_of_the_tables_is_reported_with_its_place(wetted: Callable, tmp_path: Path) -> None:
    folder = tmp_path / "tables"
    shutil.copytree(TABLES_FOLDER, folder)
    lines = (folder / "tubes.csv").read_text().splitlines()
    lines[3] = lines[3].replace("family/tube-acrylic", "family/nope", 1).replace(",low,", ",rather,", 1)
    (folder / "tubes.csv").write_text("\n".join(lines) + "\n")
    reported = wetted("tables", "check", "--folder", str(folder))
    assert reported.code == 3
    assert reported.out
    for line in reported.out.splitlines():
        assert re.fullmatch(r"tubes\.csv:4 tube/\S+ \S+ [A-Z]{3}-\d{3}: .+; fix: .+", line)


def test_a_missing_folder_of_tables_is_a_fault_too(wetted: Callable, tmp_path: Path) -> None:
    reported = wetted("tables", "check", "--folder", str(tmp_path / "nothing"))
    assert reported.code == 3
    assert "no such folder" in reported.out


def _failing(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    def fail() -> None:
        raise error

    monkeypatch.setattr(api.cli.commands.reading, "load", fail)


def test_refused_tables_end_in_code_3_with_every_fault(wetted: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    faults = [Fault("tubes.csv", line, "id_mm", "TUB-001", "tube/a", "it is odd", "make it even") for line in (3, 2)]
    _failing(monkeypatch, TablesRefusedError(faults))
    reported = wetted("version")
    assert (reported.code, reported.out) == (3, "")
    assert reported.err.splitlines() == [
        "wetted: the tables were refused, with 2 faults",
        "wetted: tubes.csv:2 tube/a id_mm TUB-001: it is odd; fix: make it even",
        "wetted: tubes.csv:3 tube/a id_mm TUB-001: it is odd; fix: make it even",
    ]


def test_an_internal_failure_ends_in_one_line_and_code_1(wetted: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    _failing(monkeypatch, RuntimeError("two\nlines \x1b[31m"))
    reported = wetted("version")
    assert reported.code == 1
    assert re.fullmatch(
        r"wetted: internal failure at test_cli_errors.py:\d+: RuntimeError: two lines \\x1b\[31m\n", reported.err
    )


def test_ctrl_c_ends_in_code_130(wetted: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    _failing(monkeypatch, KeyboardInterrupt())
    assert wetted("version") == (130, "", "wetted: stopped\n")


def test_a_bare_call_shows_the_help_and_asks_nothing(wetted: Callable) -> None:
    reported = wetted()
    assert (reported.code, reported.out) == (2, "")
    assert reported.err.startswith("Usage: wetted")


def test_serve_starts_the_service_where_it_is_told_to(wetted: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    started: list[tuple[str, int]] = []
    service = ModuleType("api.http.server.serve")
    service.serve = lambda settings: started.append((settings.host, settings.port))  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "api.http.server.serve", service)
    assert wetted("serve").code == 0
    assert wetted("serve", "--host", "0.0.0.0", "--port", "8123").code == 0
    assert started == [("127.0.0.1", 8000), ("0.0.0.0", 8123)]


def test_a_port_in_use_is_reported_and_is_a_failure(process: Callable) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        reported = process(["serve", "--port", str(port)])
    assert reported.code == 1
    assert reported.err.endswith(f"wetted: cannot serve on 127.0.0.1 port {port}\n")
    assert "Traceback" not in reported.err


def test_the_environment_of_a_cluster_stops_no_service_and_foreign_variables_are_logged_once(
    process: Callable, tmp_path: Path
) -> None:
    around = {"WETTED_PORT": "tcp://10.0.0.1:8000", "WETTED_SERVICE_HOST": "10.0.0.1", "WETTED_DEBUG": "1"}
    reported = process(["serve", "--tables", str(tmp_path / "none")], **around)
    first, *others = reported.err.splitlines()
    line = json.loads(first)
    assert (line["level"], line["event"]) == ("warning", "wetted.settings")
    assert line["message"].endswith("WETTED_DEBUG")
    assert (reported.code, "WETTED" in "".join(others)) == (3, False)
