"""An invented log of any length for the benches: jars that come, move, are opened, eaten, counted.

Seeded: the same size gives the same bytes. Only as true to a household as timing needs.
"""

import random
from datetime import UTC, datetime

from events.kinds import (
    GRAIN,
    Amount,
    Body,
    Checked,
    Consumed,
    Counted,
    Gave,
    Moved,
    Opened,
    Package,
    Received,
    Spoiled,
    Stamp,
)
from events.record import Record

STORES = ("kitchen", "back-room", "back-room/shelf-1", "back-room/shelf-2", "barn", "freezer")
DEVICES = ("cook", "teen", "barn", "keeper")
UNTOLD = 0.2
"""Share of counts that find one jar fewer than the log."""
START = 1_700_000_000_000


def jars(count: int) -> Amount:
    return Amount(unit="jar", n=count * GRAIN)


def received(rng: random.Random) -> Received:
    return Received(
        food=f"beans {rng.randrange(60)}",
        variety=f"row {rng.randrange(1_000)}",
        form="home-canned",
        package=Package(vessel="jar", content="1", content_unit="qt"),
        amount=jars(rng.randrange(6, 40)),
        store=rng.choice(STORES),
        origin="harvest",
    )


def something(rng: random.Random, lot: str, stands: dict[str, int]) -> Body:
    """What happens next to a lot that stands there, so many in each store; now and then untold."""
    store = rng.choice(list(stands))
    dice = rng.random()
    count = stands[store]
    if dice < 0.15:
        to = rng.choice(STORES)
        carried = min(count, rng.randrange(1, 7))
        shift(stands, store, -carried)
        shift(stands, to, carried)
        return Moved(lot=lot, store=store, to=to, amount=jars(carried))
    if dice < 0.23:
        return Opened(lot=lot, store=store, amount=jars(1))
    if dice < 0.28:
        return Checked(lot=lot, store=store, seen=jars(1))
    if dice < 0.36:
        seen = max(0, count - (rng.random() < UNTOLD))
        shift(stands, store, seen - count)
        return Counted(lot=lot, store=store, amount=jars(seen))
    shift(stands, store, -1)
    if dice < 0.40:
        return Spoiled(lot=lot, store=store, amount=jars(1), cause="mould")
    if dice < 0.44:
        return Gave(lot=lot, store=store, amount=jars(1))
    return Consumed(lot=lot, store=store, amount=jars(1))


def shift(stands: dict[str, int], store: str, by: int) -> None:
    left = stands.get(store, 0) + by
    if left > 0:
        stands[store] = left
    else:
        stands.pop(store, None)


def log(size: int, live: int = 100, seed: int = 1) -> list[Record]:
    """`size` records in order, `live` lots in use at a time, eaten up one after the other."""
    rng = random.Random(seed)
    lots: list[tuple[str, dict[str, int]]] = []
    seqs = dict.fromkeys(DEVICES, 0)
    records = []
    now = START
    for _ in range(size):
        now += rng.randrange(20_000, 120_000)
        device = rng.choice(DEVICES)
        seqs[device] += 1
        body: Body
        if len(lots) < live:
            came = received(rng)
            count = (came.amount.n or 0) // GRAIN
            lots.append((f"{device}:{seqs[device]}:0", {came.store: count}))
            body = came
        else:
            chosen = rng.randrange(len(lots))
            lot, stands = lots[chosen]
            body = something(rng, lot, stands)
            if not stands:
                lots.pop(chosen)
        at = datetime.fromtimestamp(now / 1000, UTC).strftime("%Y-%m-%dT%H:%M:%S+00:00")
        records.append(
            Record(
                household="hollow",
                device=device,
                seq=seqs[device],
                stamp=Stamp(now),
                at=at,
                offset=0,
                by=device,
                body=body,
            )
        )
    return records
