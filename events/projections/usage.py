"""How much of a food was used, week by week, as a range: never one figure where nobody knows one.

At least what was logged eaten; at most that and what went missing or shrank over the days between
two counts. What was found, re-estimated, spoiled, given, planted or made into something else is
not use. A gap that a count shows is spread over the days since the last count there, never put on
the day when somebody noticed; what was found of the food in the same place meanwhile is set off
against it. A pure function of lots: no clock, and the zone is passed in.
"""

from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime, timedelta, tzinfo

from msgspec import Struct

from events.kinds import Counted
from events.lots.places import within
from events.lots.state import BALANCE, COMING, UNBOUNDED, Line, Lot, Posting


class Week(Struct):
    """What was used in one week, which begins on a Monday. Grains of the unit."""

    monday: date
    low: int = 0
    high: int | None = 0
    """None: some was eaten, and nobody knows how much"""
    ran_out: bool = False
    """at some moment of the week the household had none: use says nothing about want"""


class Used(Struct, frozen=True):
    """A food in one unit, week after week from the first that is known, none left out."""

    food: str
    unit: str
    weeks: tuple[Week, ...]


class Gap(Struct):
    """What a count missed in a store: it went some time after `start`, at the latest at `end`."""

    store: str
    start: int
    end: int
    n: int
    deed: str
    lot: str


class Found(Struct):
    """What was found of the food in a store."""

    store: str
    at: int
    n: int
    deed: str


def usage(
    lots: Iterable[Lot],
    until: int,
    zone: tzinfo,
    one_name: Callable[[str], str] = lambda food: food,
) -> list[Used]:
    """Use by food and unit up to `until` (Unix ms), by name. `one_name`: a food's one name here.

    Lots that belong to somebody else are left out.
    """
    groups: dict[tuple[str, str], list[Lot]] = {}
    for lot in lots:
        theirs = lot.facts.get("owner", (lot.identity.owner if lot.identity else None) or "")
        if lot.food and not theirs:
            groups.setdefault((one_name(lot.food), lot.unit), []).append(lot)
    return [
        Used(food, unit, tuple(_weeks(sorted(mine, key=lambda lot: lot.name), until, zone)))
        for (food, unit), mine in sorted(groups.items())
    ]


def _weeks(lots: list[Lot], until: int, zone: tzinfo) -> list[Week]:
    lines = [(lot, line) for lot in lots for line in lot.lines if line.place <= until]
    if not lines:
        return []
    first = monday(min(line.place for _, line in lines), zone)
    last = monday(until, zone)
    weeks = {
        day: Week(day)
        for day in (first + timedelta(weeks=i) for i in range((last - first).days // 7 + 1))
    }
    for _, line in lines:
        for posting in line.postings:
            if posting.term == "consumed":
                _eat(weeks[monday(line.place, zone)], posting)
    for gap in _gaps(lots, until):
        _spread(weeks, gap, zone)
    _mark_run_out(weeks, [line for _, line in lines], zone)
    return list(weeks.values())


def _eat(week: Week, posting: Posting) -> None:
    week.low += posting.low
    if posting.high >= UNBOUNDED or week.high is None:
        week.high = None
    else:
        week.high += posting.high


# -- gaps ------------------------------------------------------------------------------------------


def _gaps(lots: list[Lot], until: int) -> list[Gap]:
    """What went missing or shrank, less what turned up or was found there meanwhile."""
    gaps: list[Gap] = []
    found: list[Found] = []
    for lot in lots:
        mine: list[Gap] = []
        for number, line in enumerate(lot.lines):
            if line.place > until:
                continue
            deed = line.record.deed_name
            for posting in line.postings:
                if posting.term == "found":
                    found.append(Found(posting.store, line.place, posting.n, deed))
                elif posting.term in ("missing", "shrunk") and posting.n > 0:
                    start = _known_since(lot, number, posting.store)
                    gap = Gap(posting.store, start, line.place, posting.n, deed, lot.name)
                    mine.append(gap)
                elif posting.term == "missing":
                    _turn_up(mine, -posting.n)
        gaps += mine
    _set_off(gaps, found)
    return [gap for gap in gaps if gap.n > 0]


def _known_since(lot: Lot, number: int, store: str) -> int:
    """When the lot in that store was last known for sure before a line: counted, or come there."""
    for line in reversed(lot.lines[:number]):
        body = line.record.body
        if isinstance(body, Counted) and not body.part and within(store, body.store):
            return line.place
        if any(_came(posting, store) for posting in line.postings):
            return line.place
    return lot.made_place


def _came(posting: Posting, store: str) -> bool:
    """Whether food came to stand in the store."""
    if posting.term == "in":
        return within(store, posting.store) or within(posting.store, store)
    return posting.term == "moved" and (within(posting.to, store) or within(store, posting.to))


def _turn_up(gaps: list[Gap], n: int) -> None:
    """Food that turned up was not used: the newest gap first."""
    for gap in reversed(gaps):
        off = min(n, gap.n)
        gap.n -= off
        n -= off


def _set_off(gaps: list[Gap], found: list[Found]) -> None:
    """What was found of one food in one place between two counts was likely the other lot's."""
    for one in sorted(found, key=lambda one: (one.at, one.store)):
        for gap in sorted(gaps, key=lambda gap: (gap.end, gap.lot)):
            inside = gap.start < one.at <= gap.end or gap.deed == one.deed
            if inside and (within(one.store, gap.store) or within(gap.store, one.store)):
                off = min(one.n, gap.n)
                gap.n -= off
                one.n -= off


def _spread(weeks: dict[date, Week], gap: Gap, zone: tzinfo) -> None:
    """Put a gap on the days after its start, evenly; the parts add up to it exactly."""
    first, last = _day(gap.start, zone), _day(gap.end, zone)
    days = max(1, (last - first).days)
    for number in range(days):
        when = last - timedelta(days=days - 1 - number)
        share = gap.n * (number + 1) // days - gap.n * number // days
        week = weeks.get(when - timedelta(days=when.weekday()))
        if week is not None and week.high is not None:
            week.high += share


# -- weeks -----------------------------------------------------------------------------------------


def monday(ms: int, zone: tzinfo) -> date:
    """The Monday of the week of a moment."""
    when = _day(ms, zone)
    return when - timedelta(days=when.weekday())


def _day(ms: int, zone: tzinfo) -> date:
    return datetime.fromtimestamp(ms // 1000, UTC).astimezone(zone).date()


def _mark_run_out(weeks: dict[date, Week], lines: list[Line], zone: tzinfo) -> None:
    """Mark the weeks with a moment, after the food first came, at which there was none of it.

    By the likely figures; what comes and goes in the same moment (food made into food) is one.
    """
    changes: dict[int, int] = {}
    for line in lines:
        change = sum(
            posting.n if posting.term in COMING else -posting.n
            for posting in line.postings
            if posting.term in BALANCE
        )
        changes[line.place] = changes.get(line.place, 0) + change
    moments = sorted(changes.items())
    had, there, number = False, 0, 0
    for first, week in weeks.items():
        week.ran_out = had and there <= 0
        while number < len(moments) and monday(moments[number][0], zone) <= first:
            there += moments[number][1]
            number += 1
            had = had or there > 0
            week.ran_out = week.ran_out or (had and there <= 0)
