"""An address has the form of its kind: number of a document, DOI, ISBN or URL.

Owns: the forms of addresses. Does not own: whether a source needs one (`sources_have_addresses.py`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.sources import AddressKind, Source

CODE = "SRC-008"
PROMISE = "An address has the form of its kind: number of a document, DOI, ISBN or URL."

_FORMS: Mapping[AddressKind, tuple[re.Pattern[str], str]] = MappingProxyType(
    {
        AddressKind.DOCUMENT_NUMBER: (
            re.compile(r"(\d+ )?[A-Z][A-Z0-9/.-]*( [A-Z][A-Z0-9/.-]*)* ?[A-Z]?\d[\w./: -]*"),
            "ISO 228-1:2000",
        ),
        AddressKind.DOI: (re.compile(r"10\.\d{4,9}/\S+"), "10.4271/2006-01-2161"),
        AddressKind.ISBN: (re.compile(r"(97[89]-?)?(\d-?){9}[\dX]"), "978-0-470-12475-8"),
        AddressKind.URL: (
            re.compile(r"https?://[\w.-]+\.[a-z]{2,}(:\d+)?(/\S*)?"),
            "https://www.iso.org/standard/4528.html",
        ),
    }
)


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every address of another form than its kind has, and for a kind without an address."""
    for source in tables.of(Source):
        if source.address_kind is None or source.address is None:
            if (source.address_kind is None) is not (source.address is None):
                column = "address" if source.address is None else "address_kind"
                yield tables.fault(source, column, CODE, "is empty beside the other", "fill both, or none")
            continue
        form, example = _FORMS[source.address_kind]
        if not form.fullmatch(source.address) or not _is_whole(source.address_kind, source.address):
            what = f"{source.address[:60]!r} is no {_NAMES[source.address_kind]}"
            yield tables.fault(source, "address", CODE, what, f"write it like {example}, as it stood where you saw it")


_NAMES: Mapping[AddressKind, str] = MappingProxyType(
    {
        AddressKind.DOCUMENT_NUMBER: "number of a standard, report or patent",
        AddressKind.DOI: "DOI",
        AddressKind.ISBN: "ISBN with a right check digit",
        AddressKind.URL: "URL",
    }
)


def _is_whole(kind: AddressKind, address: str) -> bool:
    """Return whether the check digit of an ISBN is right; other kinds have none (ISO 2108: weights 1 3 or 10 to 1)."""
    if kind is not AddressKind.ISBN:
        return True
    digits = [10 if one == "X" else int(one) for one in address.replace("-", "")]
    if len(digits) == 13:  # noqa: PLR2004
        return sum(digit * (3 if place % 2 else 1) for place, digit in enumerate(digits)) % 10 == 0
    return sum(digit * (10 - place) for place, digit in enumerate(digits)) % 11 == 0
