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
START = 1_700_000_000_000


def jars(count: int) -> Amount:
    return Amount(unit="jar", n=count * GRAIN)


def received(rng: random.Random) -> Received:
    return Received(
        food=f"beans {rng.randrange(60)}",
        form="home-canned",
        package=Package(vessel="jar", content="1", content_unit="qt"),
        amount=jars(rng.randrange(6, 40)),
        store=rng.choice(STORES),
        origin="harvest",
    )


def something(rng: random.Random, lot: str, store: str) -> Body:
    dice = rng.random()
    if dice < 0.55:
        return Consumed(lot=lot, store=store, amount=jars(1))
    if dice < 0.70:
        return Moved(lot=lot, store=store, to=rng.choice(STORES), amount=jars(2))
    if dice < 0.78:
        return Opened(lot=lot, store=store, amount=jars(1))
    if dice < 0.88:
        return Counted(lot=lot, store=store, amount=jars(rng.randrange(9)))
    if dice < 0.92:
        return Spoiled(lot=lot, store=store, amount=jars(1), cause="mould")
    if dice < 0.96:
        return Gave(lot=lot, store=store, amount=jars(1))
    return Checked(lot=lot, store=store, seen=jars(1))


def log(size: int, live: int = 100, records_a_lot: int = 25, seed: int = 1) -> list[Record]:
    """`size` records in order, `live` lots in use at a time, each of about so many records."""
    rng = random.Random(seed)
    lots: list[tuple[str, str]] = []
    seqs = dict.fromkeys(DEVICES, 0)
    records = []
    now = START
    for _ in range(size):
        now += rng.randrange(20_000, 120_000)
        device = rng.choice(DEVICES)
        seqs[device] += 1
        body: Body
        if len(lots) < live or rng.random() < 1 / records_a_lot:
            body = received(rng)
            lots.append((f"{device}:{seqs[device]}:0", body.store))
            if len(lots) > live:
                lots.pop(0)
        else:
            body = something(rng, *rng.choice(lots))
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
