"""What a finding cites, as quiet lines below its sentence: values, limits, rules, conditions, other sources.

Owns: their look. Does not own: the findings (`reasons.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from rich.text import Text

from api.cli.pages.layout import QUIET, colour, spoken_column
from api.cli.pages.names import Names, origin_word
from kb.report.sentences.findings import number_text
from schemas.answers.answers import CitedCondition, CitedDispute, CitedFact, CitedLimit, Finding
from schemas.tables.column_words import column_words

_COMPARISONS = {"at-least": "at least", "at-most": "at most"}
_OPERATORS = {"<": "below", "<=": "at most", ">": "above", ">=": "at least", "=": "exactly"}
_TOLERANCES = ("tolerance/", "thread-tolerance/")
_YES_OR_NO = {("=", 1.0): "yes", (">=", 1.0): "yes", ("=", 0.0): "no", ("<", 1.0): "no"}  # of 0 and 1


def grounds(finding: Finding, names: Names, shown: set[str]) -> Iterator[Text]:
    """Yield what a finding cites.

    A rule decides without the numbers beside it, and its sentence states those, so their rows are left to --json.

    Args:
        finding: any finding.
        names: words for ids.
        shown: lines shown before, which are not shown again; those shown now are added.
    """
    facts = [fact for number in finding.quantities for fact in number.inputs] + list(finding.facts)
    facts = [one for one in dict.fromkeys(facts) if one.value != names.title(one.row)]  # such a fact only names its row
    inputs = f"From {'; '.join(_facts_by_row(facts, names))}".replace(f"{finding.place}: ", "")
    if facts and not finding.rules and inputs not in shown:
        shown.add(inputs)
        formulas = ", ".join(dict.fromkeys(number.formula for number in finding.quantities))
        yield Text(f"{inputs}; by {formulas}" if formulas else inputs, style=QUIET)
    for limit in finding.limits:
        yield _ground(f"{limit.id}: {limit_words(limit)}", limit.confidence, limit.source, limit.locator)
    for rule in finding.rules:
        yield from _applies(rule.conditions, names)
        yield _ground(rule.id, rule.confidence, rule.source, rule.locator)
    yield from other_sources(finding)
    if finding.rivals:
        yield Text(f"Other sources for the same value, not used: {', '.join(finding.rivals)}", style=QUIET)


def other_sources(finding: Finding) -> Iterator[Text]:
    """Yield what other sources say against the rule of a finding."""
    yield from map(_other_source, finding.disputes)


def limit_words(limit: CitedLimit) -> str:
    """Return a limit such as `at least 10 %`."""
    return f"{_COMPARISONS[limit.comparison]} {number_text(limit.value, limit.unit)}"


def conditions_words(conditions: Iterable[CitedCondition], names: Names) -> str:
    """Return conditions with what is known of them, such as `pH below 8.2 (usual: 5.6)`."""
    return " and ".join(_condition_words(one, names) for one in conditions)


def is_taken_as_usual(finding: Finding) -> bool:
    """Return whether a finding uses a value that nobody stated."""
    return any(condition.origin for rule in finding.rules for condition in rule.conditions)


def _condition_words(condition: CitedCondition, names: Names) -> str:
    title = names.quantity(condition.quantity)
    wanted = _YES_OR_NO.get((condition.operator, condition.value)) if condition.unit == "1" else None
    if wanted is not None:
        known = _origin(condition) if condition.holds else _known(condition, _spoken)
        return f"{title}: {wanted} ({known})"
    limit = f"{title} {_OPERATORS[condition.operator]} {number_text(condition.value, condition.unit)}"
    return f"{limit} ({_known(condition, lambda value: number_text(value, condition.unit))})"


def _known(condition: CitedCondition, words: Callable[[float], str]) -> str:
    """Return the value that is compared, and how it came to be known."""
    if condition.actual is None:
        return "not stated"
    return f"{_origin(condition)}: {words(condition.actual)}"


def _origin(condition: CitedCondition) -> str:
    return "computed" if condition.computed else origin_word(condition.origin)


def _spoken(value: float) -> str:
    return "yes" if value >= 1 else "no"


def _applies(conditions: Iterable[CitedCondition], names: Names) -> Iterator[Text]:
    known = [one for one in conditions if one.actual is not None]  # the sentence states the others
    if known:
        yield Text(f"Applies with {conditions_words(known, names)}", style=QUIET)


def _other_source(dispute: CitedDispute) -> Text:
    lead = Text("Another source says ", style=QUIET).append(dispute.verdict.value, style=colour(dispute.verdict))
    return lead.append_text(_ground(f": {dispute.reason}", dispute.confidence, dispute.source, dispute.locator))


def _ground(lead: str, confidence: str, source: str, locator: str | None) -> Text:
    where = f", {locator}" if locator else ""
    return Text(f"{lead} (confidence {confidence}; {source}{where})", style=QUIET)


def _facts_by_row(facts: Iterable[CitedFact], names: Names) -> Iterator[str]:
    by_row: dict[str, list[CitedFact]] = {}
    tolerances: dict[str, None] = {}
    for fact in facts:
        known = names.value(fact)
        if known is not None:
            yield f"{known}, {fact.row}"
        elif fact.row.startswith(_TOLERANCES):
            tolerances[fact.row] = None
        else:
            by_row.setdefault(f"{fact.row} (as you gave it)" if fact.given else fact.row, []).append(fact)
    for row, values in by_row.items():
        yield f"{row}: {', '.join(map(_fact_words, values))}"
    if tolerances:
        yield f"with {', '.join(tolerances)}"


def _fact_words(fact: CitedFact) -> str:
    words, unit = column_words(fact.column)
    value = f"{fact.value:g}" if isinstance(fact.value, float) else str(fact.value)
    return f"{spoken_column(words)} {value} {unit}".rstrip()
