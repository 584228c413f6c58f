"""Everything that can go wrong with a request, by name.

Owns: the closed list of problem types, their status codes and their explanations. Does not own: noticing or
writing problems (`api/http/problems/problems.py`). Slugs are permanent: programs branch on them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class ProblemKind:
    """One type of problem.

    Attributes:
        slug: last part of the type's address, `/problems/<slug>`.
        status: usual HTTP status code.
        title: the type in a few words; the same in every problem of the type.
        meaning: what has happened, for people.
        remedy: what to do about it, for people.
    """

    slug: str
    status: HTTPStatus
    title: str
    meaning: str
    remedy: str

    @property
    def path(self) -> str:
        """Address of the explanation, and the `type` of the problem.

        >>> UNKNOWN_ID.path
        '/problems/unknown-id'
        """
        return f"/problems/{self.slug}"


INVALID_QUESTION = ProblemKind(
    "invalid-question",
    HTTPStatus.UNPROCESSABLE_ENTITY,
    "The question cannot be asked as it stands",
    "The request was read, but a field is missing, unknown, of the wrong type or out of range, or there are too many.",
    "Every entry of errors names the field, what is wrong with it and what to write instead.",
)
UNKNOWN_ID = ProblemKind(
    "unknown-id",
    HTTPStatus.UNPROCESSABLE_ENTITY,
    "An id or name does not exist",
    "The address or the question names a row, table, port or quantity that does not exist. The status is 404 if the "
    "address names it, and 422 if the question does.",
    "Use one of the ids under nearest, look it up under /v1/tables or ask /v1/find for it.",
)
NOT_FOUND = ProblemKind(
    "not-found",
    HTTPStatus.NOT_FOUND,
    "Nothing lives at this address",
    "The path of the request is none of the paths of this service.",
    "See / for what there is, or /openapi.json for all of it. Paths do not end in a slash.",
)
METHOD_NOT_ALLOWED = ProblemKind(
    "method-not-allowed",
    HTTPStatus.METHOD_NOT_ALLOWED,
    "The method does not work at this address",
    "The path exists, but not for this method.",
    "Use a method that the Allow header of the answer names.",
)
MALFORMED_URL = ProblemKind(
    "malformed-url",
    HTTPStatus.BAD_REQUEST,
    "The address cannot be read",
    "The path or the query string holds a broken percent escape, bytes that are not UTF-8, or a control character.",
    "Percent-encode the UTF-8 bytes of every name and value.",
)
URL_TOO_LONG = ProblemKind(
    "url-too-long",
    HTTPStatus.REQUEST_URI_TOO_LONG,
    "The URL is too long",
    "The path and the query string of the request are longer than this service reads.",
    "Ask less at once, or ask with POST, which takes the question in a body.",
)
UNKNOWN_PARAMETER = ProblemKind(
    "unknown-parameter",
    HTTPStatus.BAD_REQUEST,
    "A query parameter is not known here",
    "The query string holds a parameter that this address does not have. It is refused because ignoring it could "
    "answer another question than the one you meant.",
    "Use one of the parameters under nearest, or leave it out.",
)
REPEATED_PARAMETER = ProblemKind(
    "repeated-parameter",
    HTTPStatus.BAD_REQUEST,
    "A query parameter stands there twice",
    "The query string gives the same parameter more than once, and only one value could count.",
    "Keep one. Where several values are allowed, separate them with commas.",
)
NOT_ACCEPTABLE = ProblemKind(
    "not-acceptable",
    HTTPStatus.NOT_ACCEPTABLE,
    "The answer does not come in this form",
    "The Accept header of the request names no form in which this address answers.",
    "Accept one of the media types that the detail names, or leave the header out.",
)
NOT_JSON = ProblemKind(
    "not-json",
    HTTPStatus.BAD_REQUEST,
    "The body is not usable JSON",
    "The body is empty, is not JSON in UTF-8, nests too deeply, names a field twice in one object, or holds a number "
    "or character that cannot be passed on exactly.",
    "Send one JSON value in UTF-8 as RFC 8259 describes it, with every name once, finite numbers and whole characters.",
)
UNSUPPORTED_MEDIA_TYPE = ProblemKind(
    "unsupported-media-type",
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
    "The body is not marked as JSON",
    "The Content-Type of the request is missing or is not application/json, or the body is compressed.",
    "Send Content-Type: application/json and no Content-Encoding.",
)
BODY_TOO_LARGE = ProblemKind(
    "body-too-large",
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    "The body is too large",
    "The body is larger than this service reads.",
    "Split the question into smaller ones.",
)
REQUEST_TOO_SLOW = ProblemKind(
    "request-too-slow",
    HTTPStatus.REQUEST_TIMEOUT,
    "The request came too slowly",
    "The request was not complete in the time that this service waits.",
    "Send the request again, whole.",
)
MALFORMED_REQUEST = ProblemKind(
    "malformed-request",
    HTTPStatus.BAD_REQUEST,
    "The request breaks the rules of HTTP",
    "The request line, a header or the framing of the body contradicts HTTP, or one of them is too long.",
    "Use a current HTTP client. Send either Content-Length or Transfer-Encoding, never both.",
)
VERSION_NOT_SERVED = ProblemKind(
    "version-not-served",
    HTTPStatus.PRECONDITION_FAILED,
    "The tables have another version",
    "The request pins a version of the tables with the header Wetted-Version, and this service does not "
    "answer from it.",
    "Leave the header out, or pin the version that Wetted-Version of this answer names. Older ones are served for a "
    "while after new tables were loaded, as far as the operator chose.",
)
BUSY = ProblemKind(
    "busy",
    HTTPStatus.SERVICE_UNAVAILABLE,
    "The service is busy with others",
    "So many batches or long questions are being answered, or so many connections are open, that one more would slow "
    "all of them down.",
    "Send the request again after the seconds that Retry-After names.",
)
TOOK_TOO_LONG = ProblemKind(
    "took-too-long",
    HTTPStatus.GATEWAY_TIMEOUT,
    "The answer took too long",
    "The question asks for more computing than this service spends on one answer. Nothing of the answer is given, "
    "because half of it could be taken for the whole.",
    "Ask for fewer sections or a smaller loop. Asked again as it is, it takes as long; the operator sets the limit.",
)
INTERNAL_ERROR = ProblemKind(
    "internal-error",
    HTTPStatus.INTERNAL_SERVER_ERROR,
    "The service made a mistake",
    "Something went wrong here, not with your request. The operator finds the details in the log.",
    "Try again later. If it stays, report it with the request that led to it.",
)

PROBLEM_KINDS: Mapping[str, ProblemKind] = MappingProxyType(
    {
        kind.slug: kind
        for kind in (
            INVALID_QUESTION,
            UNKNOWN_ID,
            NOT_FOUND,
            METHOD_NOT_ALLOWED,
            MALFORMED_URL,
            URL_TOO_LONG,
            UNKNOWN_PARAMETER,
            REPEATED_PARAMETER,
            NOT_ACCEPTABLE,
            NOT_JSON,
            UNSUPPORTED_MEDIA_TYPE,
            BODY_TOO_LARGE,
            REQUEST_TOO_SLOW,
            MALFORMED_REQUEST,
            VERSION_NOT_SERVED,
            BUSY,
            TOOK_TOO_LONG,
            INTERNAL_ERROR,
        )
    }
)
