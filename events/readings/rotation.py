"""What to use first: what is open, then what has the least time, then age.

First to go, not first in: the time is the maker's date of a closed package, else what the published
tables leave of its life after the stores that it lived in, at the temperatures that they had
(`lived`). Small goes before large and damaged before sound where records say so. The household's
own pace and experience do not enter. What is held, set aside, in doubt, somebody else's or past a maker's use-by is never offered, nor are jars
whose contents or process nobody knows. It is about quality and argues no food safe.
"""

import re
from collections.abc import Set
from functools import lru_cache
from typing import Literal, NamedTuple, TypeAlias

from msgspec import Struct

from events.book import Book
from events.dates import Printed
from events.keeping.life import Answer, Lives
from events.lots.state import UNBOUNDED, Lot, Parcel
from events.readings.beside_failed import waiting
from events.readings.climate import If
from events.readings.lived import Keeping, Kept, Path
from events.readings.made_how import Known
from events.readings.packed import use_by
from events.readings.rows import owner_of
from events.readings.stamped import maker_of, span_of
from events.readings.starting import started
from events.tables import Tables

DAY = 86_400_000
"""Milliseconds."""

Group: TypeAlias = Literal["open", "dug late", "dated", "by age", "in the ground"]
GROUPS: tuple[Group, ...] = ("open", "dug late", "dated", "by age", "in the ground")

DAMAGED = frozenset({"damaged", "bruised", "cut", "cracked", "dented", "soft", "softer", "frozen",
                     "frosted", "scarred", "nicked", "forked", "wet"})  # fmt: skip
"""Words of a lot's variety, label or condition that say it is not sound. Our own list."""
SMALL = frozenset({"small", "smalls", "smallest"})
LARGE = frozenset({"large", "big", "largest"})


class Use(Struct, frozen=True, kw_only=True):
    """So much of a lot in one store, open or closed, in its place in the order of use.

    Amounts in grains of `unit`, times in Unix milliseconds.
    """

    lot: str
    food: str
    variety: str
    form: str
    store: str
    unit: str
    n: int
    low: int
    high: int
    """UNBOUNDED where nobody knows"""
    group: Group
    since: int
    """when its keeping starts: the earliest moment of it"""
    since_latest: int
    """and the latest"""
    offset: int | None
    """minutes east where that was said as a calendar date, which it stays; None: by the clock"""
    opened: int | None
    packed_from: str
    """packed anew: the lot whose age it has; "" where it was not"""
    path: Path
    """the stores it lived in since its keeping started"""
    from_ms: int | None
    """the low end of what it keeps: by the maker's date where `by_maker`, else as it lived"""
    likely_ms: int | None
    """the middle of the two ends, for nothing published says more; None where the high is open"""
    to_ms: int | None
    """its high end; None with `from_ms`: open"""
    maker: Printed | None = None
    """what the maker printed on it, where anything was noted"""
    by_maker: bool = False
    damaged: bool = False
    size: int = 1
    """0 small, 1 not said, 2 large"""

    @property
    def life(self) -> Answer:
        """What is published for where it stands."""
        return self.path.answer()[0]

    @property
    def milli(self) -> int | None:
        """The mean temperature there, thousandths of a degree Celsius; None: not known."""
        return self.path.answer()[1]

    def lapsed(self, now_ms: int) -> bool:
        """A closed package past its maker's use-by: the maker says not to use it any more."""
        last = self.to_ms if self.by_maker and self.maker and self.maker.kind == "use by" else None
        return last is not None and last < now_ms


class Undecided(Struct, frozen=True, kw_only=True):
    """A lot of jars whose contents or process nobody knows: not offered, to be decided on."""

    lot: str
    food: str
    stores: tuple[str, ...]
    unit: str
    n: int
    low: int
    high: int


def use_first(book: Book, tables: Tables, supposed: If | None = None) -> list[Use]:
    """All that may be used, in the order in which to use it; see `Use.lapsed` for what no longer is.

    `supposed`: how it would be if; times to come alone are other than they are.
    """
    return ordered(Keeping(book, tables, supposed))


def ordered(keeping: Keeping, only: Set[str] | None = None) -> list[Use]:
    """What may be used, in order, by lives and climates made already; `only`: of these lots alone."""
    book = keeping.book
    known = Known(book, keeping.lives)
    found: list[Use] = []
    for lot in book.lots.values() if only is None else [book.lots[name] for name in sorted(only)]:
        if (
            lot.parcels
            and lot.identity is not None
            and not owner_of(lot)
            and not known.unknown(lot)
        ):
            found += uses_of(keeping, lot)
    return _in_order(found)


def undecided(book: Book, tables: Tables) -> list[Undecided]:
    """What `use_first` leaves out because nobody knows what is in the jars or how it was made."""
    known = Known(book, Lives(tables))
    found = []
    for lot in sorted(book.lots.values(), key=lambda one: (one.made_place, one.name)):
        free = [parcel for parcel in lot.parcels if _offered(parcel)]
        if lot.identity is None or not free or owner_of(lot):
            continue
        if not known.unknown(lot):
            continue
        found.append(
            Undecided(
                lot=lot.name,
                food=lot.food,
                stores=tuple(sorted({parcel.store for parcel in free})),
                unit=lot.unit,
                n=sum(parcel.n for parcel in free),
                low=sum(parcel.low for parcel in free),
                high=min(UNBOUNDED, sum(parcel.high for parcel in free)),
            )
        )
    return found


def _offered(parcel: Parcel) -> bool:
    return parcel.high > 0 and not (parcel.holds or parcel.asides or parcel.doubt)


def uses_of(keeping: Keeping, lot: Lot) -> list[Use]:
    """One for each store, what is open apart from what is closed."""
    parcels = [parcel for parcel in lot.parcels if _offered(parcel)]
    if lot.packed and (unseen := waiting(keeping.book, keeping.lives, lot)):
        parcels = [p for p in parcels if p.opened is not None or p.store not in unseen]
    if not parcels:
        return []
    said = said_of(keeping, lot)
    if len(parcels) == 1:
        return [_use(keeping, lot, said, parcels)]
    places: dict[tuple[str, bool], list[Parcel]] = {}
    for parcel in parcels:
        places.setdefault((parcel.store, parcel.opened is not None), []).append(parcel)
    return [_use(keeping, lot, said, there) for there in places.values()]


class Said(NamedTuple):
    """What is the same of all of a lot's food."""

    kept: Kept
    start: tuple[int, int]
    offset: int | None
    of: str
    maker: Printed | None
    damaged: bool
    size: int


def said_of(keeping: Keeping, lot: Lot) -> Said:
    past = keeping.past(lot)
    maker = maker_of(lot) if past is None else use_by(keeping.book, lot)
    start, offset = started(lot, maker) if past is None else (past.start, past.offset)
    of = "" if past is None else past.lot
    return Said(keeping.kept(lot), start, offset, of, maker, *_state(lot))


def _use(keeping: Keeping, lot: Lot, said: Said, parcels: list[Parcel]) -> Use:
    store, opened, start, maker = parcels[0].store, parcels[0].opened, said.start, said.maker
    if opened is not None:
        opened = min(p.opened for p in parcels if p.opened is not None)
        start = opened, opened
    is_open = opened is not None
    paths = [keeping.path(said.kept, lot, p.lived, start, opened=is_open) for p in parcels]
    path, from_ms, to_ms = _ends(paths)
    printed = None if maker is None or is_open else span_of(maker, lot)
    if printed is not None:
        from_ms, to_ms = printed
    group: Group = "open" if is_open else "by age" if from_ms is None else "dated"
    if path.stays[-1].exposure is None:
        group = "in the ground"
    elif group == "by age" and path.late is not None:
        group = "dug late"
    first = parcels[0]
    single = len(parcels) == 1
    return Use(
        lot=lot.name,
        food=lot.food,
        variety=lot.variety,
        form=lot.form,
        store=store,
        unit=lot.unit,
        n=first.n if single else sum(p.n for p in parcels),
        low=first.low if single else sum(p.low for p in parcels),
        high=first.high if single else min(UNBOUNDED, sum(p.high for p in parcels)),
        group=group,
        since=path.earliest,
        since_latest=path.latest,
        offset=None if is_open or path.earliest != start[0] else said.offset,
        opened=opened,
        packed_from="" if is_open else said.of,
        path=path,
        from_ms=from_ms,
        likely_ms=None if from_ms is None or to_ms is None else (from_ms + to_ms) // 2,
        to_ms=to_ms,
        maker=maker,
        by_maker=printed is not None,
        damaged=said.damaged,
        size=said.size,
    )


def _ends(paths: list[Path]) -> tuple[Path, int | None, int | None]:
    """Of parcels that lived otherwise: the path of the first to go, its *from*, the last *to*."""
    best = paths[0]
    from_ms = best.when("low")
    to_ms = None if from_ms is None else best.when("high")
    for path in paths[1:]:
        if path == paths[0]:
            continue
        low, high = path.when("low"), path.when("high")
        if low is not None and (from_ms is None or low < from_ms):
            best, from_ms = path, low
        to_ms = None if to_ms is None or high is None else max(to_ms, high)
    return best, from_ms, None if from_ms is None else to_ms


def _state(lot: Lot) -> tuple[bool, int]:
    """(damaged, size) of all of a lot, where its records say so."""
    made = lot.identity
    label = "" if made is None or made.label is None else made.label
    if lot.facts:
        facts = lot.facts
        label = f"{facts.get('label', label)} {facts.get('size', '')} {facts.get('condition', '')}"
    return _words(lot.food, lot.variety, label)


@lru_cache(maxsize=4096)
def _words(*said: str) -> tuple[bool, int]:
    words = set(re.findall(r"[^\W\d_]+", " ".join(said).casefold()))
    return bool(words & DAMAGED), 1 + bool(words & LARGE) - bool(words & SMALL)


def _in_order(uses: list[Use]) -> list[Use]:
    """By group and time; damaged food with the first of its kind to go, small before large."""
    firsts: dict[tuple[Group, str], int] = {}
    for use in uses:
        key = use.group, use.food
        firsts[key] = min(firsts.get(key, _first(use)), _first(use))

    def place(use: Use) -> tuple[object, ...]:
        if use.group == "open":
            return (0, use.opened, 0, 0, use.since, use.lot, use.store)
        first = firsts[use.group, use.food] if use.damaged else _first(use)
        return (
            GROUPS.index(use.group), first // DAY, not use.damaged, use.size, first, use.since,
            use.lot, use.store,
        )  # fmt: skip

    return sorted(uses, key=place)


def _first(use: Use) -> int:
    return use.from_ms if use.group == "dated" and use.from_ms is not None else use.since
