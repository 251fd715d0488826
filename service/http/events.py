"""Records in, entries out: push, pull, and the stream for whoever follows the household live.

Bodies are read as bytes and stored bytes are spliced into answers, undecoded. Rule: nothing is
acknowledged that is not on disk, and no cursor passes what is not.
"""

import asyncio
from collections.abc import AsyncIterator
from contextlib import suppress
from typing import Annotated, Any

from litestar import Response, get, post
from litestar.openapi.datastructures import ResponseSpec
from litestar.params import QueryParameter, RawBody
from litestar.response import Stream

from service.http import bodies
from service.http.bodies import Asking
from service.http.described import problems
from service.http.doors import ALL, shown
from service.http.problems import Problem
from service.http.state import Before, before, holder
from service.storage.store import Row
from service.sync import exchange, messages
from service.sync.messages import MAX_BYTES, MAX_RECORDS, Cursor

PAGE = 500
"""Entries in a page, where nobody said."""

After = Annotated[
    str | None,
    QueryParameter(
        description="The cursor (`next`) of the last answer, LOG.EPOCH.POSITION; none: from the first"
    ),
]


@post(
    "/v1/events",
    status_code=200,
    roles=("keeper", "member", "sensor"),
    request_max_body_size=MAX_BYTES,
)
async def push(request: Asking, body: RawBody) -> Response[bytes]:
    """Push records of this device, oldest first.

    A list of records, each as its device stores it; in MessagePack a record is the bytes of its
    JSON, or a map. A receipt says of each that it is `new` or `known`, at its position, that it was
    set `aside`, or that it is `refused`, and why. Pushing again changes nothing.
    """
    at = before(request)
    contents = messages.read_push(body, bodies.sent_in(request))
    judged = exchange.judge(contents, holder(request))
    receipts = await at.gather.accept(judged.allowed, holder(request).device)
    media = bodies.wanted_in(request)
    return bodies.raw(messages.write_receipts(judged.receipts(receipts), media), media)


@get(
    "/v1/events",
    roles=ALL,
    responses=problems(409),
)
async def pull(
    request: Asking,
    after: After = None,
    limit: Annotated[int, QueryParameter(ge=1, le=MAX_RECORDS)] = PAGE,
) -> Response[bytes]:
    """Pull what came into the log after a cursor."""
    at = before(request)
    here = at.here()
    begun = exchange.begin(_cursor(after), here)
    rows = await at.ledger.page(begun, limit) if begun < here.position else []
    media = bodies.wanted_in(request)
    page = exchange.page(rows, begun, here, len(at.ledger.set_aside))
    return bodies.raw(messages.write_page(page, media), media)


@get(
    "/v1/events/stream",
    roles=ALL,
    media_type="text/event-stream",
    responses={
        200: ResponseSpec(str, media_type="text/event-stream", description="Server-sent events"),
        **problems(409),
    },
)
async def stream(request: Asking, after: After = None) -> Stream:
    """Follow the log: a `record` event for each entry, its cursor as the event's id.

    A `Last-Event-ID` header goes before `after`. Quiet is broken by a comment now and then.
    """
    at = before(request)
    begun = exchange.begin(_cursor(request.headers.get("last-event-id") or after), at.here())
    return Stream(
        _follow(at, shown(request) or "", begun),
        media_type="text/event-stream",
        headers={"Cache-Control": "no-store", "X-Accel-Buffering": "no"},
    )


def _cursor(typed: str | None) -> Cursor | None:
    try:
        return None if typed is None else messages.cursor(typed)
    except ValueError as wrong:
        raise Problem(400, "not-understood", str(wrong)) from None


async def _follow(at: Before, token: str, position: int) -> AsyncIterator[bytes]:
    """Entries as they come, until the service closes or the token is no longer good."""
    yield b"retry: 2000\n\n"
    local = token == at.serving.local_token
    while not at.closing.is_set():
        if not local and await at.access.who(token) is None:
            return
        here = at.here()
        if position < here.position:
            rows = await at.ledger.page(position, PAGE)
            yield b"".join(_event(row, here) for row in rows)
            position = rows[-1].position
        elif not await _news(at, position):
            yield b": quiet\n\n"


def _event(row: Row, here: Cursor) -> bytes:
    cursor = Cursor(here.log, here.epoch, row.position)
    return b"id: %b\nevent: record\ndata: %b\n\n" % (
        str(cursor).encode(),
        messages.write_entry(row),
    )


async def _news(at: Before, position: int) -> bool:
    """Wait for news, or for the end; False where neither came in time."""
    waits: list[asyncio.Task[Any]] = [
        asyncio.create_task(at.ledger.news(position)),
        asyncio.create_task(at.closing.wait()),
    ]
    try:
        done, _ = await asyncio.wait(
            waits, timeout=at.serving.heartbeat_s, return_when=asyncio.FIRST_COMPLETED
        )
        return bool(done)
    finally:
        for wait in waits:
            wait.cancel()
        for wait in waits:
            with suppress(asyncio.CancelledError):
                await wait


routes = [push, pull, stream]
