"""What the endpoints are, said by the service itself: OpenAPI, and a page that needs no internet.

Both are drawn up once, from `described`. Rule: the page loads nothing from anywhere.
"""

from html import escape
from typing import Any

import msgspec
from litestar import Litestar, Response, get

from service.http.bodies import Asking
from service.http.described import METHODS, document
from service.http.problems import KINDS
from service.sync.messages import JSON, MSGPACK


@get("/openapi.json", open=True, include_in_schema=False)
async def openapi(request: Asking) -> Response[bytes]:
    """The OpenAPI document of this service."""
    return Response(_kept(request.app), media_type=JSON)


@get("/docs", open=True, include_in_schema=False)
async def page(request: Asking) -> Response[bytes]:
    """The same as a page for people."""
    said = msgspec.json.decode(_kept(request.app))
    return Response(
        _page(said).encode(),
        media_type="text/html",
        headers={"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'"},
    )


def _kept(app: Litestar) -> bytes:
    """The document's bytes, drawn up when they are first asked for."""
    kept: bytes | None = app.state.get("document")
    if kept is None:
        kept = app.state.document = msgspec.json.encode(document(app.state.routes))
    return kept


STYLE = "body{font:1em/1.5 sans-serif;max-width:50em;margin:auto;padding:1em}code{font-size:1.05em}"


def _page(said: dict[str, Any]) -> str:
    """Every endpoint, then every kind of problem."""
    parts = [
        '<!doctype html><html lang="en"><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width">',
        f"<title>Girnel: endpoints</title><style>{STYLE}</style>",
        "<h1>Endpoints</h1><p>The same for programs: ",
        '<a href="/openapi.json">openapi.json</a> (OpenAPI). Answers are JSON, or MessagePack ',
        f"where <code>Accept: {MSGPACK}</code> says so. A token goes into ",
        "<code>Authorization: Bearer TOKEN</code>.</p>",
    ]
    for path, methods in sorted(said["paths"].items()):
        for method, operation in methods.items():
            if method in METHODS:
                parts += _endpoint(path, method, operation)
    parts.append("<h1>Problems</h1><dl>")
    for kind, title in KINDS.items():
        parts.append(f'<dt id="{kind}"><code>{kind}</code></dt><dd>{escape(title)}</dd>')
    return "".join([*parts, "</dl></html>"])


def _endpoint(path: str, method: str, operation: dict[str, Any]) -> list[str]:
    told = escape(operation.get("description") or operation.get("summary") or "")
    parts = [f"<h2><code>{method.upper()} {escape(path)}</code></h2><p>{told}</p>"]
    for one in operation.get("parameters", []):
        needed = "" if one.get("required") else " (may be left out)"
        says = escape(one.get("description") or "")
        parts.append(f"<p><code>{escape(one['name'])}</code>{needed}: {says}</p>")
    codes = ", ".join(sorted(operation["responses"]))
    return [*parts, f"<p>Answers: {codes}</p>"]


routes = [openapi, page]
