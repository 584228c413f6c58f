"""The client for programs that do other things meanwhile.

Owns: sending, waiting and asking again, without holding others up. Does not own: requests and answers
(`api/client/calls.py`), or when to ask again (`api/client/retries.py`). `api/client/sync_client.py` is the same for
programs without asyncio.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterable, Mapping
from types import TracebackType
from typing import Any, Self

import httpx2

from api.client.calls import (
    JSON,
    NDJSON,
    PAGE,
    PATIENCE_S,
    PIN,
    Answered,
    Batch,
    BatchEntry,
    Call,
    asking,
    batches,
    listing,
    paging,
    reading,
)
from api.client.errors import NoAnswerError, refusal
from api.client.retries import BROKEN, Retries
from schemas.answers.answers import (
    BetweenAnswer,
    FindAnswer,
    MatrixAnswer,
    MixAnswer,
    PairAnswer,
    PartnersAnswer,
    Record,
    RecordAnswer,
    RecordsAnswer,
    SuitableAnswer,
    VersionAnswer,
)
from schemas.answers.loop import LoopAnswer
from schemas.interface import GOOD_VERDICTS
from schemas.questions import plain
from schemas.questions.choices import PartnerKind
from schemas.questions.plain import LoopLike, PartLike
from schemas.questions.questions import Asked, FindableKind, Glycol
from schemas.verdict import Verdict


class AsyncClient:
    """Asks one service. Keeps its connections open until it is closed; use it in an `async with` block.

    Every method raises `RefusedError` with the service's problem document if a question is refused, `NoAnswerError` if
    something else answers, and `httpx2.TransportError` if nobody does after all retries.
    """

    def __init__(
        self,
        address: str,
        version: str | None = None,
        retries: Retries = Retries(),  # noqa: B008 - frozen
        patience_s: float = PATIENCE_S,
        transport: httpx2.AsyncBaseTransport | None = None,
    ) -> None:
        """Prepare to ask; nothing is sent yet.

        Args:
            address: address of the service, such as http://127.0.0.1:8000.
            version: version of the tables that has to answer, as `kb_version` of an answer names it; any by default.
            retries: how patient to be with a service that is not there or busy.
            patience_s: how long to wait for a connection or the next piece of an answer [s].
            transport: how requests travel, if not over the network.
        """
        headers = {PIN: version} if version is not None else {}
        self._retries = retries
        self._http = httpx2.AsyncClient(base_url=address, headers=headers, timeout=patience_s, transport=transport)

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self.close()

    async def close(self) -> None:
        """Close the connections."""
        await self._http.aclose()

    async def pair(
        self,
        a: PartLike,
        b: PartLike,
        conditions: Mapping[str, float] | None = None,
        met: Iterable[str] = (),
    ) -> PairAnswer:
        """Answer whether two parts are compatible; a part is an id, an inline part or its JSON as a mapping."""
        return await self.send(asking(plain.pair(a, b, conditions, met), PairAnswer))

    async def partners(
        self,
        part: PartLike,
        kind: PartnerKind = "fitting",
        verdicts: Iterable[Verdict] = GOOD_VERDICTS,
        limit: int = 20,
    ) -> PartnersAnswer:
        """Answer which archetypes of a kind fit a part, best first."""
        return await self.send(asking(plain.partners(part, kind, verdicts, limit), PartnersAnswer))

    async def between(self, a: PartLike, b: PartLike, limit: int = 10) -> BetweenAnswer:
        """Answer what goes between two parts, fewest fittings first."""
        return await self.send(asking(plain.between(a, b, limit), BetweenAnswer))

    async def find(self, words: str, kind: FindableKind | None = None, limit: int = 10) -> FindAnswer:
        """Answer which archetypes spec-sheet words can mean, likeliest first."""
        return await self.send(asking(plain.find(words, kind, limit), FindAnswer))

    async def loop(self, question: LoopLike) -> LoopAnswer:
        """Answer whether a loop can be assembled, and what is missing."""
        return await self.send(asking(plain.loop(question), LoopAnswer))

    async def fluids(
        self,
        parts: Iterable[PartLike],
        additives: Iterable[str] = (),
        conditions: Mapping[str, float] | None = None,
        limit: int = 20,
    ) -> SuitableAnswer:
        """Answer which fluids are compatible with materials or parts, best first."""
        return await self.send(asking(plain.fluids(parts, additives, conditions, limit), SuitableAnswer))

    async def materials(
        self,
        fluid: PartLike,
        family: str | None = None,
        conditions: Mapping[str, float] | None = None,
        limit: int = 100,
    ) -> SuitableAnswer:
        """Answer which materials are compatible with a fluid, best first."""
        return await self.send(asking(plain.materials(fluid, family, conditions, limit), SuitableAnswer))

    async def matrix(self, rows: str, columns: str, conditions: Mapping[str, float] | None = None) -> MatrixAnswer:
        """Answer how all members of two families of substances get on."""
        return await self.send(asking(plain.matrix(rows, columns, conditions), MatrixAnswer))

    async def mix(
        self,
        glycol: Glycol,
        concentrate_parts: float,
        water_parts: float,
        concentrate_glycol_percent: float = 100.0,
        temperature_c: float = 25.0,
    ) -> MixAnswer:
        """Answer what comes of mixing a glycol concentrate with water."""
        question = plain.mix(glycol, concentrate_parts, water_parts, concentrate_glycol_percent, temperature_c)
        return await self.send(asking(question, MixAnswer))

    async def record(self, row_id: str) -> RecordAnswer:
        """Return one row of any table by its id."""
        return await self.send(reading(row_id))

    async def records(
        self, table: str, family: str | None = None, after: str | None = None, limit: int = 50
    ) -> RecordsAnswer:
        """Return a page of a table, sorted by id."""
        return await self.send(paging(table, family, after, limit))

    async def tables(self) -> VersionAnswer:
        """Return the tables with their version and the number of their rows."""
        return await self.send(listing())

    async def rows(self, table: str, family: str | None = None) -> AsyncIterator[Record]:
        """Yield every row of a table, sorted by id; all are of one version of the tables."""
        after: str | None = None
        version: str | None = None
        while True:
            page = await self.records(table, family, after, PAGE)
            if version not in (None, page.kb_version):
                raise NoAnswerError("the tables changed between two pages; begin again")
            for record in page.records:
                yield record
            version, after = page.kb_version, page.next
            if after is None:
                return

    async def batch(self, asked: Iterable[Asked]) -> AsyncIterator[BatchEntry[Any]]:
        """Yield an entry for every question, in their order; a refused one is an entry with its problem.

        Args:
            asked: questions of one kind; they are read and sent as they are needed.

        Raises:
            TypeError: if they are of several kinds.
        """
        for one in batches(asked):
            async for entry in self._answered(one):
                yield entry

    async def send(self, call: Call[Answered]) -> Answered:
        """Return the answer of a call."""
        failed = 0
        while True:
            response, failed = None, failed + 1
            try:
                content_type = {"Content-Type": JSON} if call.body is not None else {}
                response = await self._http.request(
                    call.method, call.path, params=dict(call.parameters), content=call.body, headers=content_type
                )
            except BROKEN:
                if self._retries.wait_s(failed) is None:
                    raise
            if response is not None and response.is_success:
                return call.read(response.status_code, response.content)
            wait_s = self._retries.wait_s(failed, response)
            if wait_s is None:
                assert response is not None
                raise refusal(response.status_code, response.content)
            await asyncio.sleep(wait_s)

    async def _answered(self, batch: Batch[Any]) -> AsyncIterator[BatchEntry[Any]]:
        failed = 0
        while not batch.is_done:
            wait_s: float | None = None
            try:
                async with self._http.stream(
                    "POST", batch.path, content=batch.body(), headers={"Content-Type": NDJSON}
                ) as response:
                    if not response.is_success:
                        wait_s = self._retries.wait_s(failed + 1, response)
                        if wait_s is None:
                            raise refusal(response.status_code, await response.aread())
                    else:
                        async for line in response.aiter_lines():
                            failed = 0
                            yield batch.entry(line)
            except BROKEN:
                wait_s = self._retries.wait_s(failed + 1)
                if wait_s is None:
                    raise
            failed += 1
            if not batch.is_done:
                if failed > self._retries.most:
                    raise NoAnswerError("the answer of the batch broke off")
                await asyncio.sleep(wait_s or 0.0)
