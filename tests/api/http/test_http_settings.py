"""Settings: where they come from, what is refused, and that what is printed can be read back."""

from __future__ import annotations

import string
from dataclasses import fields
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from number_texts import NO_NUMBERS, NO_WHOLE_NUMBERS

from api.http.settings import Settings, SettingsError, read_settings, settings_text


def test_the_command_line_goes_before_the_environment_and_that_before_the_file(tmp_path: Path) -> None:
    file = tmp_path / "wetted.toml"
    file.write_text('host = "::1"\nport = 1\nmax_age_s = 7\n')
    read = read_settings({"host": "h", "port": None}, {"WETTED_PORT": "2", "WETTED_HOST": "e"}, file)
    assert (read.settings.host, read.settings.port, read.settings.max_age_s) == ("h", 2, 7)
    origins = {one.name: one.origin for one in read.origins}
    assert (origins["host"], origins["port"]) == ("command line", "environment WETTED_PORT")
    assert (origins["max_age_s"], origins["watch_s"]) == (f"file {file}", "usual")


def test_the_environment_can_name_the_file(tmp_path: Path) -> None:
    file = tmp_path / "wetted.toml"
    file.write_text('cors_origins = ["https://a.example"]\n')
    assert read_settings(environment={"WETTED_SETTINGS": str(file)}).settings.cors_origins == ("https://a.example",)


def test_what_is_printed_can_be_read_back(tmp_path: Path) -> None:
    environment = {
        "WETTED_HOST": 'a"b\\c\n',
        "WETTED_CORS_ORIGINS": "https://a.example, https://b.example",
        "WETTED_PORT": "0",
    }
    read = read_settings(environment=environment)
    file = tmp_path / "wetted.toml"
    file.write_text(settings_text(read))
    assert read_settings(environment={}, file=file).settings == read.settings


@pytest.mark.parametrize(
    ("environment", "words"),
    [
        ({"WETTED_PROT": "1"}, "nearest: port"),
        ({"WETTED_PORT": "http"}, "write a whole number"),
        ({"WETTED_PORT": "65536"}, "from 0 to 65535"),
        ({"WETTED_WATCH_S": "nan"}, "write a number"),
        ({"WETTED_WATCH_S": "3601"}, "from 0 to 3600"),
        ({"WETTED_MAX_AGE_S": "1.5"}, "write a whole number"),
        ({"WETTED_SETTINGS": "/nowhere/at/all.toml"}, "cannot be read"),
    ],
)
def test_a_setting_that_cannot_be_meant_is_refused(environment: dict[str, str], words: str) -> None:
    with pytest.raises(SettingsError, match=words):
        read_settings(environment=environment)


@pytest.mark.parametrize(
    "text", ["port = true", 'port = "80"', "watch_s = inf", "cors_origins = [1]", "port =", "x = 1"]
)
def test_a_file_that_cannot_be_meant_is_refused(tmp_path: Path, text: str) -> None:
    file = tmp_path / "wetted.toml"
    file.write_text(text)
    with pytest.raises(SettingsError):
        read_settings(environment={}, file=file)


def test_variables_of_others_are_left_alone() -> None:
    read = read_settings(environment={"WETTED_CACHE_DIR": "/x", "WETTED_SETTINGS": "", "HOST": "y"})
    assert (read.settings, read.unknown) == (Settings(), ())


NAMES = tuple(one.name for one in fields(Settings))
PROTOCOLS = st.sampled_from(("tcp", "udp", "sctp"))
ADDRESSES = st.one_of(st.ip_addresses(v=4).map(str), st.ip_addresses(v=6).map("[{}]".format), st.just("wetted.svc"))
SERVICES = st.one_of(st.just(""), st.from_regex(r"[A-Z0-9]{1,8}(_[A-Z0-9]{1,8})?_", fullmatch=True))
PORT_NAMES = st.one_of(
    st.sampled_from(("HTTP", "S", "HOST", "PORT")), st.from_regex(r"[A-Z][A-Z0-9_]{0,9}", fullmatch=True)
)


@st.composite
def of_a_cluster(draw: st.DrawFn) -> dict[str, str]:
    """Return what a cluster sets in every container for one service whose name is ours, or begins so."""
    service, host, protocol = draw(SERVICES), draw(ADDRESSES), draw(PROTOCOLS)
    port = draw(st.integers(1, 65535))
    start, one = f"WETTED_{service}", f"WETTED_{service}PORT_{port}_{protocol.upper()}"
    return {
        f"{start}SERVICE_HOST": host,
        f"{start}SERVICE_PORT": str(port),
        f"{start}SERVICE_PORT_{draw(PORT_NAMES)}": str(port),
        f"{start}PORT": f"{protocol}://{host}:{port}",
        one: f"{protocol}://{host}:{port}",
        f"{one}_PROTO": protocol,
        f"{one}_PORT": str(port),
        f"{one}_ADDR": host,
    }


@given(of_a_cluster(), st.sampled_from(({}, {"WETTED_MAX_AGE_S": "7"}, {"WETTED_HOST": "0.0.0.0"})))
def test_a_cluster_that_has_a_service_of_this_name_changes_nothing(around: dict[str, str], own: dict[str, str]) -> None:
    read = read_settings(environment=around | own)
    assert read.settings == read_settings(environment=own).settings
    assert read.unknown == ()


def test_a_port_is_still_set_in_such_a_cluster() -> None:
    around = {"WETTED_SERVICE_HOST": "10.0.0.1", "WETTED_SERVICE_PORT": "80", "WETTED_PORT_80_TCP": "tcp://10.0.0.1:80"}
    assert read_settings(environment=around | {"WETTED_PORT": "9000"}).settings.port == 9000
    assert read_settings({"port": 9001}, around | {"WETTED_PORT": "tcp://10.0.0.1:80"}).settings.port == 9001


@given(st.sampled_from(NAMES), st.integers(0, 40), st.sampled_from(string.ascii_lowercase), st.integers(0, 3))
def test_a_slip_in_the_name_of_a_setting_is_refused_with_that_name(name: str, at: int, letter: str, how: int) -> None:
    before, after = name[: at % len(name)], name[at % len(name) :]
    slips = (
        before + letter + after,
        before + after[1:],
        before + letter + after[1:],
        before + after[1::-1] + after[2:],
    )
    written = slips[how]
    if written in NAMES:
        return
    with pytest.raises(SettingsError) as refused:
        read_settings(environment={f"WETTED_{written.upper()}": "1"})
    assert name in refused.value.nearest


@pytest.mark.parametrize("variable", ["WETTED_DEBUG", "WETTED_IMAGE", "WETTED_NAMESPACE", "WETTED_ENV_HOME", "WETTED_"])
def test_a_variable_like_no_setting_is_named_and_stops_nothing(variable: str) -> None:
    read = read_settings(environment={variable: "1", "WETTED_MAX_AGE_S": "7"})
    assert (read.settings, read.unknown) == (Settings(max_age_s=7), (variable,))
    assert f"# environment {variable} is no setting" in settings_text(read)


@given(NO_WHOLE_NUMBERS)
def test_a_whole_number_is_one_or_refused(text: str) -> None:
    with pytest.raises(SettingsError, match="write a whole number"):
        read_settings(environment={"WETTED_MAX_AGE_S": text})


@given(NO_NUMBERS)
def test_a_number_is_one_or_refused(text: str) -> None:
    with pytest.raises(SettingsError, match="write a number"):
        read_settings(environment={"WETTED_WATCH_S": text})


def test_a_number_too_large_to_hold_is_out_of_range() -> None:
    with pytest.raises(SettingsError, match="from 0 to 3600"):
        read_settings(environment={"WETTED_WATCH_S": "1e999"})
