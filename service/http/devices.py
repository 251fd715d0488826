"""Routes of pairing: a code for a new device, a device for a code, the list, names, retiring.

What counts is `service.access`; what the log should know of it is written here as soon as it can
be. Rule: only a keeper lets in or shuts out, save that a device may retire itself.
"""

import asyncio
from typing import Any

from litestar import Request, Response, get, patch, post
from litestar.params import FromPath, RawBody

from service.access import Listed, roster
from service.errors import BadCode, GirnelError
from service.http import bodies
from service.http.doors import ALL, refuse_early, refuse_often
from service.http.problems import Problem
from service.http.state import Before, before, holder
from service.sync.pairing import Change, Join, Joined, Pair, Paired

EVERY_S = 2.0
"""Seconds between two looks at what the console has changed in the file of who may."""

Asking = Request[Any, Any, Any]


@post("/v1/join", open=True, status_code=200)
async def join(request: Asking, body: RawBody) -> Response[bytes]:
    """A pairing code for a device and its token, which is said this once."""
    at, wish = before(request), bodies.read(request, body, Join)
    refuse_early(at, request)
    try:
        made = await at.access.redeem(wish.code)
    except BadCode:
        refuse_often(at, request)
        raise
    await announce(at)
    here = at.here()
    household = at.ledger.household
    told = Joined(
        device=made.holder.device,
        token=made.token,
        role=made.holder.role,
        name=made.holder.name,
        member=made.holder.member,
        formerly=sorted(made.holder.formerly),
        household=household.id,
        household_name=household.name,
        timezone=household.timezone,
        log=here.log,
        epoch=here.epoch,
    )
    return bodies.answer(request, told, headers={"Cache-Control": "no-store"})


@post("/v1/pair", roles=("keeper",), status_code=200)
async def pair(request: Asking, body: RawBody) -> Response[bytes]:
    """A pairing code for a new device: good once, for ten minutes."""
    at, wish = before(request), bodies.read(request, body, Pair)
    if wish.member is not None and wish.member not in at.ledger.book.settings.members:
        raise Problem(400, "not-understood", f"{wish.member[:60]} is no member of the household.")
    if wish.formerly == at.ledger.household.device:
        raise Problem(400, "not-understood", "The device that keeps the log is still in use.")
    code = await at.access.pair(
        role=wish.role, name=wish.name, member=wish.member, formerly=wish.formerly
    )
    told = Paired(code=code.code, until=code.until)
    return bodies.answer(request, told, headers={"Cache-Control": "no-store"})


@get("/v1/devices", roles=ALL)
async def devices(request: Asking) -> Response[bytes]:
    """Every device of the household: its name, role, when it was heard, what of it is missing."""
    return bodies.answer(request, await _known(before(request)))


@patch("/v1/devices/{device:str}", roles=ALL)
async def change(request: Asking, device: FromPath[str], body: RawBody) -> Response[bytes]:
    """What a device is called, or that it is retired; a keeper's to say, or its own end."""
    at, wish = before(request), bodies.read(request, body, Change)
    asks = holder(request)
    itself = asks.device == device and wish.name is None
    if asks.role != "keeper" and not itself:
        raise Problem(403, "may-not", f"A {asks.role}'s token may not do that.")
    if device not in {one.device for one in await _known(at)}:
        raise Problem(404, "not-found", "No device of that name is known here.")
    if wish.retired and device == at.ledger.household.device:
        raise Problem(409, "needs-choice", "That device keeps the log: it cannot be retired.")
    if wish.name is not None:
        await at.access.name(device, wish.name)
    if wish.retired:
        await at.access.retire(device)
    await announce(at)
    (one,) = [one for one in await _known(at) if one.device == device]
    return bodies.answer(request, one)


async def _known(at: Before) -> list[Listed]:
    rows = await at.access.devices()
    return roster(at.ledger.book, at.ledger.household.device, rows)


async def announce(at: Before) -> None:
    """Write what the log does not say of its devices yet; what cannot be now, is with the next."""
    try:
        await at.access.announce(at.ledger)
    except GirnelError:
        return


async def announcing(at: Before) -> None:
    """Until the service ends: what the console has changed in the file gets into the log."""
    while not at.closing.is_set():
        await announce(at)
        await asyncio.sleep(EVERY_S)


routes = [join, pair, devices, change]
