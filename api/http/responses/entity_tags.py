"""Entity tags: the fingerprint of base and question under which an answer may be kept (RFC 9110, section 8.8.3).

Owns: making tags and recognising them in If-None-Match. Does not own: which answers get one
(`api/http/responses/middleware.py`).
"""

from __future__ import annotations

import hashlib
import re
from functools import cache
from pathlib import Path

_TAG_BYTES = 16
_PROJECT = Path(__file__).resolve().parents[3]
_CODE_FOLDERS = ("api", "kb", "schemas")
_LISTED = re.compile(rb'(?:W/)?("[\x21\x23-\x7e\x80-\xff]*")')


class EntityTags:
    """Makes strong tags: equal tags mean equal bytes, so the program that words the answers goes into them, too."""

    def __init__(self, kb_version: str) -> None:
        self._seed = hashlib.blake2b(f"{kb_version}\0{code_digest()}".encode(), digest_size=_TAG_BYTES)

    def tag(self, path: bytes, query: bytes, media_type: bytes) -> bytes:
        """Return the tag of an answer.

        Args:
            path: path of the question as it was sent.
            query: query string as it was sent.
            media_type: Content-Type of the answer.
        """
        hasher = self._seed.copy()
        hasher.update(b"%b?%b %b" % (path, query, media_type))
        return b'"%b"' % hasher.hexdigest().encode()


def is_listed(tag: bytes, if_none_match: bytes) -> bool:
    """Return whether the asker has the answer with this tag already.

    Args:
        tag: a strong tag with its quotation marks.
        if_none_match: the header's value; empty if there is none.

    Source: RFC 9110, section 13.1.2 (weak comparison).

    >>> is_listed(b'"a"', b'W/"a", "b"'), is_listed(b'"a"', b"*"), is_listed(b'"a"', b'"ab"')
    (True, True, False)
    """
    return bool(if_none_match) and (if_none_match.strip() == b"*" or tag in _LISTED.findall(if_none_match))


@cache
def code_digest() -> str:
    """Return the fingerprint of the program that answers."""
    hasher = hashlib.sha256()
    for folder in _CODE_FOLDERS:
        for path in sorted((_PROJECT / folder).glob("**/*.py")):
            hasher.update(f"{path.relative_to(_PROJECT)}\0".encode())
            hasher.update(path.read_bytes())
    return hasher.hexdigest()
