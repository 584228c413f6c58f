"""Numbers on the command line and in files of pairs are those of JSON, as in addresses."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import click
import pytest
from hypothesis import given
from number_texts import NO_NUMBERS, NO_WHOLE_NUMBERS

from api.cli.arguments import read_conditions, read_ratio
from api.cli.main import wetted as commands
from api.cli.number_options import Number, WholeNumber
from api.http.requests.strict_json import parse_json
from kb import KnowledgeBase, QuestionError
from kb.bulk.outcomes import Asked, answered

NUMERIC = (click.types.IntParamType, click.types.FloatParamType, Number)


def options(command: click.Command, path: str = "") -> Iterator[tuple[str, click.Option]]:
    for name, inner in getattr(command, "commands", {}).items():
        yield from options(inner, f"{path} {name}")
    yield from ((f"{path} {one.name}", one) for one in command.params if isinstance(one, click.Option))


NUMBERS = {name: one.type for name, one in options(commands) if isinstance(one.type, NUMERIC) and not one.count}


@pytest.mark.parametrize("name", NUMBERS)
def test_every_option_for_a_number_takes_only_numbers(name: str) -> None:
    kind = NUMBERS[name]
    assert isinstance(kind, (WholeNumber, Number))

    @given(text=NO_WHOLE_NUMBERS if isinstance(kind, WholeNumber) else NO_NUMBERS)
    def refuses(text: str) -> None:
        with pytest.raises(click.BadParameter, match="number"):
            kind.convert(text, None, None)

    refuses()
    assert kind.convert("12", None, None) == 12


@given(text=NO_NUMBERS)
def test_a_circumstance_is_a_number_or_refused(text: str) -> None:
    with pytest.raises(QuestionError, match="no number behind ="):
        read_conditions([f"coolant-temperature={text}"])


@given(text=NO_NUMBERS)
def test_parts_of_a_mixture_are_numbers_or_refused(text: str) -> None:
    for ratio in (f"{text}:3", f"1:{text}"):
        with pytest.raises(QuestionError, match="no ratio"):
            read_ratio(ratio)


@given(text=NO_NUMBERS)
def test_a_circumstance_in_a_file_of_pairs_is_a_number_or_an_error(knowledge: KnowledgeBase, text: str) -> None:
    row = Asked("thread/g-1-4", "thread/g-1-4", (("coolant-temperature", text),))
    outcome = answered(knowledge, row, parse_json)
    assert outcome.verdict is None
    assert "is no finite number" in outcome.error


@pytest.mark.parametrize(
    "arguments",
    [
        ("find", "G 1/4", "--limit", "1_0"),
        ("list", "tubes", "--limit", "+5"),
        ("pair", "thread/g-1-4", "thread/g-1-4", "--condition", "coolant-temperature=4_5"),
        ("mix", "propylene-glycol", "--parts", "1:3", "--temperature", "2_0"),
        ("mix", "propylene-glycol", "--parts", "01:3"),
        ("serve", "--port", "8_000"),
    ],
)
def test_what_only_looks_like_a_number_ends_in_one_line(wetted: Callable, arguments: tuple[str, ...]) -> None:
    reported = wetted(*arguments)
    assert (reported.code, reported.out) == (2, "")
    assert len(reported.err.splitlines()) == 1
