"""The service's endpoints put together, with what stands before and after each of them.

The app holds no state of its own but what was handed in. Rule: every route names who may use it,
and every fault is told in one shape.
"""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress

from litestar import Litestar
from litestar.datastructures import State

from service.access import Access
from service.http import devices, docs, doors, events, here, looks, no_more, problems, standing
from service.http.state import Before, Serving
from service.ledger import Ledger
from service.settings import Settings

MAX_BODY = 64 * 1024
"""Bytes of a body, where a route does not say more."""


def make_app(
    ledger: Ledger, access: Access, settings: Settings, serving: Serving | None = None
) -> Litestar:
    """The service of one household. Whoever opened ledger and access closes them, after it."""
    before = Before(ledger, access, settings, serving or Serving())
    routes = [
        *events.routes,
        *standing.routes,
        *looks.routes,
        *devices.routes,
        *here.routes,
        *docs.routes,
        *no_more.routes,
    ]
    state = {"before": before, "ledger": ledger, "access": access, "settings": settings,
             "routes": routes}  # fmt: skip
    return Litestar(
        routes,
        guards=[doors.guard],
        exception_handlers=problems.HANDLERS,
        state=State(state),
        lifespan=[_running],
        request_max_body_size=MAX_BODY,
        openapi_config=None,  # its pages load from elsewhere; `docs` has ours
        logging_config=None,
        debug=False,
    )


@asynccontextmanager
async def _running(app: Litestar) -> AsyncIterator[None]:
    before: Before = app.state.before
    announcing = asyncio.create_task(devices.announcing(before))
    try:
        yield
    finally:
        before.closing.set()
        announcing.cancel()
        with suppress(asyncio.CancelledError):
            await announcing
        before.standing.close()
