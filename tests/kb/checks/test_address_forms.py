"""SRC-008: an address has the form of its kind."""

from __future__ import annotations

from typing import Any

import pytest

from kb.checks import address_forms

SOURCE = "source/iso-228-1"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(address_forms) == []


@pytest.mark.parametrize(
    ("kind", "address"),
    [
        ("document-number", "the standard"),
        ("document-number", "ISO"),
        ("doi", "doi.org/10.1000/182"),
        ("doi", "https://doi.org/10.1000/182"),
        ("doi", "10.1000"),
        ("isbn", "978-0-306-40615-8"),
        ("isbn", "0-306-40615-3"),
        ("isbn", "97803064"),
        ("url", "www.iso.org"),
        ("url", "https://iso"),
        ("url", "https://www.iso.org/a page"),
        ("url", "ftp://www.iso.org/"),
    ],
)
def test_an_address_of_another_form(spoil: Any, kind: str, address: str) -> None:
    spoil.set("sources", SOURCE, address_kind=kind, address=address)
    assert spoil.places() == [spoil.place("SRC-008", "sources", SOURCE, "address")]


@pytest.mark.parametrize(
    ("kind", "address"),
    [
        ("document-number", "ISO 228-1:2000"),
        ("document-number", "MIL-STD-889C"),
        ("document-number", "EN 1057"),
        ("document-number", "40 CFR 143.3"),
        ("doi", "10.1000/182"),  # the example of the DOI handbook, section 2.2, https://doi.org/10.1000/182
        ("isbn", "978-0-306-40615-7"),  # the usual worked example of the check digit, from memory
        ("isbn", "0-306-40615-2"),
        ("url", "https://www.iso.org/standard/4528.html"),
    ],
)
def test_an_address_of_the_right_form(spoil: Any, kind: str, address: str) -> None:
    spoil.set("sources", SOURCE, address_kind=kind, address=address)
    assert spoil.places() == []


@pytest.mark.parametrize("column", ["address", "address_kind"])
def test_one_of_the_two_alone(spoil: Any, column: str) -> None:
    spoil.set("sources", "source/hse-fluid-check", address="", address_kind="", searched="looked for")
    other = {"address": "https://www.hse.gov.uk/"} if column == "address_kind" else {"address_kind": "url"}
    spoil.set("sources", "source/hse-fluid-check", **other)
    assert spoil.place("SRC-008", "sources", "source/hse-fluid-check", column) in spoil.places()
