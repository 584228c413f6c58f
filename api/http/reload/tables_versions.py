"""Which base answers: the present edition, and those before it that clients may still pin.

Owns: choosing the tables version of a request and swapping tables versions without a gap. Does not own: when new tables
are loaded (`api/http/reload/reloading.py`) or what a tables version answers (`api/http/app.py`).
A request is handed to one tables version and never leaves it; the swap is one assignment.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from fastapi.dependencies import models
from starlette.types import ASGIApp, Receive, Scope, Send

from api.http.responses.middleware import PIN
from kb.knowledge_base import KnowledgeBase


class TablesVersions:
    """The applications of several bases as one application."""

    def __init__(self, base: KnowledgeBase, make_app: Callable[[KnowledgeBase], ASGIApp], most_before: int) -> None:
        """Begin with one tables version.

        Args:
            base: answers until another one takes its place.
            make_app: returns the application around a base.
            most_before: how many earlier tables versions stay for clients that pin them.
        """
        self._make_app = make_app
        self._most_before = most_before
        self._by_version: Mapping[bytes, ASGIApp] = MappingProxyType({})
        self._app: ASGIApp = make_app(base)
        self.version = base.version
        self.newest = base
        self._activate(base.version, self._app)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand a request to the tables version that it pins, or else to the present one, which refuses unknown pins."""
        app = self._app
        for name, value in scope["headers"]:
            if name == PIN:
                app = self._by_version.get(value, app)
        await app({**scope}, receive, send)  # applications write into it, and the server keeps its own while idle

    @property
    def versions(self) -> tuple[str, ...]:
        """Versions that are served, the present one last."""
        return tuple(version.decode() for version in self._by_version)

    def replace(self, base: KnowledgeBase) -> None:
        """Let another base answer from now on; requests that have begun end where they began.

        Args:
            base: the new base; the same version again changes nothing.
        """
        if base.version != self.version:
            self._activate(base.version, self._make_app(base))
            self.newest = base
            _forget_callables()

    def activate(self, version: str) -> bool:
        """Let a tables version that is served already answer from now on.

        Args:
            version: its version.

        Returns:
            whether it is served.
        """
        app = self._by_version.get(version.encode())
        if app is not None and version != self.version:
            self._activate(version, app)
        return app is not None

    def _activate(self, version: str, app: ASGIApp) -> None:
        served = {one: old for one, old in self._by_version.items() if one != version.encode()}
        kept = dict(list(served.items())[max(0, len(served) - self._most_before) :]) if self._most_before else {}
        self._by_version = MappingProxyType({**kept, version.encode(): app})
        self._app, self.version = app, version


def _forget_callables() -> None:
    """Empty the framework's memory of which functions are coroutines: it holds routes, and with them their bases."""
    for one in tuple(vars(models).values()):
        if hasattr(one, "cache_clear"):
            one.cache_clear()
