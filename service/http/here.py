"""For a console in the same home: deeds written by the service in the console's stead.

One process writes a home; while the service runs, that is the service. It takes these only from
whoever shows the token that lies in the home itself, readable for its owner alone. What is written
so is the service's own, as if the console had written it. Rule: nothing here is offered to a device.
"""

from collections.abc import Mapping

from litestar import Response, get, post
from litestar.params import RawBody

from service.drafts import Draft
from service.errors import HomeInUse
from service.http import bodies
from service.http.bodies import Asking
from service.http.described import Health
from service.http.problems import Problem
from service.http.state import before
from service.sync.beside import Deed, Written
from service.sync.messages import MAX_BYTES


@get("/health", open=True)
async def health(request: Asking) -> Response[bytes]:
    """Whether the service answers; says nothing of the household."""
    return bodies.answer(request, Health())


@post(
    "/v1/here/deeds",
    status_code=200,
    roles=("keeper",),
    local=True,
    request_max_body_size=MAX_BYTES,
    include_in_schema=False,
)
async def write(request: Asking, body: RawBody) -> Response[bytes]:
    """Write one deed; answers with its entries, once they are on disk."""
    deed = bodies.read(request, body, Deed)
    drafts: list[Draft] = deed.drafts
    meta: Mapping[str, str] | None = deed.meta
    try:
        entries = await before(request).ledger.write(drafts, deed.deed, meta, deed.first)
    except HomeInUse as wrong:
        raise Problem(409, "overtaken", wrong.sentence) from None
    return bodies.answer(request, Written(records=[entry.record.name for entry in entries]))


routes = [health, write]
