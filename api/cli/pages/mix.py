"""The page of a mixture of glycol and water.

Owns: its look. Does not own: shares, properties or what they mean.
"""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages import reasons
from api.cli.pages.layout import QUIET, columns, foot, headline, indented, section
from api.cli.pages.names import Names
from schemas.answers.answers import MixAnswer
from schemas.verdict import worst

_OUT_OF_RANGE = "not known: outside the library's range"
_PURE = "they hold for pure glycol and water, which inhibitors shift by about a percent."
_DIGITS = 3


def mix_page(answer: MixAnswer, names: Names) -> Iterator[RenderableType]:
    """Yield the page: verdict, shares, properties, what decides, cautions, sources."""
    verdict = worst(one.verdict for one in answer.findings)
    share = f"{answer.glycol_percent_volume:.1f} % glycol by volume"
    yield headline(verdict, f"{answer.glycol.replace('-', ' ')} and water, {share}.")
    yield Text()
    yield _numbers(answer)
    yield indented(Text(f"Properties from {answer.library}; {_PURE}", style=QUIET))
    shown: set[str] = set()
    yield section("What the share means", reasons.in_full(answer.findings, names, shown))
    yield from reasons.remedies(answer.findings)
    yield from reasons.cautions_and_sources(answer, answer.findings)
    yield foot(answer.kb_version, "; every number with its row and source: --json")


def _numbers(answer: MixAnswer) -> Table:
    table = columns("", "")
    at = f"at {answer.temperature_c:g} degC"
    for title, value, unit in (
        ("glycol by volume", answer.glycol_percent_volume, "%"),
        ("glycol by mass", answer.glycol_percent_mass, "%"),
        ("begins to freeze at", answer.freezing_point_c, "degC"),
        (f"density {at}", answer.density_kg_per_m3, "kg/m3"),
        (f"viscosity {at}", answer.dynamic_viscosity_mpa_s, "mPa s"),
        (f"heat capacity {at}", answer.heat_capacity_j_per_kg_k, "J/(kg K)"),
        (f"heat conductivity {at}", answer.thermal_conductivity_w_per_m_k, "W/(m K)"),
    ):
        table.add_row(Text(f"  {title}", style=QUIET), _value(value, unit))
    return table


def _value(value: float | None, unit: str) -> str:
    """Return a number with three digits that count.

    >>> _value(1016.689, "kg/m3"), _value(0.47518, "W/(m K)")
    ('1017 kg/m3', '0.475 W/(m K)')
    """
    if value is None:
        return _OUT_OF_RANGE
    text = f"{value:.0f}" if abs(value) >= 10**_DIGITS else f"{value:.{_DIGITS}g}"
    return f"{text} {unit}"
