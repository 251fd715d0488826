"""What to use first: what is open, then what has the least time, then age.

First to go, not first in: the time is the maker's date of a closed package, else the published
tables'. Limits of this form: a lot is taken to have lived in the kind of store where it stands;
nothing corrects for temperature; the household's own pace and experience do not enter. What is
held, set aside, in doubt, somebody else's or past a maker's use-by is never offered, nor are jars
whose contents or process nobody knows. It is about quality and argues no food safe.
"""

from typing import Literal, TypeAlias

from msgspec import Struct

from events.book import Book
from events.dates import Printed
from events.edtf import span
from events.keeping.life import Answer, Life, Lives, Question
from events.kinds import PutUp, Received
from events.lots.state import UNBOUNDED, Lot, Parcel
from events.readings.rows import owner_of
from events.readings.stamped import Span, maker_of, span_of
from events.tables import Tables

DAY = 86_400_000
"""Milliseconds."""

Group: TypeAlias = Literal["open", "dated", "by age", "in the ground"]
GROUPS: tuple[Group, ...] = ("open", "dated", "by age", "in the ground")

FROM_OTHERS = frozenset({"gift", "exchange", "found", "bought"})
PROCESS_FACTS = frozenset({"method", "minutes", "pressure", "recipe", "process"})
NAMELESS = ("unidentified", "unknown", "unlabelled", "?")


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
    life: Answer
    from_ms: int | None
    """the low end of what it keeps: by the maker's date where `by_maker`, else published"""
    likely_ms: int | None
    """the middle of the two ends, for nothing published says more; None where the high is open"""
    to_ms: int | None
    """its high end; None with `from_ms`: open"""
    maker: Printed | None = None
    """what the maker printed on it, where anything was noted"""
    by_maker: bool = False

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


def use_first(book: Book, tables: Tables) -> list[Use]:
    """All that may be used, in the order in which to use it; see `Use.lapsed` for what no longer is."""
    lives = Lives(tables)
    uses = [
        use
        for lot in book.lots.values()
        if lot.identity is not None and not owner_of(lot) and not process_unknown(book, lives, lot)
        for use in _uses(book, lives, lot)
    ]
    uses.sort(key=_order)
    return uses


def undecided(book: Book, tables: Tables) -> list[Undecided]:
    """What `use_first` leaves out because nobody knows what is in the jars or how it was made."""
    lives = Lives(tables)
    found = []
    for lot in sorted(book.lots.values(), key=lambda one: (one.made_place, one.name)):
        free = [parcel for parcel in lot.parcels if _offered(parcel)]
        if lot.identity is None or not free or owner_of(lot):
            continue
        if not process_unknown(book, lives, lot):
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


def process_unknown(book: Book, lives: Lives, lot: Lot) -> bool:
    """Home-canned, not known to be high in acid, and nobody here knows how it was made.

    That is so where it came from somebody else, or what it is is not known, and no process is
    recorded; also of what was packed anew from such jars.
    """
    seen: set[str] = set()
    waiting = [lot]
    while waiting:
        one = waiting.pop()
        if one.name in seen or one.identity is None:
            continue
        seen.add(one.name)
        if _stranger(lives, names_of(book, one), one):
            return True
        waiting.extend(
            parent for name in one.identity.parents if (parent := book.lot(name)) is not None
        )
    return False


def _stranger(lives: Lives, names: tuple[str, ...], lot: Lot) -> bool:
    body = lot.maker.body if lot.maker else None
    received = body if isinstance(body, Received) else None
    origin = received.origin if received else None
    question = Question(names=names, form=lot.form, bought=origin == "bought")
    if lives.form(question) != "home-canned" or lives.acid(names) == "high":
        return False
    if PROCESS_FACTS & {fact for fact, said in lot.facts.items() if said}:
        return False
    if isinstance(body, PutUp) and (body.method or body.minutes or body.pressure or body.recipe):
        return False
    nameless = any(word in lot.food.casefold() for word in NAMELESS)
    return nameless or origin in FROM_OTHERS


def names_of(book: Book, lot: Lot) -> tuple[str, ...]:
    """What the lot's food is called, its own name first, then those the household confirmed."""
    return (lot.food, *book.settings.other_names(lot.food))


def _offered(parcel: Parcel) -> bool:
    return parcel.high > 0 and not (parcel.holds or parcel.asides or parcel.doubt)


def _uses(book: Book, lives: Lives, lot: Lot) -> list[Use]:
    """One for each store, what is open apart from what is closed."""
    places: dict[tuple[str, bool], list[Parcel]] = {}
    for parcel in lot.parcels:
        if _offered(parcel):
            places.setdefault((parcel.store, parcel.opened is not None), []).append(parcel)
    return [_use(book, lives, lot, parcels) for parcels in places.values()]


def _use(book: Book, lives: Lives, lot: Lot, parcels: list[Parcel]) -> Use:
    store = parcels[0].store
    opened = min((p.opened for p in parcels if p.opened is not None), default=None)
    body = lot.maker.body if lot.maker else None
    question = Question(
        names=names_of(book, lot),
        form=lot.form,
        variety=lot.variety,
        kind=book.settings.kind_of(store),
        opened=opened is not None,
        bought=isinstance(body, Received) and body.origin == "bought",
        source=book.settings.foods.get(lot.food, {}).get("source", ""),
    )
    answer = lives.of(question)
    earliest, latest = keeping_start(lot)
    if opened is not None:
        earliest = latest = opened
    maker = maker_of(lot)
    printed = span_of(maker, lot) if maker is not None and opened is None else None
    from_ms, to_ms = printed or _published(answer, earliest, latest)
    group: Group = "open" if opened is not None else "by age" if from_ms is None else "dated"
    if question.kind == "ground":
        group = "in the ground"
    return Use(
        lot=lot.name,
        food=lot.food,
        variety=lot.variety,
        form=lot.form,
        store=store,
        unit=lot.unit,
        n=sum(p.n for p in parcels),
        low=sum(p.low for p in parcels),
        high=min(UNBOUNDED, sum(p.high for p in parcels)),
        group=group,
        since=earliest,
        since_latest=latest,
        offset=None if opened is not None else _said_offset(lot),
        opened=opened,
        life=answer,
        from_ms=from_ms,
        likely_ms=None if from_ms is None or to_ms is None else (from_ms + to_ms) // 2,
        to_ms=to_ms,
        maker=maker,
        by_maker=printed is not None,
    )


def _published(answer: Answer, earliest: int, latest: int) -> Span | tuple[None, None]:
    if not isinstance(answer, Life):
        return None, None
    high = None if answer.high_days is None else latest + answer.high_days * DAY
    return earliest + answer.low_days * DAY, high


def keeping_start(lot: Lot) -> tuple[int, int]:
    """(earliest, latest) moment at which its keeping starts, Unix milliseconds.

    The day it was put up or picked where that was said, the end of curing where that was; else the
    moment it was brought in.
    """
    earliest, latest = lot.made_earliest, lot.made_place
    said = _start_said(lot)
    if not said or lot.maker is None:
        return earliest, latest
    try:
        first, last = span(said, lot.maker.offset)
    except ValueError:  # a fact is free text, and may say what no calendar knows
        return earliest, latest
    if said != getattr(lot.maker.body, "keeping_from", None):
        latest = latest if last is None else min(last, latest)
    else:
        latest = latest if last is None else last
    return min(latest, earliest if first is None else first), latest


def _start_said(lot: Lot) -> str:
    """When its keeping starts, where that was said apart from when it came in."""
    made_at = lot.facts.get("made_at", "")
    body = lot.maker.body if lot.maker else None
    if isinstance(body, Received):
        maker = maker_of(lot)
        packed = maker.at if maker is not None and maker.kind == "packed" else None
        return body.keeping_from or made_at or body.made_at or packed or ""
    return made_at


def _said_offset(lot: Lot) -> int | None:
    if lot.maker is None:
        return None
    return None if "T" in (_start_said(lot) or lot.maker.at) else lot.maker.offset


def _order(use: Use) -> tuple[int, int, int, str, str]:
    by_group = {"open": use.opened, "dated": use.from_ms}.get(use.group)
    first = use.since if by_group is None else by_group
    return (GROUPS.index(use.group), first, use.since, use.lot, use.store)
