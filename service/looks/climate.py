"""The climate of the stores, as data: what it is today, the coming months, and what it rests on.

Temperatures in degrees Celsius and Fahrenheit, to a tenth. What a store's kind alone makes one
assume is said as assumed. The figures are worked out in `events/readings`.
"""

from datetime import UTC, date, datetime, timedelta

from msgspec import Struct

from events import edtf
from events.keeping.bands import assumed
from events.keeping.curve import DAY
from events.readings.climate import Climates, Machine
from service.errors import WrongUse
from service.looks import finding
from service.looks.asked import Asked
from service.looks.words import listed

PRACTICE = "a dryer warms a small room by 5 to 10 F while it runs (common practice, no source read)"


class Month(Struct, frozen=True):
    """The mean of a month's days, from the day of the look on; thousandths of a degree Celsius."""

    month: str
    """ISO 8601: 2026-12"""
    milli: int | None


class StoreClimate(Struct, frozen=True, kw_only=True):
    """What is known of a store's climate."""

    store: str
    kind: str
    today: int | None
    """thousandths of a degree Celsius; None: not known, or assumed by the kind alone"""
    rests: str
    assumed: str
    """what the kind of store is taken to be, where nothing is known"""
    stated: str
    readings: int
    last_read: str
    """the day of the last reading, ISO 8601; "" none"""
    humidity: int | None
    months: tuple[Month, ...]
    machines: tuple[Machine, ...]


def climates(asked: Asked, store: str | None = None) -> list[StoreClimate]:
    """Every store with an air of its own, or the one that is meant."""
    known = Climates(asked.book.settings, asked.book.climate)
    if store is not None:
        place = finding.store(asked.book, store)
        if not place:
            raise WrongUse("Which store? The household at large has no climate.")
        return [_of(asked, known, place)]
    airs = {known.air(one) for one in asked.book.settings.stores
            if one and asked.book.settings.kind_of(one) != "ground"}  # fmt: skip
    return [_of(asked, known, air) for air in sorted(airs)]


def climate(asked: Asked, store: str | None = None) -> dict[str, object]:
    """The climate of the stores, as plain data."""
    return {"stores": [as_json(one) for one in climates(asked, store)]}


def as_json(one: StoreClimate) -> dict[str, object]:
    return {
        "store": one.store,
        "kind": one.kind or None,
        "today": in_degrees(one.today),
        "rests_on": one.rests,
        "assumed": one.assumed or None,
        "stated": one.stated or None,
        "readings": one.readings,
        "last_read": one.last_read or None,
        "humidity_percent": None if one.humidity is None else one.humidity / 10,
        "months": [{"month": month.month, **(in_degrees(month.milli) or {})} for month in one.months],
        "machines": [
            {"machine": machine.name, "degrees": None if machine.degrees is None else
             {"c": machine.degrees / 1000, "f": round(machine.degrees * 9 / 5000, 1)}}
            for machine in one.machines
        ],
    }  # fmt: skip


def in_degrees(milli: int | None) -> dict[str, float] | None:
    """A temperature in both scales, to a tenth."""
    if milli is None:
        return None
    return {"c": round(milli / 1000, 1), "f": round(milli * 9 / 5000 + 32, 1)}


def _of(asked: Asked, known: Climates, store: str) -> StoreClimate:
    today, air = asked.now // DAY, known.air(store)
    curve = known.curve(store)
    kind = asked.book.settings.kind_of(store) or ""
    band = assumed(kind)
    machines = [one for one in known.machines() if one.store and known.air(one.store) == air]
    return StoreClimate(
        store=store,
        kind=kind,
        today=curve.on(today),
        rests=known.rests_on(store, today),
        assumed="" if band is None else band.words,
        stated=asked.book.settings.stores.get(air, {}).get("climate", ""),
        readings=len(curve.seen),
        last_read=edtf.date_of(curve.seen[-1] * DAY, 0) if curve.seen else "",
        humidity=known.humidity(store, asked.now),
        months=tuple(_months(known, store, today)),
        machines=tuple(machines),
    )


def _months(known: Climates, store: str, today: int) -> list[Month]:
    """The twelve months to come, this one first."""
    curve = known.curve(store)
    if not curve.known:
        return []
    found: list[Month] = []
    first = datetime.fromtimestamp(today * 86_400, UTC).date()
    for _ in range(12):
        after = date(first.year + first.month // 12, first.month % 12 + 1, 1)
        days = [curve.on((first - date(1970, 1, 1) + timedelta(n)).days)
                for n in range((after - first).days)]  # fmt: skip
        there = [milli for milli in days if milli is not None]
        mean = round(sum(there) / len(there)) if there else None
        found.append(Month(first.isoformat()[:7], mean))
        first = after
    return found


def machine(asked: Asked, typed: str) -> Machine:
    """The machine that is meant."""
    machines = Climates(asked.book.settings, asked.book.climate).machines()
    name = " ".join(typed.split()).casefold()
    found = [one for one in machines if one.name.casefold() == name]
    if not found:
        known = f"Known here: {listed(one.name for one in machines)}." if machines else ""
        raise WrongUse(
            f'No machine is called "{typed}". {known} To add one: girnel machine add "{name}"'
            .replace(".  To", ". To")
        )  # fmt: skip
    return found[0]
