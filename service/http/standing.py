"""What a new replica begins with, and what any replica holds its own beside.

A snapshot, what was set aside, and how the whole stands. Rule: nothing is reckoned here, and a
snapshot goes out a piece at a time.
"""

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Annotated

from litestar import Response, get
from litestar.openapi.datastructures import ResponseSpec
from litestar.params import QueryParameter
from litestar.response import Stream

from service.http import bodies
from service.http.bodies import Asking
from service.http.described import problems
from service.http.doors import ALL
from service.http.problems import Problem
from service.http.state import before
from service.sync import messages
from service.sync.snapshot import GZIP

PIECE = 256 * 1024


@get(
    "/v1/snapshot",
    roles=ALL,
    media_type=GZIP,
    responses={
        200: ResponseSpec(bytes, media_type=GZIP, description="The book, as of a position"),
        **problems(404),
    },
)
async def snapshot(
    request: Asking,
    program: Annotated[
        str | None,
        QueryParameter(max_length=100, description="The program that would take it up; none: any"),
    ] = None,
) -> Stream:
    """The service's book as it was put by, for a new replica that runs the same program.

    A replica takes it up once it has pulled the log up to its position, and need not fold the years
    before. 404: there is none for that program; the log gives the book in any case.
    """
    at = before(request)
    file = await at.standing.snapshot(at.here(), program)
    if file is None:
        raise Problem(404, "not-found", "There is no snapshot for that program: fold the log.")
    return Stream(_pieces(file), media_type=GZIP, headers={"Cache-Control": "no-store"})


async def _pieces(path: Path) -> AsyncIterator[bytes]:
    with path.open("rb") as file:
        while piece := file.read(PIECE):
            yield piece


@get("/v1/state", roles=ALL)
async def state(request: Asking) -> Response[bytes]:
    """How the log and its book stand: the root of all entries (RFC 9162), a hash of every state."""
    at = before(request)
    return bodies.answer(request, await at.standing.stand(at.here()))


@get("/v1/set-aside", roles=ALL)
async def set_aside(
    request: Asking,
    after: Annotated[
        str | None,
        QueryParameter(
            max_length=200, description="The `next` of the last answer; none: the first"
        ),
    ] = None,
) -> Response[bytes]:
    """What came under a name that has another content, oldest name first, a part at a time."""
    at = before(request)
    page = messages.aside_page(at.ledger.set_aside, after or "")
    media = bodies.wanted_in(request)
    return bodies.raw(messages.write_asides(page, media), media)


routes = [snapshot, state, set_aside]
