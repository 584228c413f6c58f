"""The short way: plain questions by address, answered whole without the framework or even a task of their own.

Owns: finding a ready answer or making a quick one, what the edge adds to every answer, and the bytes of a whole
response for a connection that asks for them. Does not own: requests with anything unusual about them, which go the long
way (`api/http/edge.py`), or when a connection may ask (`api/http/connection.py`). Both ways share what is here, so
they give the same answers; a test holds them together.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Mapping, Sequence
from http import HTTPStatus
from typing import NamedTuple, TypeAlias

from api.http.answers import JSON, MAY_BE_KEPT
from api.http.cors import Origins
from api.http.deprecations import Deprecation
from api.http.entity_tags import EntityTags, is_listed
from api.http.logs import RequestLog
from api.http.ready_answers import HeaderList, QuestionKey, ReadyAnswer, ReadyAnswers, head_lines
from api.http.request_ids import RequestIds
from api.http.settings import Settings
from api.http.traffic import Traffic

PIN = b"wetted-version"
ONLY_WITH_A_BODY = frozenset({b"content-type", b"content-length", b"content-disposition"})
_UNUSUAL = frozenset({b"content-encoding", b"content-length", b"transfer-encoding"})
_WANTED = _UNUSUAL | {
    *(b"accept", b"content-type", b"if-none-match", b"origin", b"x-request-id", PIN),
    b"access-control-request-method",
}
_JSON, _KEPT = JSON.encode(), MAY_BE_KEPT.encode()
_VARY = b"Accept, Wetted-Version"
_FOUND = b"HTTP/1.1 200 OK\r\n"
_UNCHANGED = b"HTTP/1.1 304 Not Modified\r\n"
_LOG = logging.getLogger(__name__)

Head: TypeAlias = dict[bytes, bytes]
QuickAnswer: TypeAlias = Callable[[bytes], bytes | None]


class PlainRequest(NamedTuple):
    """A GET or HEAD as a connection read it.

    Attributes:
        method: GET or HEAD.
        path: path as it was sent.
        query: query string as it was sent.
        head: what `read_head` returned.
        server_lines: headers that the server adds to every response, as lines.
    """

    method: str
    path: bytes
    query: bytes
    head: Head
    server_lines: bytes


class QuickAddress(NamedTuple):
    """An address whose plain questions are answered quickly.

    Attributes:
        answer: query string -> body, `None` to leave the question to the framework.
        path: the address.
        before_length: head of an answer up to its length.
        before_tag: from behind its length up to its tag.
        after_tag: from behind its tag to its end.
    """

    answer: QuickAnswer
    path: str
    before_length: bytes
    before_tag: bytes
    after_tag: bytes


class PlainWay:
    """Answers plain questions to one base. Belongs to one event loop."""

    def __init__(
        self,
        kb_version: str,
        settings: Settings,
        quick: Mapping[bytes, QuickAnswer],
        deprecated: Sequence[Deprecation],
        ready: ReadyAnswers,
        traffic: Traffic,
        log: RequestLog | None,
    ) -> None:
        """Prepare the way.

        Args:
            kb_version: version of the base that answers.
            settings: what the operator chose.
            quick: path -> answers a plain query string in JSON, or returns `None` to leave it to the application.
            deprecated: addresses that will go.
            ready: keeps the answers of this base.
            traffic: counts requests.
            log: writes a line a request, `None` to write none.
        """
        self.version = kb_version
        self.ids = RequestIds()
        self.origins = Origins(settings.cors_origins)
        self.ready = ready
        self._pin = kb_version.encode()
        self._traffic = traffic
        self._log = log
        self._deprecated = {(one.method, one.path): one.headers() for one in deprecated}
        self._tags = EntityTags(kb_version)
        self._keep = b"%b, max-age=%d" % (_KEPT, settings.keep_s)
        self._common = [
            (b"x-content-type-options", b"nosniff"),
            (b"referrer-policy", b"no-referrer"),
            (PIN, self._pin),
        ]
        self._quick = {path: self._quick_address(path.decode(), answer) for path, answer in quick.items()}

    def at_once(self, request: PlainRequest) -> bytes | None:
        """Return the whole response to a plain request, or `None` if it has to go the long way.

        Nothing is refused here: whatever is faulty or unusual gets its answer there.

        Args:
            request: the request.
        """
        began_s = time.perf_counter()
        method, path, query, head, server_lines = request
        if not _UNUSUAL.isdisjoint(head) or head.get(PIN, self._pin) != self._pin:
            return None
        key = (path, query, head.get(b"accept", b""))
        try:
            ready = self.ready.get(key)
            from_memory = ready is not None
            ready = ready or self.answered_quickly(key)
        except Exception:
            _LOG.exception("a plain question broke; it is asked again the long way")
            return None
        if ready is None:
            return None
        name = self.ids.name(head.get(b"x-request-id"))
        own = b"x-request-id: %b\r\n%b" % (name, head_lines(self.origins.headers(head.get(b"origin"))))
        status, first_line, lines, body = _told(ready, method, head.get(b"if-none-match"))
        self.note(name, method, (ready.route, status), time.perf_counter() - began_s, from_memory, key)
        return b"".join((first_line, server_lines, lines, own, b"\r\n", body))

    def answered_quickly(self, key: QuestionKey) -> ReadyAnswer | None:
        """Return the answer to a plain question, made past the framework; `None` to leave it to the framework.

        Args:
            key: path, query string and Accept as they were sent.
        """
        path, query, accept = key
        address = self._quick.get(path)
        if address is None or (accept and b"*/*" not in accept and _JSON not in accept):
            return None
        body = address.answer(query)
        if body is None:
            return None
        tag = self._tags.tag(path, query, _JSON)
        head = b"%b%d%b%b%b" % (address.before_length, len(body), address.before_tag, tag, address.after_tag)
        ready = ReadyAnswer(head, body, tag, address.path)
        self.ready.keep(key, ready)
        return ready

    def finished(
        self, headers: HeaderList, path: bytes, query: bytes, route: tuple[str, str]
    ) -> tuple[HeaderList, bytes]:
        """Return the headers of an answer with those that the edge adds, and its entity tag, empty if it gets none.

        Args:
            headers: headers of the answer as the application made it.
            path: path of the question as it was sent.
            query: query string as it was sent.
            route: method and path template of the route; no template if there is no route.
        """
        said = dict(headers)
        tag = b""
        if said.get(b"cache-control") == _KEPT:
            tag = self._tags.tag(path, query, said.get(b"content-type", b""))
            kept = [one for one in headers if one[0] not in (b"cache-control", b"vary")]
            headers = [*kept, *self._keepable(), (b"etag", tag)]
        return [*headers, *self._beside(route)], tag

    def note(
        self,
        request_id: bytes,
        method: str,
        answered: tuple[str, int],
        seconds: float,
        from_memory: bool,
        key: QuestionKey | None,
    ) -> None:
        """Count a request that was answered, and log it.

        Args:
            request_id: its name.
            method: its method.
            answered: path template of its route, empty if there is none, and status of the answer.
            seconds: time from its head to the end of its answer [s].
            from_memory: whether its answer was ready.
            key: what its answer depends on; `None` if it was too large to be kept.
        """
        route, status = answered
        self._traffic.note(method, route, status, seconds, from_memory)
        if self._log is not None:
            self._log.write(request_id.decode(), method, route, status, seconds, key or (), self.version)

    def _keepable(self) -> HeaderList:
        return [(b"cache-control", self._keep), (b"vary", _VARY)]

    def _beside(self, route: tuple[str, str]) -> HeaderList:
        return [*self._common, *self._deprecated.get(route, ())]

    def _quick_address(self, path: str, answer: QuickAnswer) -> QuickAddress:
        """Write what stays the same in the heads of all answers at an address; names of fields are as in `finished`."""
        before_length = head_lines([(b"content-type", _JSON)]) + b"content-length: "
        before_tag = b"\r\n" + head_lines(self._keepable()) + b"etag: "
        return QuickAddress(answer, path, before_length, before_tag, b"\r\n" + head_lines(self._beside(("GET", path))))


def read_head(headers: HeaderList) -> Head:
    """Return the headers that the edge looks at; those that stand there several times are joined by commas."""
    head: Head = {}
    for name, value in headers:
        if name in _WANTED:
            head[name] = b"%b,%b" % (head[name], value) if name in head else value
    return head


def _told(ready: ReadyAnswer, method: str, if_none_match: bytes | None) -> tuple[int, bytes, bytes, bytes]:
    """Return status, first line, headers and body of an answer; what the asker has already is told to be unchanged."""
    if if_none_match is not None and ready.tag and is_listed(ready.tag, if_none_match):
        lines = head_lines([one for one in ready.headers if one[0] not in ONLY_WITH_A_BODY])
        return HTTPStatus.NOT_MODIFIED, _UNCHANGED, lines, b""
    return HTTPStatus.OK, _FOUND, ready.head, b"" if method == "HEAD" else ready.body
