"""What can go wrong between a program and the service.

Owns: the errors of the client. Does not own: problem documents (`schemas/answers/problems.py`).
"""

from __future__ import annotations

from pydantic import ValidationError

from schemas.answers.problems import Problem


class RefusedError(Exception):
    """The service refused a question.

    Attributes:
        problem: what it says about it: the field, what is wrong, what to do, and the nearest valid ids.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(problem.detail)


class NoAnswerError(Exception):
    """Something answered that is not this service, or the answer broke off.

    Attributes:
        status: HTTP status code; 0 if there was none.
    """

    def __init__(self, what: str, status: int = 0) -> None:
        self.status = status
        super().__init__(what)


def refusal(status: int, body: bytes) -> Exception:
    """Return the error for an answer that is none.

    Args:
        status: HTTP status code.
        body: the body of the response.
    """
    try:
        return RefusedError(Problem.from_json(body))
    except ValidationError:
        return NoAnswerError(f"status {status} without a problem document", status)
