"""Kept results stay within their bound, however many threads ask at once."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import pytest

from kb.store.cache import BoundedCache

THREADS, QUESTIONS, MOST = 8, 10_000, 20


@pytest.fixture
def short_turns() -> Iterator[None]:
    """Let threads interrupt one another as often as they can."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    yield
    sys.setswitchinterval(usual)


@pytest.mark.usefixtures("short_turns")
def test_threads_that_ask_at_once_get_their_results_and_never_break_one_another() -> None:
    cached = BoundedCache[int, str](MOST, weigh=len)

    def ask(thread: int) -> list[tuple[int, str]]:
        numbers = [(thread + 7 * question) % 1_000 for question in range(QUESTIONS)]
        return [(number, cached.get(number, partial(str, number))) for number in numbers]

    with ThreadPoolExecutor(THREADS) as threads:
        reported = [answer for answers in threads.map(ask, range(THREADS)) for answer in answers]
    assert len(reported) == THREADS * QUESTIONS
    assert [(number, text) for number, text in reported if text != str(number)] == []
    held = [text for number in range(1_000) if (text := cached.find(number)) is not None]
    assert held
    assert sum(map(len, held)) <= MOST
    cached.get(-1, lambda: "x" * (MOST - 1))
    assert len(cached) <= 2, "what was counted drifted from what is held"


def test_one_result_heavier_than_all_that_fits_is_still_kept_alone() -> None:
    cached = BoundedCache[str, str](5, weigh=len)
    for word in ("one", "two", "immeasurable"):
        assert cached.get(word, partial(str, word)) == word
    assert len(cached) == 1
    assert cached.find("immeasurable") == "immeasurable"
