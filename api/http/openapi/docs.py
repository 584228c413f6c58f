"""/docs and /openapi.json: the API described for people and for programs, without any other host.

Owns: serving the description and the page that shows it. Does not own: the description (`api/http/openapi/openapi.py`).
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from importlib.resources import files

from fastapi import FastAPI
from starlette.responses import Response

from api.http.openapi.pages import TEXT_STYLE, TEXT_STYLE_PATH, page

_KEEP_ASSETS_S = 86400
_START = """\
SwaggerUIBundle({
  url: "/openapi.json",
  dom_id: "#api",
  deepLinking: true,
  defaultModelsExpandDepth: 0,
  tryItOutEnabled: true,
  validatorUrl: null,
});
"""


def add_docs_routes(app: FastAPI, description: Callable[[], bytes]) -> None:
    """Add the description and its page to an application.

    Args:
        app: the application.
        description: gives the description as JSON.
    """
    shipped = files("fastapi_offline") / "static"
    script, style = (shipped / "swagger-ui-bundle.js").read_bytes(), (shipped / "swagger-ui.css").read_bytes()

    @app.get("/openapi.json", include_in_schema=False)
    async def read_description() -> Response:
        return _asset(await asyncio.to_thread(description), "application/json", "no-cache")

    @app.get("/docs", include_in_schema=False)
    async def read_page() -> Response:
        head = '<link rel="stylesheet" href="/docs/style.css">\n'
        body = '<div id="api"></div>\n<script src="/docs/viewer.js"></script>\n<script src="/docs/start.js"></script>'
        return page(app.title, body, head)

    @app.get("/docs/viewer.js", include_in_schema=False)
    async def read_viewer() -> Response:
        return _asset(script, "text/javascript")

    @app.get("/docs/start.js", include_in_schema=False)
    async def read_start() -> Response:
        return _asset(_START.encode(), "text/javascript")

    @app.get(TEXT_STYLE_PATH, include_in_schema=False)
    async def read_text_style() -> Response:
        return _asset(TEXT_STYLE.encode(), "text/css")

    @app.get("/docs/style.css", include_in_schema=False)
    async def read_style() -> Response:
        return _asset(style, "text/css")


def _asset(content: bytes, media_type: str, keep: str = f"public, max-age={_KEEP_ASSETS_S}") -> Response:
    return Response(content, headers={"Cache-Control": keep}, media_type=media_type)
