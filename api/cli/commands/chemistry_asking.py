"""Carries out the commands that ask about substances.

Owns: arguments -> question -> answer -> printed, with the exit code. Does not own: answering
(`kb/compatibility/materials/`).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from api.cli.arguments import read_conditions, read_ratio
from api.cli.commands.asking import part_reference
from api.cli.exit_codes import ExitCode, exit_code_of
from api.cli.render import render, write
from api.http.requests.questions import read_question
from kb import load
from schemas.answers.answers import MatrixAnswer
from schemas.questions.questions import MatrixQuestion, MixQuestion, SuitableFluidsQuestion, SuitableMaterialsQuestion
from schemas.verdict import worst

CSV_HEADER = ("row", "column", "verdict", "decided_by")


def ask_fluids(
    parts: Sequence[str], additives: Sequence[str], conditions: Sequence[str], limit: int, as_json: bool
) -> ExitCode:
    """Print which fluids are compatible with materials or parts.

    Raises:
        QuestionError, WrongFieldsError: if this cannot be asked.
    """
    stated = read_conditions(conditions)
    knowledge = load()
    references = [part_reference(knowledge, part, f"parts.{at}") for at, part in enumerate(parts)]
    asked = {"parts": references, "additives": additives, "conditions": stated, "limit": limit}
    render(knowledge, knowledge.fluids(**dict(read_question(SuitableFluidsQuestion, asked))), as_json)
    return ExitCode.DONE


def ask_materials(fluid: str, family: str | None, conditions: Sequence[str], limit: int, as_json: bool) -> ExitCode:
    """Print which materials are compatible with a fluid.

    Raises:
        QuestionError, WrongFieldsError: if this cannot be asked.
    """
    stated = read_conditions(conditions)
    knowledge = load()
    reference = part_reference(knowledge, fluid, "fluid")
    asked = {"fluid": reference, "family": family, "conditions": stated, "limit": limit}
    render(knowledge, knowledge.materials(**dict(read_question(SuitableMaterialsQuestion, asked))), as_json)
    return ExitCode.DONE


def ask_matrix(rows: str, columns: str, conditions: Sequence[str], as_csv: bool, as_json: bool) -> ExitCode:
    """Print how all members of two families get on.

    Raises:
        QuestionError, WrongFieldsError: if this cannot be asked.
    """
    asked = {"rows": rows, "columns": columns, "conditions": read_conditions(conditions)}
    question = read_question(MatrixQuestion, asked)
    knowledge = load()
    answer = knowledge.matrix(**dict(question))
    if as_csv:
        write(matrix_csv(answer).encode())
    else:
        render(knowledge, answer, as_json)
    return ExitCode.DONE


def ask_mix(glycol: str, parts: str, share: float, temperature: float, as_json: bool) -> ExitCode:
    """Print what comes of mixing a glycol concentrate with water; the exit code is the worst verdict on it.

    Args:
        glycol: which glycol.
        parts: parts of concentrate and of water, such as 1:3.
        share: glycol in the concentrate by volume [%].
        temperature: temperature of the properties [degC].
        as_json: whether to print JSON.

    Raises:
        QuestionError, WrongFieldsError: if this cannot be asked.
    """
    concentrate, water = read_ratio(parts)
    question = read_question(
        MixQuestion,
        {
            "glycol": glycol,
            "concentrate_parts": concentrate,
            "water_parts": water,
            "concentrate_glycol_percent": share,
            "temperature_c": temperature,
        },
    )
    knowledge = load()
    answer = knowledge.mix(**dict(question))
    render(knowledge, answer, as_json)
    return exit_code_of(worst(finding.verdict for finding in answer.findings))


def matrix_csv(answer: MatrixAnswer) -> str:
    """Return a matrix as CSV: a line a cell, ids of what decides with blanks between them."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(CSV_HEADER)
    writer.writerows((cell.row, cell.column, cell.verdict.value, " ".join(cell.decided_by)) for cell in answer.cells)
    return text.getvalue()
