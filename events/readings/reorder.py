"""What to get: foods below their marks, how much brings them up, in packs, less what is expected.

Low once below the mark, and low until it comes to a higher one or more comes in: a level that dances round its
mark says so once. What is held, set aside, in doubt or somebody else's does not count as there.
Limits of this form: how fast a food is used does not enter, so what is low is to be got now, and
nothing says when it runs out; marks as they are set today are laid on past levels too.
"""

from collections.abc import Iterable
from fractions import Fraction
from math import ceil

from msgspec import Struct

from events.book import Book
from events.kinds import GRAIN, Amount, PutUp, Received
from events.lots.state import Line, Lot
from events.quantity import Equal, NotUnderstood, equal, through
from events.readings.expected import Expected, expected
from events.readings.finding import Foods, lots_of
from events.readings.rows import owner_of
from events.readings.stock_marks import Marks, all_marks, equals
from events.readings.sums import size_of, totals


class Level(Struct, frozen=True):
    """So much of a food at a moment (Unix ms); `came`: because more came in."""

    at: int
    n: Fraction
    came: bool = False


class Waiting(Struct, frozen=True, kw_only=True):
    """What is expected of a food, in the unit of its marks; `n` None: in another unit."""

    record: str
    due: str | None
    n: Fraction | None
    said: Amount


class Need(Struct, frozen=True, kw_only=True):
    """How a food stands to its marks, all in `marks.unit`."""

    marks: Marks
    there: Fraction
    uncounted: tuple[str, ...]
    """units in which there is some of it that does not come to the marks' unit"""
    low_since: int | None
    """since when it is low, Unix ms; None: it is not"""
    waiting: tuple[Waiting, ...]
    get: Fraction
    """how much to get, in whole packs where it comes in packs; nought: nothing"""
    packs: int | None


class Reorder(Struct, frozen=True):
    """Every food with a mark, those to be got first; sentences for marks not understood."""

    needs: tuple[Need, ...]
    unread: tuple[str, ...]


LOOKED_BACK = 400 * 86_400_000
"""Milliseconds: of what has been low for longer it is said that it has been so for that long."""


def low_since(levels: Iterable[Level], mark: Fraction, clear: Fraction) -> int | None:
    """Since when it is low: below the mark, until it comes to `clear`, or more came in up to the mark."""
    since: int | None = None
    for level in levels:
        if level.n < mark:
            since = level.at if since is None else since
        elif level.n >= clear or level.came:
            since = None
    return since


def reorder(book: Book, now_ms: int) -> Reorder:
    """How every food with a refill mark or a par stands, at `now_ms` (Unix ms)."""
    known, unread = all_marks(book)
    foods = Foods(book)
    sums = {total.food: total for total in totals(book)}
    coming: dict[str, list[Expected]] = {}
    for one in expected(book):
        coming.setdefault(foods.canonical(one.order.food), []).append(one)
    needs = []
    for marks in known:
        if marks.refill is None or marks.clear is None:
            continue
        ways = equals(book.settings.foods.get(marks.food, {}))
        there, uncounted = Fraction(0), set()
        total = sums.get(marks.food)
        for part in total.sums if total else []:
            n = in_marks(part.plan.n, part.unit, part.size, marks.unit, ways)
            if n is not None:
                there += n
            elif part.plan.n:
                uncounted.add(part.unit)
        back = now_ms - LOOKED_BACK
        lots = lots_of(book, marks.food, foods, back)
        levels = [*levels_of(lots, marks.unit, ways, back), Level(now_ms, there)]
        since = low_since(levels, marks.refill, marks.clear)
        waiting = tuple(_waiting(one, marks.unit, ways) for one in coming.get(marks.food, []))
        needs.append(_need(marks, there, tuple(sorted(uncounted)), since, waiting))
    needs.sort(key=lambda need: (not need.get, need.low_since is None, need.marks.food))
    return Reorder(tuple(needs), tuple(unread))


def _need(
    marks: Marks,
    there: Fraction,
    uncounted: tuple[str, ...],
    since: int | None,
    waiting: tuple[Waiting, ...],
) -> Need:
    get, packs = Fraction(0), None
    if since is not None:
        goal = marks.par if marks.par is not None else marks.clear or Fraction(0)
        get = max(Fraction(0), goal - there - sum(one.n or 0 for one in waiting))
        if get and marks.pack is not None:
            packs = ceil(get / marks.pack)
            get = packs * marks.pack
    return Need(marks=marks, there=there, uncounted=uncounted, low_since=since, waiting=waiting,
                get=get, packs=packs)  # fmt: skip


def in_marks(n: int, unit: str, size: str, to: str, ways: Iterable[Equal]) -> Fraction | None:
    """`n` grains of `unit`, packages of `size` if any, in the unit of the marks."""
    known = [*ways, *_size(unit, size)]
    way = through(Fraction(n, GRAIN), unit, to, known)
    return None if way is None else way[0]


def _size(unit: str, size: str) -> list[Equal]:
    if not size or not size[0].isdigit():
        return []
    try:
        return [equal(f"1 {unit} = {size}", {unit})]
    except NotUnderstood:
        return []


def levels_of(lots: Iterable[Lot], unit: str, ways: Iterable[Equal], since: int) -> list[Level]:
    """What there was of the lots together at `since` (Unix ms) and after every later record that
    changed it, in time.

    A record is one step, whatever it did to several lots: food packed anew was never gone.
    """
    known = list(ways)
    now, told = Fraction(0), False
    steps: dict[tuple[int, int, str, int], tuple[Fraction, bool]] = {}
    for lot in lots:
        size = size_of(lot.identity.package if lot.identity else None)
        one = in_marks(GRAIN, lot.unit, size, unit, known) if lot.unit else None
        if one is None or owner_of(lot):
            continue
        now += one * Fraction(lot.on_hand, GRAIN)
        told = told or lot.made_place < since
        for line in lot.lines if lot.last_place >= since else ():
            if line.after != line.before and line.place >= since:
                change, came = steps.get(_order(line), (Fraction(0), False))
                change += one * Fraction(line.after - line.before, GRAIN)
                steps[_order(line)] = change, came or _came(line)
    total = now - sum((change for change, _ in steps.values()), Fraction(0))
    levels = [Level(since, total, came=False)] if told else []
    for key in sorted(steps):
        total += steps[key][0]
        levels.append(Level(key[0], total, steps[key][1]))
    return levels


def _order(line: Line) -> tuple[int, int, str, int]:
    record = line.record
    return line.place, record.stamp.ms << 16 | record.stamp.counter, record.device, record.seq


def _came(line: Line) -> bool:
    """Whether more came in or was put up, which a count that finds more is not."""
    body = line.record.body
    if isinstance(body, PutUp):
        return line.after > line.before
    return isinstance(body, Received) and body.origin != "found"


def _waiting(one: Expected, unit: str, ways: Iterable[Equal]) -> Waiting:
    amount = one.to_come
    n = None if amount.n is None else in_marks(amount.n, amount.unit, "", unit, ways)
    return Waiting(record=one.record, due=one.order.due, n=n, said=amount)
