"""Carries out the commands that ask.

Owns: arguments -> question -> answer -> printed, with the exit code of the verdict. Does not own: answering (`kb/`).
"""

# ruff: noqa: PLC0415 - a command imports what its question needs

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from api.cli.arguments import read_conditions, read_json_file, read_part
from api.cli.exit_codes import ExitCode, exit_code_of
from api.cli.render import remark, render
from kb import KnowledgeBase, load

if TYPE_CHECKING:
    from schemas.answers.answers import PairAnswer


def ask_pair(a: str, b: str, conditions: Sequence[str], met: Sequence[str], as_json: bool) -> ExitCode:
    """Print how two parts get on.

    Raises:
        QuestionError, WrongFieldsError: if this cannot be asked.
    """
    stated = read_conditions(conditions)
    knowledge = load()
    parts = {"a": part_reference(knowledge, a, "a"), "b": part_reference(knowledge, b, "b")}
    answer = _answer_pair(knowledge, parts["a"], parts["b"], stated, met)
    render(knowledge, answer, as_json)
    return exit_code_of(answer.verdict)


def _answer_pair(
    knowledge: KnowledgeBase,
    a: str | dict[str, Any],
    b: str | dict[str, Any],
    stated: dict[str, float],
    met: Sequence[str],
) -> PairAnswer:
    """Answer about two parts; bare ids leave nothing to validate, so they go without models of questions."""
    if isinstance(a, str) and isinstance(b, str) and not stated and not met:
        return knowledge.pair(a, b)
    from api.http.requests.questions import read_question
    from schemas.questions.questions import PairQuestion

    return knowledge.pair(**dict(read_question(PairQuestion, {"a": a, "b": b, "conditions": stated, "met": list(met)})))


def ask_partners(part: str, kind: str, limit: int, as_json: bool) -> ExitCode:
    """Print the parts of a kind that fit a part.

    Raises:
        QuestionError, WrongFieldsError: if this cannot be asked.
    """
    from api.http.requests.questions import read_question
    from schemas.questions.questions import PartnersQuestion

    knowledge = load()
    asked = {"part": part_reference(knowledge, part, "part"), "kind": kind, "limit": limit}
    render(knowledge, knowledge.partners(**dict(read_question(PartnersQuestion, asked))), as_json)
    return ExitCode.DONE


def ask_between(a: str, b: str, limit: int, as_json: bool) -> ExitCode:
    """Print what goes between two parts.

    Raises:
        QuestionError, WrongFieldsError: if this cannot be asked.
    """
    from api.http.requests.questions import read_question
    from schemas.questions.questions import BetweenQuestion

    knowledge = load()
    asked = {"a": part_reference(knowledge, a, "a"), "b": part_reference(knowledge, b, "b"), "limit": limit}
    render(knowledge, knowledge.between(**dict(read_question(BetweenQuestion, asked))), as_json)
    return ExitCode.DONE


def ask_find(words: str, limit: int, as_json: bool) -> ExitCode:
    """Print which parts words can mean.

    Raises:
        WrongFieldsError: if this cannot be asked.
    """
    from api.http.requests.questions import read_question
    from schemas.questions.questions import FindQuestion

    question = read_question(FindQuestion, {"words": words, "limit": limit})
    knowledge = load()
    render(knowledge, knowledge.find(**dict(question)), as_json)
    return ExitCode.DONE


def ask_loop(file: str, sections: tuple[str, ...], met: tuple[str, ...], as_json: bool) -> ExitCode:
    """Print whether the loop in a file can be assembled and does its work.

    Args:
        file: file with the question, `-` for standard input.
        sections: sections to judge in place of those the file asks for; none leaves it as it is.
        met: requirements stated as met, beside those of the file.
        as_json: whether to print JSON.

    Raises:
        QuestionError, WrongFieldsError: if this cannot be asked.
    """
    from api.http.requests.questions import read_question
    from schemas.questions.loop import LoopQuestion

    asked = read_json_file(file, "file")
    if sections and isinstance(asked, dict):
        asked = {**asked, "sections": list(sections)}
    if met and isinstance(asked, dict):
        asked = {**asked, "met": [*asked.get("met", []), *met]}
    question = read_question(LoopQuestion, asked)
    knowledge = load()
    answer = knowledge.loop(question)
    render(knowledge, answer, as_json)
    return exit_code_of(answer.verdict)


def part_reference(knowledge: KnowledgeBase, argument: str, field: str) -> str | dict[str, Any]:
    """Return what a question takes for a part, and say how words were understood.

    Args:
        knowledge: knows the ids, and what words can mean.
        argument: a part as given on the command line.
        field: name of the argument, for errors.

    Raises:
        QuestionError: if the argument cannot be read.
    """
    part = read_part(knowledge, argument, field)
    if part.remark is not None:
        remark(part.remark)
    return part.reference
