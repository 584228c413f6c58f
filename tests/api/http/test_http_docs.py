"""The pages for people ask no other host for anything."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from starlette.testclient import TestClient

PAGES = ["/docs", "/problems", "/problems/unknown-id"]


class References(HTMLParser):
    """Collects every address that a page refers to."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag != "style", "styles come from files"
        self.found += [value or "" for name, value in attrs if name in {"src", "href", "action", "srcset", "data"}]
        assert not [name for name, _ in attrs if name.startswith("on") or name == "style"]


def references_of(client: TestClient, page: str) -> list[str]:
    parser = References()
    parser.feed(client.get(page, headers={"Accept": "text/html"}).text)
    return [address for address in parser.found if address != "data:,"]


@pytest.mark.parametrize("page", PAGES)
def test_a_page_refers_to_own_paths_only_and_they_answer(client: TestClient, page: str) -> None:
    for address in references_of(client, page):
        assert re.fullmatch(r"/[^/].*", address)
        assert client.get(address).status_code == 200


def test_the_documentation_loads_a_viewer_and_the_description(client: TestClient) -> None:
    addresses = references_of(client, "/docs")
    assert len(addresses) == 3
    start = client.get("/docs/start.js").text
    assert '"/openapi.json"' in start
    assert "http" not in start


@pytest.mark.parametrize("page", PAGES)
def test_a_page_forbids_browsers_to_load_from_elsewhere(client: TestClient, page: str) -> None:
    policy = client.get(page, headers={"Accept": "text/html"}).headers["content-security-policy"]
    sources = {source for rule in policy.split("; ") for source in rule.split()[1:]}
    assert policy.startswith("default-src 'none'")
    assert sources <= {"'none'", "'self'", "data:"}


def test_styles_of_the_viewer_load_nothing(client: TestClient) -> None:
    style = client.get("/docs/style.css").text
    assert not re.findall(r"url\(\s*(?![\"']?(?:data:|#))", style)
    assert "@import" not in style


def test_assets_have_their_media_types(client: TestClient) -> None:
    assert client.get("/docs/viewer.js").headers["content-type"].startswith("text/javascript")
    assert client.get("/docs/style.css").headers["content-type"].startswith("text/css")
    assert client.get("/docs").headers["content-type"].startswith("text/html")
