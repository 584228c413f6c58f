"""The pages that offer parts to choose from: partners, between, find.

Owns: their look. Does not own: which parts are offered, or their order.
"""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from api.cli.pages.layout import QUIET, STRONG, bullets, colour, foot, indented, section, sign
from schemas.answers.answers import BetweenAnswer, FindAnswer, FittingChain, Partner, PartnersAnswer
from schemas.verdict import Verdict

_DIRECT = {
    Verdict.COMPATIBLE: "They are directly compatible.",
    Verdict.CONDITIONAL: "They are directly compatible, under conditions.",
    Verdict.UNKNOWN: "Whether they are directly compatible is not known.",
    Verdict.INCOMPATIBLE: "They are not directly compatible.",
}


def partners_page(answer: PartnersAnswer) -> Iterator[RenderableType]:
    """Yield the page of parts that fit a part."""
    shown = len(answer.partners)
    lead = (
        f"{_count(shown, answer.kind)} for {answer.part}, best first"
        if shown
        else f"No {answer.kind} found for {answer.part}"
    )
    yield Text(lead, style=STRONG)
    if answer.reason:
        yield Text(answer.reason)
    yield bullets((sign(one.verdict), _partner(one)) for one in answer.partners)
    more = " There are more: raise --limit." if answer.more else ""
    yield Text(f"{_count(answer.judged, 'candidate')} judged.{more}", style=QUIET)
    yield foot(answer.kb_version)


def between_page(answer: BetweenAnswer) -> Iterator[RenderableType]:
    """Yield the page of what goes between two parts."""
    yield Text(f"Between {answer.a} and {answer.b}", style=STRONG)
    yield bullets([(sign(answer.direct), Text(_DIRECT[answer.direct]))])
    if answer.reason:
        yield Text(answer.reason)
    if answer.chains:
        ways = (_chain(number, one) for number, one in enumerate(answer.chains, 1))
        yield section(f"{_count(len(answer.chains), 'way')}, best first", *ways)
    yield foot(answer.kb_version)


def find_page(answer: FindAnswer) -> Iterator[RenderableType]:
    """Yield the page of parts that words can mean."""
    found = _count(len(answer.candidates), "part") if answer.candidates else "No part"
    yield Text(f"{found} for the words: {answer.words}", style=STRONG)
    yield bullets((Text(), Text(reading, style=QUIET)) for reading in answer.readings)
    yield bullets(
        (Text("-"), Group(Text(one.part, style=STRONG), Text(one.title), Text(one.reason, style=QUIET)))
        for one in answer.candidates
    )
    if answer.nearest:
        yield section("Nearest", bullets((Text("-"), Text(one)) for one in answer.nearest))
    yield foot(answer.kb_version)


def _partner(partner: Partner) -> Group:
    verdict = (f"  {partner.verdict.value}", colour(partner.verdict))
    name = Text.assemble((partner.part, STRONG), verdict)
    return Group(name, Text(partner.title), Text(partner.reason, style=QUIET))


def _chain(number: int, chain: FittingChain) -> Group:
    lead = Text(f" {number}. ").append_text(sign(chain.verdict)).append(f" {chain.verdict.value}: ")
    lead.append(" + ".join(chain.parts), style=STRONG)
    joints = ((sign(one.verdict), Text(one.place)) for one in chain.joints)
    return Group(lead, indented(bullets((*joints, (Text(), Text(chain.reason, style=QUIET))))))


def _count(number: int, noun: str) -> str:
    """Return a number with its noun.

    >>> _count(1, "way"), _count(0, "way")
    ('1 way', '0 ways')
    """
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
