"""What people say about their food, written as records: the stories' own words.

For tests only; it reads no book. Time runs in minutes from `START` on 1 August 2026, 08:00 UTC.
Each record is said one minute after the last, unless `t` (the minute it happened) or `on` (EDTF, as
typed) says otherwise; `written` is the minute of its stamp. A record that happened before one
already said is written down now.
"""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from typing import NamedTuple, NotRequired, TypeAlias, TypedDict, Unpack, get_args

from events import kinds
from events.concerns import Concern
from events.kinds import GRAIN, Amount, Body, Draw, Package, Stamp, Yield
from events.record import Entry, Record

BODIES: tuple[type[Body], ...] = get_args(Body)
"""Every kind there is."""

START = datetime(2026, 8, 1, 8, 0, tzinfo=UTC)
START_MS = int(START.timestamp() * 1000)


class About(NamedTuple):
    """An estimate: likely, least, most (None: nobody knows)."""

    n: int | str | Fraction
    low: int | str | Fraction
    high: int | str | Fraction | None


class Other(NamedTuple):
    """Said in another unit; `n` in the lot's own where the equivalence is known, else None."""

    said: str
    said_unit: str
    n: int | str | Fraction | None = None
    basis: str | None = None


SOME = About(0, 0, None)
Much: TypeAlias = int | str | Fraction | About | Other | Amount


class Said(TypedDict):
    """How a record came to be said: all of it may be left out."""

    t: NotRequired[float]
    on: NotRequired[str]
    written: NotRequired[float]
    device: NotRequired[str]
    by: NotRequired[str]
    deed: NotRequired[str]
    explains: NotRequired[str]
    offset: NotRequired[int]
    typed: NotRequired[str | None]
    source: NotRequired[str]
    note: NotRequired[str]


def ms(t: float) -> int:
    """Unix milliseconds of minute `t` of a story."""
    return START_MS + round(t * 60_000)


def day(number: int) -> float:
    """The minute of a story at which the morning of that day of August begins."""
    return (number - 1) * 1440.0


def instant(t: float) -> str:
    """Minute `t` of a story in EDTF, to the second."""
    return (START + timedelta(minutes=t)).strftime("%Y-%m-%dT%H:%M:%SZ")


def between(t: float, u: float) -> str:
    """An interval of a story in EDTF."""
    return f"{instant(t)}/{instant(u)}"


def grains(n: int | str | Fraction) -> int:
    """Grains of so much; the stories' amounts are all whole grains but thirds of decimals."""
    exact = Fraction(n) * GRAIN
    assert exact.denominator == 1, f"{n} is not a whole number of grains"
    return exact.numerator


def amount(much: Much, unit: str) -> Amount:
    """So much of a lot kept in `unit`."""
    match much:
        case Amount():
            return much
        case About(n, low, high):
            top = None if high is None else grains(high)
            return Amount(unit=unit, n=grains(n), low=grains(low), high=top, said=f"about {n}")
        case Other(said, said_unit, n, basis):
            own = None if n is None else grains(n)
            return Amount(unit=unit, n=own, said=said, said_unit=said_unit, basis=basis)
        case _:
            return Amount(unit=unit, n=grains(much), said=str(much))


def seq_of(record: str) -> int:
    return int(record.split(":")[1])


class Tale:
    """What is said, by whom and when, and the entries that come of it."""

    def __init__(self) -> None:
        self.clock = 0.0
        self.records: list[Record] = []
        self.units: dict[str, str] = {}
        self._next: dict[str, int] = {}
        self._last: dict[str, float] = {}

    def say(self, body: Body, **said: Unpack[Said]) -> str:
        """Say anything; the record's name."""
        t, on, device = said.get("t"), said.get("on"), said.get("device", "hall")
        if t is None and on is None:
            t = max(self.clock + 1, said.get("written", 0.0))
        late = t is None or t < self.clock or t == self._last.get(device)
        written = said.get("written", self.clock + 1 if late or t is None else t)
        self.clock = max(self.clock, written)
        self._last[device] = written
        seq = self._next.get(device, 0) + 1
        self._next[device] = seq
        deed = said.get("deed")
        record = Record(
            household="hollow", device=device, seq=seq, stamp=Stamp(ms(written), 0),
            at=on or instant(t or 0.0), offset=said.get("offset", 0), body=body,
            typed=said.get("typed", on), by=said.get("by"),
            deed=None if deed is None else seq_of(deed), explains=said.get("explains"),
            source=said.get("source"), note=said.get("note"),
        )  # fmt: skip
        self.records.append(record)
        return record.name

    def entries(self) -> list[Entry]:
        """The log as it was heard, in the order said."""
        return [
            Entry(position=i, received=r.stamp.ms, sent_by=r.device, record=r)
            for i, r in enumerate(self.records, 1)
        ]

    def _unit(self, lot: str) -> str:
        return self.units.get(lot, "lb")

    def bring_in(
        self, much: Much, food: str, store: str = "", *, unit: str = "lb",
        package: Package | None = None, form: str | None = None, fill: str | None = None,
        variety: str | None = None, papers: Much | None = None, made_at: str | None = None,
        origin: kinds.Origin | None = None, owner: str | None = None, **said: Unpack[Said],
    ) -> str:  # fmt: skip
        """A lot came in; its name. What is kept in jars is packed in jars, unless said otherwise."""
        if unit == "jar" and package is None:
            package = Package(vessel="jar", content="1", content_unit="quart", fill=fill)
        body = kinds.Received(
            food=food, amount=amount(much, unit), store=store, package=package, form=form,
            variety=variety, origin=origin, owner=owner, made_at=made_at,
            papers=None if papers is None else amount(papers, unit),
        )  # fmt: skip
        lot = f"{self.say(body, **said)}:0"
        self.units[lot] = unit
        return lot

    def draw(
        self, much: Much, lot: str, store: str = "", *, rest: bool = False, mark: str | None = None
    ) -> Draw:
        """What a making uses."""
        return Draw(
            lot=lot, amount=amount(much, self._unit(lot)), store=store, rest=rest, mark=mark
        )

    def _lots(self, record: str, yields: Sequence[Yield]) -> list[str]:
        lots = [f"{record}:{i}" for i in range(len(yields))]
        self.units.update(zip(lots, (made.amount.unit for made in yields), strict=True))
        return lots

    def put_up(
        self, draws: Sequence[Draw], yields: Sequence[Yield], *, remedy: str | None = None,
        method: str | None = None, **said: Unpack[Said],
    ) -> list[str]:  # fmt: skip
        """Something was made; the names of its lots."""
        body = kinds.PutUp(draws=tuple(draws), yields=tuple(yields), remedy=remedy, method=method)
        return self._lots(self.say(body, **said), yields)

    def repack(
        self, draws: Sequence[Draw], yields: Sequence[Yield], *, remedy: str | None = None,
        **said: Unpack[Said],
    ) -> list[str]:  # fmt: skip
        """The same food in other packages; the names of the lots."""
        body = kinds.Repacked(draws=tuple(draws), yields=tuple(yields), remedy=remedy)
        return self._lots(self.say(body, **said), yields)

    def move(
        self, much: Much, lot: str, store: str, to: str, *, rest: bool = False,
        mark: str | None = None, opened: bool | None = None, **said: Unpack[Said],
    ) -> str:  # fmt: skip
        body = kinds.Moved(lot=lot, amount=amount(much, self._unit(lot)), store=store, to=to,
                           rest=rest, mark=mark, opened=opened)  # fmt: skip
        return self.say(body, **said)

    def open(
        self, much: Much, lot: str, store: str = "", *, picked: bool = False, **said: Unpack[Said]
    ) -> str:
        body = kinds.Opened(lot=lot, amount=amount(much, self._unit(lot)), store=store,
                            picked=picked)  # fmt: skip
        return self.say(body, **said)

    def eat(
        self, much: Much, lot: str, store: str = "", *, rest: bool = False, mark: str | None = None,
        opened: bool | None = None, picked: bool = False, **said: Unpack[Said],
    ) -> str:  # fmt: skip
        body = kinds.Consumed(lot=lot, amount=amount(much, self._unit(lot)), store=store, rest=rest,
                              mark=mark, opened=opened, picked=picked)  # fmt: skip
        return self.say(body, **said)

    def spoil(
        self, much: Much, lot: str, store: str = "", *, cause: kinds.Cause | None = None,
        rest: bool = False, mark: str | None = None, opened: bool | None = None,
        **said: Unpack[Said],
    ) -> str:  # fmt: skip
        body = kinds.Spoiled(lot=lot, amount=amount(much, self._unit(lot)), store=store, cause=cause,
                             rest=rest, mark=mark, opened=opened)  # fmt: skip
        return self.say(body, **said)

    def give(
        self, much: Much, lot: str, store: str = "", *, to: str | None = None, rest: bool = False,
        mark: str | None = None, opened: bool | None = None, **said: Unpack[Said],
    ) -> str:  # fmt: skip
        body = kinds.Gave(lot=lot, amount=amount(much, self._unit(lot)), store=store, to=to,
                          rest=rest, mark=mark, opened=opened)  # fmt: skip
        return self.say(body, **said)

    def plant(
        self, much: Much, lot: str, store: str = "", *, rest: bool = False, mark: str | None = None,
        **said: Unpack[Said],
    ) -> str:  # fmt: skip
        body = kinds.Planted(lot=lot, amount=amount(much, self._unit(lot)), store=store, rest=rest,
                             mark=mark)  # fmt: skip
        return self.say(body, **said)

    def count(
        self, much: Much, lot: str, store: str = "", *, part: bool = False, weighed: bool = False,
        **said: Unpack[Said],
    ) -> str:  # fmt: skip
        body = kinds.Counted(lot=lot, amount=amount(much, self._unit(lot)), store=store, part=part,
                             weighed=weighed)  # fmt: skip
        return self.say(body, **said)

    def weigh(self, much: Much, lot: str, store: str = "", **said: Unpack[Said]) -> str:
        return self.count(much, lot, store, weighed=True, **said)

    def go_through(self, store: str, **said: Unpack[Said]) -> str:
        return self.say(kinds.StoreCounted(store=store), **said)

    def look(
        self, lot: str, store: str = "", *, seen: Much | None = None, sound: Much | None = None,
        wrong: Much | None = None, finding: str | None = None, mark: str | None = None,
        **said: Unpack[Said],
    ) -> str:  # fmt: skip
        unit = self._unit(lot)
        body = kinds.Checked(
            lot=lot, store=store, finding=finding, mark=mark,
            seen=None if seen is None else amount(seen, unit),
            sound=None if sound is None else amount(sound, unit),
            wrong=None if wrong is None else amount(wrong, unit),
        )  # fmt: skip
        return self.say(body, **said)

    def hold(
        self, lot: str, store: str = "", much: Much | None = None, *, since: str | None = None,
        reason: str | None = None, **said: Unpack[Said],
    ) -> str:  # fmt: skip
        """Not to be eaten for now; without `much` the whole lot, or all of it in the store."""
        body = kinds.Held(lot=lot, store=store, since=since, reason=reason,
                          amount=None if much is None else amount(much, self._unit(lot)))  # fmt: skip
        return self.say(body, **said)

    def release(
        self, mark: str, lot: str, store: str = "", much: Much | None = None, **said: Unpack[Said]
    ) -> str:
        body = kinds.Released(lot=lot, mark=mark, store=store,
                              amount=None if much is None else amount(much, self._unit(lot)))  # fmt: skip
        return self.say(body, **said)

    def set_aside(
        self, lot: str, store: str = "", much: Much | None = None, **said: Unpack[Said]
    ) -> str:
        body = kinds.SetAside(lot=lot, store=store,
                              amount=None if much is None else amount(much, self._unit(lot)))  # fmt: skip
        return self.say(body, **said)

    def free(
        self, mark: str, lot: str, store: str = "", much: Much | None = None, **said: Unpack[Said]
    ) -> str:
        body = kinds.Freed(lot=lot, mark=mark, store=store,
                           amount=None if much is None else amount(much, self._unit(lot)))  # fmt: skip
        return self.say(body, **said)

    def incident(
        self, store: str, start: str, end: str | None = None, *, what: str = "power",
        **said: Unpack[Said],
    ) -> str:  # fmt: skip
        return self.say(kinds.Incident(store=store, what=what, start=start, end=end), **said)

    def learn(self, lot: str, facts: dict[str, str], **said: Unpack[Said]) -> str:
        return self.say(kinds.LotSet(lot=lot, facts=facts), **said)

    def redate(
        self, record: str, at: str | None = None, *, under: float | None = None,
        to_offset: int | None = None, **said: Unpack[Said],
    ) -> str:  # fmt: skip
        """An earlier record happened `at`, or counts under the stamp of minute `under`."""
        body = kinds.Redated(record=record, at=at, offset=to_offset,
                             stamp=None if under is None else Stamp(ms(under), 0))  # fmt: skip
        return self.say(body, **said)

    def void(self, record: str, *, same_as: str | None = None, **said: Unpack[Said]) -> str:
        return self.say(kinds.Voided(record=record, same_as=same_as), **said)

    def settle(self, concern: Concern, **said: Unpack[Said]) -> str:
        return self.say(
            kinds.Settled(concern=concern.kind, rests_on=concern.rests_on, decision="looked"),
            **said,
        )


def makes(
    much: Much, food: str, store: str = "", *, unit: str = "jar", packed: bool = True
) -> Yield:
    """A lot that a making gives."""
    package = Package(vessel=unit) if packed else None
    return Yield(food=food, amount=amount(much, unit), store=store, package=package)


def said_by(record: str) -> str:
    """The record that made a lot."""
    return record.rsplit(":", 1)[0]
