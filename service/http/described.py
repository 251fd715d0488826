"""The OpenAPI document: what the framework sees of the routes, and what it cannot see.

Bodies are read as bytes, so the framework knows neither what goes in nor what comes out: both are
listed here, by method and path, with MessagePack beside JSON and the problems that any route may
answer with. Rule: what is listed here is what the code reads and writes; a test walks both.
"""

from collections.abc import Sequence
from importlib.metadata import PackageNotFoundError, version
from typing import Any

import msgspec
from litestar import Litestar
from litestar.openapi import OpenAPIConfig
from litestar.openapi.datastructures import ResponseSpec
from litestar.types import ControllerRouterHandler
from msgspec import Struct

from events.record import Record
from service.access import Listed
from service.drafts import Receipt
from service.http.problems import PROBLEM, ProblemDetails
from service.sync.messages import JSON, MAX_RECORDS, MSGPACK
from service.sync.pairing import Change, Join, Joined, Pair, Paired
from service.sync.snapshot import GZIP
from service.sync.standing import Stand

METHODS = ("get", "post", "put", "patch", "delete")
PLACE = "#/components/schemas/{name}"
BY_THEMSELVES = {"text/event-stream", GZIP}
"""Answers that are neither JSON nor MessagePack; their routes describe them."""


class Entry(Struct, frozen=True, kw_only=True):
    """A record in the log: where, when it was heard (Unix milliseconds), who sent it."""

    position: int
    received: int
    sent_by: str
    record: Record


class Entries(Struct, frozen=True, kw_only=True):
    """Entries after a cursor, oldest first; `next` is the cursor to go on from."""

    entries: list[Entry]
    next: str
    more: bool
    aside: int = 0
    """contents that came under a name which has another, and stand beside the log"""


class SetAside(Struct, frozen=True, kw_only=True):
    """A record under whose name the log has another content."""

    received: int
    sent_by: str
    record: Record


class SetAsides(Struct, frozen=True, kw_only=True):
    """Some of what was set aside; `next` is the mark to go on from."""

    set_aside: list[SetAside]
    next: str
    more: bool


class Health(Struct, frozen=True):
    """That the service answers."""

    status: str = "ok"


TAKES: dict[tuple[str, str], Any] = {
    ("post", "/v1/events"): list[Record],
    ("post", "/v1/join"): Join,
    ("post", "/v1/pair"): Pair,
    ("patch", "/v1/devices/{device}"): Change,
}
"""What each route reads, by method and path."""

GIVES: dict[tuple[str, str], Any] = {
    ("post", "/v1/events"): list[Receipt],
    ("get", "/v1/events"): Entries,
    ("get", "/v1/state"): Stand,
    ("get", "/v1/set-aside"): SetAsides,
    ("post", "/v1/join"): Joined,
    ("post", "/v1/pair"): Paired,
    ("get", "/v1/devices"): list[Listed],
    ("patch", "/v1/devices/{device}"): Listed,
    ("get", "/health"): Health,
}
"""What each route answers with; any other is a look: as the console prints it with --json."""

ANY = (400, 429, 500)
SIGNED = (*ANY, 401, 403, 503, 507)
BODIED = (403, 413, 415)
NAMED = (404, 409)


def problems(*statuses: int) -> dict[int, ResponseSpec]:
    """Those statuses as a route declares them."""
    return {
        status: ResponseSpec(ProblemDetails, media_type=PROBLEM, generate_examples=False)
        for status in statuses
    }


def document(routes: Sequence[ControllerRouterHandler]) -> dict[str, Any]:
    """The OpenAPI document of those routes, whole."""
    config = OpenAPIConfig("Girnel", _version(), use_handler_docstrings=True)
    app = Litestar(routes, openapi_config=config, logging_config=None)
    said = app.openapi_schema.to_schema()
    types = [*TAKES.values(), *GIVES.values(), ProblemDetails]
    found, components = msgspec.json.schema_components(types, ref_template=PLACE)
    schemas = dict(zip(map(repr, types), found, strict=True))
    said["components"] = {
        "schemas": components,
        "securitySchemes": {
            "token": {"type": "http", "scheme": "bearer"},
            "cookie": {"type": "apiKey", "in": "cookie", "name": "girnel"},
        },
    }
    said["security"] = [{"token": []}, {"cookie": []}]
    for path, methods in said["paths"].items():
        for method, operation in methods.items():
            if method in METHODS:
                _complete(operation, method, path, schemas, is_open=_is_open(app, path))
    return said


def _complete(
    operation: dict[str, Any], method: str, path: str, schemas: dict[str, Any], *, is_open: bool
) -> None:
    """What the framework could not see of one operation."""
    takes, gives = TAKES.get((method, path)), GIVES.get((method, path))
    answers: dict[str, Any] = operation["responses"]
    statuses = ANY if is_open else SIGNED
    if takes is not None:
        statuses = (*statuses, *BODIED)
        operation["requestBody"] = {"required": True, "content": _content(takes, schemas)}
    if "{" in path or takes is not None:
        statuses = (*statuses, *NAMED)
    for number in statuses:
        answers.setdefault(str(number), {"description": "A problem (RFC 9457)"})
    for status, one in answers.items():
        if int(status) >= 400:
            one["content"] = {PROBLEM: {"schema": schemas[repr(ProblemDetails)]}}
        elif status == "200" and not BY_THEMSELVES & one.get("content", {}).keys():
            one["content"] = _content(gives, schemas)
    if is_open:
        operation["security"] = []


def _content(kind: Any, schemas: dict[str, Any]) -> dict[str, Any]:
    schema = dict(schemas[repr(kind)]) if kind is not None else {}
    if kind == list[Record]:
        schema["maxItems"] = MAX_RECORDS
    return {JSON: {"schema": schema}, MSGPACK: {"schema": {"type": "string", "format": "binary"}}}


def _is_open(app: Litestar, path: str) -> bool:
    for route in app.routes:
        if route.path_format == path:
            return any(one.opt.get("open") for one in getattr(route, "route_handlers", ()))
    return False


def _version() -> str:
    try:
        return version("girnel")
    except PackageNotFoundError:
        return "0"
