"""HTML pages that ask no other host for anything.

Owns: how a page is sent and what it may load. Does not own: what is on a page.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from starlette.responses import Response

TEXT_STYLE = """\
body { max-width: 42rem; margin: 3rem auto; padding: 0 1.25rem; color: #23272e }
body { font: 1.0625rem/1.6 system-ui, sans-serif }
h1, h2 { line-height: 1.25; margin: 2.5rem 0 0.5rem }
code { padding: 0.1em 0.35em; background: #eef1f4; border-radius: 0.25em }
"""
TEXT_STYLE_PATH = "/docs/text.css"
TEXT_HEAD = f'<link rel="stylesheet" href="{TEXT_STYLE_PATH}">\n'
_MAY_LOAD = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
    )
)
_KEPT_APART: Mapping[str, str] = MappingProxyType(
    {
        "Content-Security-Policy": _MAY_LOAD,
        "Cross-Origin-Opener-Policy": "same-origin",
        "Cross-Origin-Resource-Policy": "same-origin",
        "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
        "X-Frame-Options": "DENY",
    }
)

HTML = "text/html"


def page(title: str, body: str, head: str = "") -> Response:
    """Return an HTML page.

    Args:
        title: title, already escaped.
        body: what stands inside the body element.
        head: what stands inside the head element beside the title, such as `TEXT_HEAD` for a page of plain text.
    """
    html = (
        f'<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n<title>{title}</title>\n'
        f'<link rel="icon" href="data:,">\n{head}</head>\n<body>\n{body}\n</body>\n</html>\n'
    )
    headers = {**_KEPT_APART, "Cache-Control": "no-cache", "Vary": "Accept"}
    return Response(html, headers=headers, media_type=HTML)
