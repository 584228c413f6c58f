"""What every answer about a loop promises, whatever is asked; and whether a refusal names a field of the question.

Owns: these promises. Does not own: questions to hold them against (`loop_strategies.py`, `test_loop_hostile.py`).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from io import StringIO
from typing import Any

from pydantic import BaseModel
from rich.console import Console

from api.cli.pages import page_of
from api.cli.pages.names import Names
from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.answers.loop import LoopAnswer
from schemas.questions.choices import Section
from schemas.questions.loop import LoopQuestion
from schemas.verdict import Verdict, worst

NARROW_COLUMNS = 60
PERFORMANCE = (Section.FLOW, Section.HEAT, Section.FILL, Section.SPACE)


def asked(base: KnowledgeBase, question: Mapping[str, Any]) -> LoopAnswer | QuestionError:
    """Return the answer, which keeps its promises, or the refusal, which names a field that is in the question."""
    model = LoopQuestion.model_validate(question)
    try:
        answer = base.loop(model)
    except QuestionError as error:
        assert names_a_field(model, error.field.split(".")), error.field
        assert error.what
        assert error.fix
        return error
    assert_promises(base, answer)
    return answer


def answered(base: KnowledgeBase, question: Mapping[str, Any]) -> LoopAnswer:
    """Return the answer, which keeps its promises."""
    answer = asked(base, question)
    assert isinstance(answer, LoopAnswer), answer
    return answer


def refused(base: KnowledgeBase, question: Mapping[str, Any]) -> QuestionError:
    """Return the refusal, which names a field that is in the question."""
    error = asked(base, question)
    assert isinstance(error, QuestionError), error.summary
    return error


def verdicts(answer: LoopAnswer) -> dict[Section, Verdict]:
    """Return the verdict of every section that was judged."""
    return {one.section: one.verdict for one in answer.sections}


def assert_promises(base: KnowledgeBase, answer: LoopAnswer) -> None:
    """Hold an answer against what every one promises."""
    json.dumps(answer.to_dict(), allow_nan=False)
    of = verdicts(answer)
    assert answer.verdict is worst(of.values())
    for section in PERFORMANCE:
        reported = getattr(answer, section.value)
        assert reported is None or reported.verdict is of[section], section
    if answer.heat is not None and answer.heat.coolant_to_air_delta_t_k is None:
        assert of[Section.HEAT] is not Verdict.COMPATIBLE
    if answer.flow is not None and not answer.flow.pumps:
        assert of[Section.FLOW] is not Verdict.COMPATIBLE
    for one in answer.findings:
        assert one.section is not None
        assert one.verdict.severity <= of[Section(one.section)].severity
        assert one.sentence.endswith(".") or one.section not in PERFORMANCE, one.sentence
        if one.missing:
            assert one.verdict is not Verdict.COMPATIBLE, one.sentence
        if one.verdict is Verdict.UNKNOWN and one.section in PERFORMANCE:
            assert one.remedy, one.code
    page = StringIO()
    console = Console(file=page, width=NARROW_COLUMNS, color_system=None)
    for block in page_of(answer, Names(base.snapshot)):
        console.print(block)
    for word in ("None", "nan", "-0.0 "):
        assert word not in page.getvalue().replace("\n", " ").split(" "), page.getvalue()


def names_a_field(asked_of: Any, path: list[str]) -> bool:
    """Return whether a path such as `parts.cpu.ports.in` leads to a field of a question, given or not."""
    if not path:
        return True
    if isinstance(asked_of, BaseModel):
        fields = {field.alias or name: name for name, field in type(asked_of).model_fields.items()}
        return path[0] in fields and names_a_field(getattr(asked_of, fields[path[0]]), path[1:])
    if isinstance(asked_of, Mapping):
        heads = (".".join(path[:count]) for count in range(1, len(path) + 1))
        return any(
            head in asked_of and names_a_field(asked_of[head], path[head.count(".") + 1 :]) for head in heads
        ) or (len(path) == 1 and not asked_of)
    if isinstance(asked_of, tuple | list):
        return path[0].isdigit() and int(path[0]) < len(asked_of) and names_a_field(asked_of[int(path[0])], path[1:])
    return False
