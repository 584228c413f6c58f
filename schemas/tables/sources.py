"""Documents, data sets and habits that values come from.

Owns: the columns of `kb/tables/sources.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import HowSeen, id_column


class SourceKind(StrEnum):
    """Kinds of source, from a binding standard to a mere memory."""

    STANDARD = "standard"
    HANDBOOK = "handbook"
    PAPER = "paper"
    GUIDELINE = "guideline"
    DATASET = "dataset"
    LIBRARY = "library"
    DERIVATION = "derivation"
    SEARCH = "search"
    COMMON_PRACTICE = "common-practice"
    FROM_MEMORY = "from-memory"


class AddressKind(StrEnum):
    """What a reader takes to a library or a browser to find a source."""

    DOCUMENT_NUMBER = "document-number"
    DOI = "doi"
    ISBN = "isbn"
    URL = "url"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Documents, data sets and habits that values come from."""

    table: ClassVar[str] = "sources"

    id: Annotated[str, id_column("source", "iso-228-1")]
    kind: Annotated[SourceKind, Column(title="kind", description="What sort of source it is.", example="standard")]
    title: Annotated[
        str,
        Column(
            title="title",
            description="Title of the document, data set or habit.",
            example="Pipe threads where pressure-tight joints are not made on the threads - Part 1",
        ),
    ]
    authors: Annotated[
        str | None,
        Column(title="authors", description="Authors of a paper or book, as printed.", example="R. W. Revie"),
    ]
    publisher: Annotated[
        str | None,
        Column(title="publisher", description="Body, journal or firm that issued it, in full.", example="ISO"),
    ]
    year: Annotated[
        str | None,
        Column(
            title="year",
            description="Year of issue; `undated` where the document prints none.",
            example="2000",
            pattern=r"(1[89]|20)\d\d|undated",
        ),
    ]
    edition: Annotated[str | None, Column(title="edition", description="Edition or version.", example="2nd edition")]
    address_kind: Annotated[
        AddressKind | None,
        Column(
            title="kind of address",
            description="What the address is: document-number is that of a standard, report or patent.",
            example="document-number",
        ),
    ]
    address: Annotated[
        str | None,
        Column(
            title="address",
            description="Number of the document, DOI, ISBN or URL, as it stood where it was seen; never composed.",
            example="ISO 228-1:2000",
        ),
    ]
    address_seen_in: Annotated[
        str | None,
        Column(
            title="address seen in",
            description="The document, list or record in which the address stood.",
            example="title page of the standard",
        ),
    ]
    how_seen: Annotated[
        HowSeen,
        Column(title="how seen", description="In what form the values were really seen.", example="second-hand"),
    ]
    where_seen: Annotated[
        str | None,
        Column(
            title="where seen",
            description=(
                "The carrier in which the values were read: package and version, repository and commit, kind of page."
            ),
            example="package bd_warehouse 0.4.0",
        ),
    ]
    carriers: Annotated[
        int,
        Column(
            title="carriers",
            description="How many documents, made independently of one another, were seen to print the same values.",
            example="2",
            at_least=0,
            at_most=9,
        ),
    ]
    searched: Annotated[
        str | None,
        Column(
            title="searched",
            description="Record of the last search for the document: when, by whom, where, in which words, what came.",
            example="2026-12-01, editor: public pages, 'glycol bulletin 3-004'; the bulletin was not found again",
        ),
    ]
    rank: Annotated[
        int,
        Column(
            title="rank",
            description="Which source speaks when several disagree: 1 speaks first.",
            example="1",
            at_least=1,
            at_most=9,
        ),
    ]
    note: Annotated[
        str | None,
        Column(
            title="note",
            description="What a reader should know of the source.",
            example="the standard itself was not opened",
        ),
    ]
