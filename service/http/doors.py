"""Who may come in: a token, its role, and how often.

One guard stands before every route; a route names the roles that may use it (`roles=…`), or that
it needs no token (`open=True`). A route that names neither is for nobody. Rule: a token stands in a
header or in the cookie, never in an address.
"""

import hmac
import math
from typing import Any

from litestar.connection import ASGIConnection
from litestar.handlers import BaseRouteHandler

from service.access import Holder
from service.http.problems import Problem
from service.http.state import Before

COOKIE = "girnel"
"""The cookie that holds a browser's token: HttpOnly, SameSite=Strict."""

ALL = ("keeper", "member", "reader")
"""The roles that read."""

Connection = ASGIConnection[Any, Any, Any, Any]


async def guard(connection: Connection, route: BaseRouteHandler) -> None:
    """Raises Problem 401, 403 or 429; else `scope["holder"]` is who asks."""
    if route.opt.get("open"):
        return
    before: Before = connection.app.state.before
    token = shown(connection)
    if token is None:
        raise Problem(401, "no-token", "Show a token: Authorization: Bearer TOKEN.", BEARER)
    found = await _who(before, token)
    if found is None:
        refuse_often(before, connection)
        raise Problem(
            401,
            "bad-token",
            "The token is not known here, or not any more: pair the device anew (girnel pair).",
            BEARER,
        )
    connection.scope["holder"] = found  # type: ignore[typeddict-unknown-key]
    if wait := before.asked.take(found.device):
        raise too_often(wait)
    local = token == before.serving.local_token
    if (route.opt.get("local") and not local) or found.role not in route.opt.get("roles", ()):
        raise Problem(403, "may-not", f"A {found.role}'s token may not do that.")


BEARER = {"WWW-Authenticate": 'Bearer realm="girnel"'}


def shown(connection: Connection) -> str | None:
    """The token that was shown, if one was."""
    header = connection.headers.get("authorization")
    if header is None:
        return connection.cookies.get(COOKIE)
    scheme, _, token = header.partition(" ")
    return token.strip() if scheme.lower() == "bearer" and token.strip() else None


async def _who(before: Before, token: str) -> Holder | None:
    local = before.serving.local_token
    if local is not None and hmac.compare_digest(token.encode(), local.encode()):
        device = before.ledger.household.device
        return Holder(device=device, role="keeper", member=None, name="console")
    return await before.access.who(token)


def refuse_early(before: Before, connection: Connection) -> None:
    """Raises Problem 429 where an address has shown too much that was wrong, before it costs much."""
    if wait := before.wrong.wait(_address(connection)):
        raise too_often(wait)


def refuse_often(before: Before, connection: Connection) -> None:
    """Raises Problem 429 where an address has shown too much that was wrong."""
    if wait := before.wrong.take(_address(connection)):
        raise too_often(wait)


def _address(connection: Connection) -> str:
    return connection.client.host if connection.client else "local"


def too_often(wait: float) -> Problem:
    seconds = max(1, math.ceil(wait))
    return Problem(429, "too-often", f"Wait {seconds} seconds.", {"Retry-After": str(seconds)})
