"""What a fluid or an additive does: which metals it protects, growth, acidity, and what is in it.

Owns: these columns, which `fluids.csv` and `additives.csv` share. Does not own: when a role counts
(`kb/evidence/roles.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced


class Protects(StrEnum):
    """Whether it protects a metal."""

    YES = "yes"
    PARTLY = "partly"
    NO = "no"
    HARMS = "harms"
    UNKNOWN = "unknown"


class Growth(StrEnum):
    """What it does to growth."""

    BIOCIDAL = "biocidal"
    BIOSTATIC = "biostatic"
    SHOCK = "shock"
    PARTLY = "partly"
    FEEDS = "feeds"
    NO = "no"
    UNKNOWN = "unknown"


class HoldsPh(StrEnum):
    """Whether it keeps the acidity where it is."""

    YES = "yes"
    PARTLY = "partly"
    NO = "no"
    UNKNOWN = "unknown"


def _protects(metal: str, words: str) -> Column:
    return Column(title=f"protects {metal}", description=f"Whether it protects {words} from corrosion.", example="yes")


@dataclass(frozen=True, slots=True, kw_only=True)
class WithRoles(Sourced):
    """Columns of a fluid or additive that say what it does."""

    role_copper: Annotated[Protects, _protects("copper", "copper and its alloys")]
    role_aluminium: Annotated[Protects, _protects("aluminium", "aluminium and its alloys")]
    role_iron: Annotated[Protects, _protects("iron", "carbon steel and cast iron")]
    role_solder: Annotated[Protects, _protects("solder", "tin and solder")]
    role_zinc: Annotated[Protects, _protects("zinc", "zinc and galvanised steel")]
    growth: Annotated[Growth, Column(title="growth", description="What it does to growth.", example="biostatic")]
    ph_low: Annotated[
        float | None,
        Column(
            title="pH, low",
            description="Lower end of the pH at which it is meant to work.",
            example="7.5",
            at_least=0.0,
            at_most=14.0,
        ),
    ]
    ph_high: Annotated[
        float | None,
        Column(
            title="pH, high",
            description="Upper end of the pH at which it is meant to work.",
            example="9.5",
            at_least=0.0,
            at_most=14.0,
        ),
    ]
    holds_ph: Annotated[
        HoldsPh, Column(title="holds the pH", description="Whether it is or holds a buffer.", example="yes")
    ]
    contains: Annotated[
        str | None,
        Column(
            title="contains",
            description="What is in it, `;` between substances, each named as the end of an id of an additive or a "
            "family; alternatives (`a or b`) and remarks in brackets are told and not used.",
            example="azole; phosphate",
        ),
    ]
    roles_note: Annotated[
        str | None,
        Column(
            title="note on the roles",
            description="What a reader of the roles should know: doses, windows, doubts.",
            example="dose and pH window are unverified estimates",
        ),
    ]

    @property
    def contents(self) -> frozenset[str]:
        """What is surely in it, in words of the column `contains`: ends of ids of additives and families."""
        items = (item.strip() for item in (self.contains or "").split(";"))
        return frozenset(item.replace(" ", "-") for item in items if item and not _is_vague(item))


def _is_vague(item: str) -> bool:
    return item.startswith("(") or " or " in item or "," in item
