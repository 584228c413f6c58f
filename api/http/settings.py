"""The settings of the service, and where each of them came from.

Owns: the closed list of settings with units, ranges and usual values, and reading them from a file, the environment and
the command line. Does not own: what a setting does (whoever takes `Settings`), or limits that belong to a question
(`schemas/questions.py`).
The environment is shared with others. What a cluster says there of a service of this name is left alone; any other
variable that begins alike is refused if it is nearly a setting, and else named, once, as read by nobody.
Imports nothing heavy: printing the settings must not load the service.
"""

from __future__ import annotations

import json
import os
import re
import tomllib
import typing
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Any

from schemas.columns.number_text import number_in, whole_in

PREFIX = "WETTED_"
FILE_VARIABLE = "WETTED_SETTINGS"
NOT_OURS = frozenset({FILE_VARIABLE, "WETTED_CACHE_DIR"})  # read by others, no setting of the service
_NEAR = 0.7  # alike enough to be a slip: one wrong letter of the shortest name leaves 0.75
_ABOUT_A_SERVICE = re.compile(
    r"(\w+_)?(SERVICE_HOST|SERVICE_PORT(_\w+)?|PORT_[0-9]+_(TCP|UDP|SCTP)(_(PROTO|PORT|ADDR))?)", re.ASCII
)
_ADDRESS_OF_A_SERVICE = re.compile(r"(tcp|udp|sctp)://.*")

_KIB, _MIB = 1024, 1024 * 1024
_HIGHEST_PORT = 65535
_YES_OR_NO = MappingProxyType(
    {"true": True, "yes": True, "on": True, "1": True} | dict.fromkeys(("false", "no", "off", "0"), False)
)


def _setting(usual: Any, text: str, least: float | None = None, most: float | None = None) -> Any:
    return field(default=usual, metadata={"text": text, "least": least, "most": most})


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything an operator may choose; every value here is the usual one.

    >>> Settings().port, Settings(port=0).host
    (8000, '127.0.0.1')
    """

    host: str = _setting("127.0.0.1", "Address to listen on; the usual one is this computer alone.")
    port: int = _setting(8000, "Port to listen on; 0 takes any free one.", 0, _HIGHEST_PORT)
    tables: str = _setting("", "Folder of tables or release to serve; empty = what comes with the program.")
    watch_s: float = _setting(0.0, "Seconds between two looks for changed tables; 0 = only on SIGHUP.", 0, 3600)
    judging_patience_s: float = _setting(60.0, "Seconds that new tables may take to be judged.", 0.01, 3600)
    kept_versions: int = _setting(1, "Earlier versions of the tables that clients may still pin.", 0, 100)
    cors_origins: tuple[str, ...] = _setting(
        (), "Origins whose pages may read answers, such as https://example.org; * = all; empty = none."
    )
    max_age_s: int = _setting(300, "Seconds for which anybody may cache an answer to an address.", 0, 31_536_000)
    cache_bytes: int = _setting(64 * _MIB, "Memory for cached responses; 0 = cache none.", 0, 64 * 1024 * _MIB)
    longest_answer_s: float = _setting(10.0, "Seconds for one answer; what takes longer is refused.", 0.001, 3600)
    most_long_questions: int = _setting(4, "Most questions that take long answered at the same time.", 1, 1000)
    largest_body_bytes: int = _setting(_MIB, "Largest body of one question.", 1, 1024 * _MIB)
    largest_head_bytes: int = _setting(16 * _KIB, "Largest request line and headers.", _KIB, _MIB)
    head_patience_s: float = _setting(10.0, "Seconds for a request's head to arrive.", 0.01, 3600)
    body_patience_s: float = _setting(10.0, "Seconds for a request's body to arrive.", 0.01, 3600)
    largest_batch_bytes: int = _setting(16 * _MIB, "Largest body of a batch sent line by line.", 1, 1024 * _MIB)
    most_batch_questions: int = _setting(100_000, "Most questions in one batch.", 1, 100_000_000)
    most_batches: int = _setting(8, "Most batches answered at the same time.", 1, 10_000)
    batch_patience_s: float = _setting(60.0, "Seconds for the body of a batch to arrive.", 0.01, 86_400)
    send_patience_s: float = _setting(30.0, "Seconds for a client to take what was sent to it.", 0.01, 3600)
    most_connections: int = _setting(4096, "Most connections held open at the same time.", 1, 1_000_000)
    log_requests: bool = _setting(True, "Write a line of JSON on standard error for every request.")
    workers: int = _setting(1, "Processes that serve, all from the same built tables.", 1, 256)
    keep_alive_s: int = _setting(5, "Seconds for which an idle connection is held open.", 1, 3600)
    last_requests_s: int = _setting(10, "Seconds that running requests are given at the end.", 0, 3600)


@dataclass(frozen=True, slots=True)
class Origin:
    """Where the value of a setting came from.

    Attributes:
        name: name of the setting.
        value: its value.
        origin: `usual`, `file PATH`, `environment NAME` or `command line`.
    """

    name: str
    value: Any
    origin: str


@dataclass(frozen=True, slots=True)
class ReadSettings:
    """Settings as they were read.

    Attributes:
        settings: the settings.
        origins: each of them with its origin, in the order of their declaration.
        unknown: variables of the environment that begin as ours do and set nothing.
    """

    settings: Settings
    origins: tuple[Origin, ...]
    unknown: tuple[str, ...] = ()


class SettingsError(Exception):
    """A setting that cannot be used.

    Attributes:
        where: where it was read.
        what: what is wrong.
        fix: what to do.
        nearest: names of settings close to an unknown one.
    """

    def __init__(self, where: str, what: str, fix: str, nearest: tuple[str, ...] = ()) -> None:
        self.where, self.what, self.fix, self.nearest = where, what, fix, nearest
        near = f" (nearest: {', '.join(nearest)})" if nearest else ""
        super().__init__(f"{where}: {what}; {fix}{near}")


def read_settings(
    given: Mapping[str, Any] = MappingProxyType({}),
    environment: Mapping[str, str] = os.environ,
    file: Path | None = None,
) -> ReadSettings:
    """Return the settings: usual values, over them a file, over it the environment, over it the command line.

    Args:
        given: what the command line says; `None` = it says nothing of this one.
        environment: `WETTED_<NAME>` sets one; lists are separated by commas.
        file: TOML file with one value a name; by default the one that `WETTED_SETTINGS` names, if any.

    Raises:
        SettingsError: if the file cannot be read, a value does not fit, or a name is unknown in the file or on the
            command line, or nearly known in the environment.

    >>> read_settings(environment={"WETTED_PORT": "9000"}).settings.port
    9000
    """
    if file is None and environment.get(FILE_VARIABLE):
        file = Path(environment[FILE_VARIABLE])
    values: dict[str, Any] = {}
    origins = dict.fromkeys(_FIELDS, "usual")
    texts = _ours(environment)
    known = {variable: text for variable, text in texts.items() if _is_meant(variable)}
    for name, (value, origin) in (*_from_file(file).items(), *_from_environment(known).items()):
        values[name], origins[name] = value, origin
    for name, value in given.items():
        if value is not None:
            values[name], origins[name] = _checked(name, value, "command line"), "command line"
    settings = Settings(**values)
    read = tuple(Origin(name, getattr(settings, name), origins[name]) for name in _FIELDS)
    return ReadSettings(settings, read, tuple(sorted(texts.keys() - known.keys())))


def settings_text(read: ReadSettings) -> str:
    """Return settings as a TOML file that would give the same ones, each with its meaning and origin.

    >>> settings_text(read_settings(environment={})).splitlines()[1]
    'host = "127.0.0.1"  # usual'
    """
    lines = []
    for one in read.origins:
        lines += [f"# {_FIELDS[one.name].metadata['text']}", f"{one.name} = {_as_toml(one.value)}  # {one.origin}"]
    lines += [f"# environment {variable} is no setting" for variable in read.unknown]
    return "\n".join(lines) + "\n"


_FIELDS = MappingProxyType({one.name: one for one in fields(Settings)})
_TYPES = MappingProxyType({name: typing.get_type_hints(Settings)[name] for name in _FIELDS})


def _from_file(file: Path | None) -> dict[str, tuple[Any, str]]:
    if file is None:
        return {}
    where = f"file {file}"
    try:
        values = tomllib.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise SettingsError(where, f"cannot be read ({error.strerror})", "name a file that you may read") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise SettingsError(where, f"is not TOML: {error}", "write one name = value a line") from None
    return {name: (_checked(name, value, where), where) for name, value in values.items()}


def _ours(environment: Mapping[str, str]) -> dict[str, str]:
    """Return the variables that begin as ours do, sorted, without those of others who do so by agreement."""
    return {
        variable: text
        for variable, text in sorted(environment.items())
        if variable.startswith(PREFIX) and variable not in NOT_OURS and not _is_of_a_cluster(variable, text)
    }


def _is_of_a_cluster(variable: str, text: str) -> bool:
    """Return whether a cluster says by this where a service named like us, or beginning so, can be reached."""
    name = variable.removeprefix(PREFIX)
    is_address = name.endswith("PORT") and _ADDRESS_OF_A_SERVICE.fullmatch(text) is not None
    return is_address or _ABOUT_A_SERVICE.fullmatch(name) is not None


def _is_meant(variable: str) -> bool:
    """Return whether a variable sets something, or was meant to."""
    name = variable.removeprefix(PREFIX).lower()
    return name in _TYPES or bool(get_close_matches(name, _TYPES, cutoff=_NEAR))


def _from_environment(ours: Mapping[str, str]) -> dict[str, tuple[Any, str]]:
    found = {}
    for variable, text in ours.items():
        name, where = variable.removeprefix(PREFIX).lower(), f"environment {variable}"
        found[name] = _checked(name, _from_text(name, text, where), where), where
    return found


def _from_text(name: str, text: str, where: str) -> Any:
    """Return the value that a text means for a setting; what cannot be read stays text and fits no number."""
    kind = _type_of(name, where)
    if kind is bool:
        return _YES_OR_NO.get(text.lower(), text)
    if kind in (int, float):
        number = whole_in(text) if kind is int else number_in(text)
        return text if number is None else number
    return text if kind is str else tuple(one.strip() for one in text.split(",") if one.strip())


def _type_of(name: str, where: str) -> Any:
    if name not in _TYPES:
        near = tuple(get_close_matches(name, _TYPES, 3))
        raise SettingsError(where, f"there is no setting {name[:40]!r}", "see wetted serve --show-settings", near)
    return _TYPES[name]


def _checked(name: str, value: Any, where: str) -> Any:
    """Return a value in the type of its setting.

    Raises:
        SettingsError: if the name is unknown, the type is another one, or the number is out of range.
    """
    kind = _type_of(name, where)
    wanted = "a list of texts" if kind == tuple[str, ...] else _WORDS[kind]
    if kind is float and type(value) is int:
        value = float(value)
    if kind == tuple[str, ...]:
        fits = isinstance(value, (list, tuple)) and all(isinstance(one, str) for one in value)
        value = tuple(value) if fits else value
    else:
        fits = type(value) is kind
    if not fits:
        raise SettingsError(where, f"{name} is {str(value)[:40]!r}", f"write {wanted}")
    _check_range(name, value, where)
    return value


_WORDS: Mapping[Any, str] = MappingProxyType(
    {str: "a text", int: "a whole number", float: "a number", bool: "true or false"}
)


def _check_range(name: str, value: Any, where: str) -> None:
    least, most = _FIELDS[name].metadata["least"], _FIELDS[name].metadata["most"]
    if least is not None and not least <= value <= most:  # also refuses what is not a number at all
        raise SettingsError(where, f"{name} is {value}", f"write a number from {least:g} to {most:g}")


def _as_toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value)  # a TOML basic string takes the same escapes
    return "[" + ", ".join(map(_as_toml, value)) + "]" if isinstance(value, tuple) else repr(value)
