"""An endpoint for every look: what the console prints with --json, under the same name.

Rule: nothing is worked out here. A look changes when the log does and when the day does; its ETag
says both, so that a wall screen asks often and is told seldom.
"""

from collections.abc import Callable
from typing import Annotated

from litestar import Response, get
from litestar.handlers import HTTPRouteHandler
from litestar.openapi.datastructures import ResponseSpec
from litestar.params import PathParameter, QueryParameter

from service.errors import NeedsChoice, WrongUse
from service.http import bodies
from service.http.bodies import Asking
from service.http.described import problems
from service.http.doors import ALL
from service.http.problems import Problem
from service.http.state import before
from service.looks import asked, climate, days, filling, ground, placing, rotation, stock, stocking
from service.looks.asked import Asked

On = Annotated[
    str | None,
    QueryParameter(
        max_length=100,
        description="That day as it is known now, without what came after it; none: now",
    ),
]
In = Annotated[
    str | None,
    QueryParameter(name="in", max_length=400, description="In this store and its parts only"),
]
Food = Annotated[str, QueryParameter(name="food", min_length=1, max_length=400)]


def _look(path: str, *more: int) -> HTTPRouteHandler:
    """A look at a path, for every role that reads."""
    said = {
        304: ResponseSpec(None, description="Nothing has changed since that ETag"),
        **problems(*more),
    }
    return get(f"/v1/{path}", roles=ALL, responses=said)


def _answer(
    request: Asking, on: str | None, look: Callable[[Asked], object]
) -> Response[bytes] | Response[None]:
    """The look as bytes, or 304 where the asker has it."""
    at = before(request)
    media = bodies.wanted_in(request)
    zone = at.ledger.household.timezone
    tag = f'W/"{at.here()}.{len(at.ledger.set_aside)}.{days.today(at.clock, zone)}.{media[-4:]}"'
    headers = {"ETag": tag, "Vary": "Accept", "Cache-Control": "no-cache"}
    if _has(request.headers.get("if-none-match"), tag):
        return Response(None, status_code=304, headers=headers)
    return bodies.answer(request, look(asked.ask(at.ledger, at.clock, on)), headers=headers)


def _has(sent: str | None, tag: str) -> bool:
    """Weak comparison (RFC 9110, 8.8.3.2): is it one of those that were sent, or is any good?"""
    if sent is None:
        return False
    tags = [one.strip().removeprefix("W/") for one in sent.split(",")]
    return "*" in tags or tag.removeprefix("W/") in tags


Answer = Response[bytes] | Response[None]


@_look("on-hand")
async def on_hand(request: Asking, on: On = None, store: In = None) -> Answer:
    """What there is, where."""
    return _answer(request, on, lambda it: stock.on_hand(it, store))


@_look("have")
async def have(request: Asking, food: Food, on: On = None) -> Answer:
    """Do we have any? One answer over all stores."""
    return _answer(request, on, lambda it: stock.have(it, food))


@_look("trail/{lot:str}", 404, 409)
async def trail(
    request: Asking,
    lot: Annotated[str, PathParameter(max_length=400, description="A lot's code, name, or food")],
    on: On = None,
) -> Answer:
    """Where a lot came from and went, record by record."""

    def followed(it: Asked) -> object:
        try:
            return stock.trail(it, lot)
        except NeedsChoice:
            raise
        except WrongUse as wrong:
            raise Problem(404, "not-found", wrong.sentence) from None

    return _answer(request, on, followed)


@_look("concerns")
async def concerns(request: Asking, on: On = None) -> Answer:
    """What does not add up, and what to do about it."""
    return _answer(request, on, stock.concerns)


@_look("digest")
async def digest(request: Asking, on: On = None) -> Answer:
    """The week's work list."""
    return _answer(request, on, stock.digest)


@_look("rotation")
async def use_first(request: Asking, on: On = None, store: In = None) -> Answer:
    """What to use first, from when to when, and why."""
    return _answer(request, on, lambda it: rotation.rotation(it, store))


@_look("reorder")
async def reorder(request: Asking, on: On = None) -> Answer:
    """What to get: how much, by when, why."""
    return _answer(request, on, stocking.reorder)


@_look("carrying")
async def carrying(request: Asking, on: On = None) -> Answer:
    """What to carry from back stock, the oldest first."""
    return _answer(request, on, stocking.carrying)


@_look("jars")
async def jars(request: Asking, on: On = None) -> Answer:
    """Jars, lids and other vessels: at hand, full, on loan, used."""
    return _answer(request, on, stock.jars)


@_look("ground")
async def in_the_ground(
    request: Asking,
    on: On = None,
    store: In = None,
    crop: Annotated[str | None, QueryParameter(name="of", max_length=400)] = None,
) -> Answer:
    """What stands in the beds: what the soil does to it, and by when it has to be dug."""
    return _answer(request, on, lambda it: ground.ground(it, store, crop))


Said = Annotated[str | None, QueryParameter(max_length=400)]


@_look("climate")
async def climates(request: Asking, on: On = None, store: In = None) -> Answer:
    """How warm the stores are and will be, and what that rests on."""
    return _answer(request, on, lambda it: climate.climate(it, store))


@_look("what-if", 409)
async def what_if(
    request: Asking,
    on: On = None,
    lot: Said = None,
    store: In = None,
    machine: Said = None,
    degrees: Said = None,
    month: Annotated[list[str] | None, QueryParameter(max_items=12)] = None,
    winter: Said = None,
) -> Answer:
    """How it would be: a lot in another store, a machine that runs, a warmer winter; as typed."""
    typed = placing.Typed(lot=lot, store=store, machine=machine, degrees=degrees,
                          months=tuple(month or ()), winter=winter)  # fmt: skip
    return _answer(request, on, lambda it: placing.what_if(it, typed))


@_look("fill")
async def fill(
    request: Asking,
    amount: Annotated[str, QueryParameter(min_length=1, max_length=400)],
    food: Food,
    on: On = None,
    into: Said = None,
    becomes: Annotated[str | None, QueryParameter(name="as", max_length=400)] = None,
    headroom: Said = None,
    weighs: Said = None,
    form: Said = None,
    jars_a_load: Said = None,
    water: Said = None,
    trays: Said = None,
    on_a_tray: Said = None,
) -> Answer:
    """How many vessels, jars, loads or trays an amount fills; the words as they are typed."""
    typed = filling.Typed(
        amount=amount, food=food, into=into, becomes=becomes, headroom=headroom, weighs=weighs,
        form=form or "", a_load=jars_a_load, water=water, trays=trays, on_a_tray=on_a_tray,
    )  # fmt: skip
    return _answer(request, on, lambda it: filling.fill(it, typed))


routes = [
    on_hand, have, trail, concerns, digest, use_first, reorder, carrying, jars, in_the_ground, fill,
    climates, what_if,
]  # fmt: skip
