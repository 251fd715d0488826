"""What a machine or a warmer winter would cost: days of keeping life that lots would lose by it.

The order of use is reckoned twice, as it is and as it would be; what is said is the difference of
each lot's *from*. A store of whose temperature nothing is known cannot be judged, and is said to be
such; so is one of which nobody said how far it goes with the winter outdoors. Where a machine
should stand, and in which months it may run, is one answer: every store by every month of a year
from now, the machine running all of that month; none that another machine keeps cold.
"""

from collections.abc import Sequence
from typing import Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from events.book import Book
from events.keeping.curve import DAY
from events.readings.climate import STEADY, Climates, If
from events.readings.lived import GROUND, Keeping
from events.readings.placing import stores_of
from events.readings.rotation import Use, ordered
from events.tables import Tables

MONTH = 30
"""Days."""

BEARABLE = 1
"""Days that a lot may lose in a month before that month is advised against. Our own rule."""

Judged: TypeAlias = Literal["known", "nothing stands there", "no temperature known"]


class Loss(Struct, frozen=True, kw_only=True):
    """A lot in a store that would keep less. Times in Unix milliseconds."""

    lot: str
    food: str
    store: str
    from_ms: int
    would_ms: int

    @property
    def days(self) -> int:
        """Whole days lost, to the nearest."""
        return (2 * (self.from_ms - self.would_ms) + DAY) // (2 * DAY)


class Month(Struct, frozen=True, kw_only=True):
    """What running all of a month in a store would cost what stands there."""

    month: int
    losses: tuple[Loss, ...]
    """the heaviest first"""

    @property
    def bearable(self) -> bool:
        return not self.losses or self.losses[0].days <= BEARABLE

    @property
    def days(self) -> int:
        """Days lost by all lots together."""
        return sum(loss.days for loss in self.losses)


class Standing(Struct, frozen=True, kw_only=True):
    """A machine in a store, over the twelve months from now."""

    store: str
    judged: Judged
    months: tuple[Month, ...]

    @property
    def days(self) -> int:
        return sum(month.days for month in self.months)


def losses(before: Sequence[Use], after: Sequence[Use], now_ms: int) -> list[Loss]:
    """What would keep less, the heaviest loss first; what is over already loses nothing more."""
    was = {(use.lot, use.store, use.group): use for use in before}
    found = []
    for use in after:
        old = was.get((use.lot, use.store, use.group))
        if old is None or old.from_ms is None or use.from_ms is None or old.from_ms <= now_ms:
            continue
        loss = Loss(lot=use.lot, food=use.food, store=use.store, from_ms=old.from_ms,
                    would_ms=use.from_ms)  # fmt: skip
        if loss.days > 0:
            found.append(loss)
    return sorted(found, key=lambda loss: (-loss.days, loss.lot, loss.store))


def if_so(book: Book, tables: Tables, supposed: If, now_ms: int) -> list[Loss]:
    """What would keep less if that were so."""
    before = Keeping(book, tables)
    after = before.supposing(supposed)
    return losses(ordered(before), ordered(after), now_ms)


def machine_year(
    book: Book, tables: Tables, supposed: If, now_ms: int, first: int
) -> list[Standing]:
    """The machine in each store, each of twelve months from month `first` on; the best store first.

    `supposed`: the machine and the degrees that it adds.
    """
    plain = Keeping(book, tables)
    uses = ordered(plain)
    airs = {plain.climates.air(store) for store in stores_of(plain)}
    found = []
    for air in sorted(airs):
        if book.settings.kind_of(air) in STEADY:
            continue
        there = [use for use in uses if plain.climates.air(use.store) == air]
        judged = _judged(plain.climates, air, there, now_ms // DAY)
        months: list[Month] = []
        for step in range(12 if judged == "known" else 0):
            month = (first - 1 + step) % 12 + 1
            would = replace(supposed, store=air, months=(month,))
            months.append(_month(plain.supposing(would), month, there, now_ms))
        found.append(Standing(store=air, judged=judged, months=tuple(months)))
    return sorted(
        found, key=lambda one: (one.judged == "no temperature known", one.days, one.store)
    )


def _judged(climates: Climates, air: str, there: Sequence[Use], today: int) -> Judged:
    """Known where every month to come has days of which a temperature is."""
    if not there:
        return "nothing stands there"
    days = climates.curve(air).days(today, 12 * MONTH)
    months = (days[n : n + MONTH] for n in range(0, len(days), MONTH))
    known = all(any(milli is not None for milli in month) for month in months)
    return "known" if known else "no temperature known"


def not_judged(keeping: Keeping, supposed: If) -> list[str]:
    """Stores with food of which too little was said: how warm it is where a machine would run, or
    how far it goes with the winter outdoors.
    """
    climates, settings = keeping.climates, keeping.book.settings
    airs = {climates.air(parcel.store) for lot in keeping.book.lots.values()
            for parcel in lot.parcels if parcel.high}  # fmt: skip
    found = set()
    for air in airs - {""}:
        if settings.kind_of(air) in {*STEADY, GROUND}:
            continue
        there = bool(supposed.months) and air == climates.air(supposed.store)
        if (supposed.winter and climates.profile(air) is None) or (
            there and not climates.curve(air).known
        ):
            found.add(air)
    return sorted(found)


def _month(keeping: Keeping, month: int, there: Sequence[Use], now_ms: int) -> Month:
    after = ordered(keeping, {use.lot for use in there})
    return Month(month=month, losses=tuple(losses(there, after, now_ms)))
