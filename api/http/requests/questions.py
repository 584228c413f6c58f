"""From what was asked to a question, or to what is wrong with its fields.

Owns: refusing what has not the form of a question, for service and command line, without looking for many more faults
than are reported. Does not own: the form of questions (`schemas/`), or the words for faults
(`api/http/requests/field_errors.py`).
"""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from api.http.requests.field_errors import field_problems
from schemas.answers.problems import FieldProblem
from schemas.questions.patience import Patience

Question = TypeVar("Question", bound=BaseModel)


class WrongFieldsError(ValueError):
    """What was asked has not the form of a question.

    Attributes:
        problems: what is wrong, place by place.
    """

    def __init__(self, problems: tuple[FieldProblem, ...]) -> None:
        super().__init__(f"{len(problems)} wrong fields")
        self.problems = problems


def read_question(model: type[Question], asked: Any) -> Question:
    """Return what was asked as a question.

    Args:
        model: the question's model.
        asked: field name -> what stands there.

    Raises:
        WrongFieldsError: if it has not that form.

    >>> from schemas.questions.questions import FindQuestion
    >>> try:
    ...     read_question(FindQuestion, {"words": "10/16", "limt": 3})
    ... except WrongFieldsError as error:
    ...     print(error.problems[0].field, "|", error.problems[0].fix)
    limt | use limit or kind or words, or leave it out
    """
    try:
        return model.model_validate(asked, context=Patience())
    except ValidationError as error:
        raise WrongFieldsError(field_problems(error.errors(include_url=False), model, asked)) from None
