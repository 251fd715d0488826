"""A household's work list for the week: what to use first, what to look at, last week in figures.

Pure: the book, the tables, "now" and the household's zone give the digest, and nothing else does.
It reckons about quality alone; where a thing can hurt someone it repeats the published caution.
"""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from events import edtf
from events.book import Book
from events.keeping.life import Life
from events.readings.lots import codes_of
from events.readings.rotation import DAY, Use, use_first
from events.readings.stamped import means
from events.readings.used import used
from events.tables import Tables
from service.digests import changes
from service.digests.beds import dig
from service.digests.caution import Cautions
from service.digests.changes import Said
from service.digests.digest import Bar, Digest, Item, Section
from service.digests.figures import figures, told
from service.digests.getting import get
from service.digests.looking import look
from service.digests.shelves import carry
from service.digests.unsettled import unsettled
from service.digests.words import Calendar, Week, ends, listed, of_food, shown, weekday

AHEAD = 13 * 7 * DAY
"""What is not open and keeps its quality for another quarter of a year is no work for this week."""


class Head(NamedTuple):
    """How far the log has come: how many records, and the digest of the last one."""

    records: int
    digest: str


class Composed(NamedTuple):
    """A digest, and what the next one has to know of it."""

    digest: Digest
    said: Said


def compose(
    book: Book,
    tables: Tables,
    now_ms: int,
    timezone: str,
    household: str = "",
    today: date | None = None,
) -> Digest:
    """The digest of the seven days up to `now_ms` (Unix milliseconds), dated in `timezone`.

    `today`: the day it is for, where the moment is the end of a day that was asked for.
    """
    calendar = Calendar(timezone, today)
    week = Week(now_ms - 7 * DAY, now_ms)
    sections, cautions, quiet = _sections(book, tables, calendar, week)
    named = f"{household}: the" if household else "The"
    return Digest(
        title=f"{named} week to {weekday(calendar.today(now_ms))}",
        sections=tuple(section for section in sections if section.items),
        cautions=cautions.said(),
        quiet=quiet,
        closing=_closing(Head(book.size, "")),
    )


def compose_next(
    book: Book,
    tables: Tables,
    now_ms: int,
    timezone: str,
    household: str,
    last: Said | None,
    head: Head,
    posted: Sequence[str] = (),
) -> Composed:
    """The digest that comes after `last`, of the days since it: what changed comes first.

    `posted`: what became of earlier mail, where it did not arrive, a sentence each.
    """
    calendar = Calendar(timezone)
    known = last if last is not None and last.end < now_ms else None
    week = Week(now_ms - 7 * DAY if known is None else known.end, now_ms)
    sections, cautions, quiet = _sections(book, tables, calendar, week)
    said = changes.said(book, *week, sections)
    items = [Item(text=text) for text in posted]
    if known is not None:
        items = [*changes.corrected(book, known), *changes.over(known, sections), *items]
        sections = changes.parted(sections, known.told)
    first = Section(heading=changes.CHANGED, items=tuple(items), least=3)
    digest = Digest(
        title=f"{household}: the week to {weekday(calendar.today(now_ms))}",
        sections=tuple(section for section in (first, *sections) if section.items),
        cautions=cautions.said(),
        quiet=quiet,
        closing=_closing(head),
    )
    return Composed(digest, said)


def _sections(
    book: Book, tables: Tables, calendar: Calendar, week: Week
) -> tuple[list[Section], Cautions, str]:
    """Every section, also those without items; the cautions; what a quiet week says."""
    codes = codes_of(book)
    cautions = Cautions(book, tables)
    now_ms = week.end
    usable = use_first(book, tables)
    uses = [use for use in usable if not use.lapsed(now_ms)]
    lapsed = [use for use in usable if use.lapsed(now_ms)]
    for one in told(book, *week):
        cautions.loss_told(one.lot, one.line.record.body)
    looks = (
        *look(book, tables, codes, calendar, week, cautions),
        *(_lapsed(use, codes, calendar) for use in lapsed),
    )
    sections = [
        _use_first(book, uses, codes, calendar, now_ms, cautions),
        Section(heading="Go and look", items=looks, least=4),
        carry(
            book,
            {item.lot for item in looks},
            dig(book, tables, calendar.today(now_ms), calendar.zone, cautions),
        ),
        get(book, calendar, week),
        unsettled(book, codes, calendar, week),
        Section(heading=_of_days(week, calendar), items=tuple(figures(book, *week)), least=99),
    ]
    return sections, cautions, _quiet(uses, codes, calendar, now_ms)


def _of_days(week: Week, calendar: Calendar) -> str:
    """What the figures are of: a week, unless the last digest was more than a day from a week ago."""
    if abs(week.end - week.start - 7 * DAY) <= DAY:
        return "Last week in figures"
    return f"Since {weekday(calendar.on(week.start))} in figures"


def _closing(head: Head) -> str:
    many = f"{head.records} {'record' if head.records == 1 else 'records'}"
    return f"The log holds {many}{f'; its head is {head.digest}' if head.digest else ''}."


def _use_first(
    book: Book,
    uses: Sequence[Use],
    codes: dict[str, str],
    calendar: Calendar,
    now_ms: int,
    cautions: Cautions,
) -> Section:
    """What presses, in the order of use; what does not is counted."""
    items: list[Item] = []
    later: list[Use] = []
    pressing: list[Use] = []
    for use in uses:
        if use.group == "in the ground":
            continue
        if use.group == "dated" and use.from_ms is not None and use.from_ms > now_ms + AHEAD:
            later.append(use)
            continue
        pressing.append(use)
        said = cautions.once_open(book.lots[use.lot]) if use.group == "open" else ""
        items.append(_item(use, codes, calendar, now_ms, said))
    return Section(
        heading="Use first",
        items=tuple(items),
        rest=_later(later, calendar),
        assumed=_assumed(book, pressing),
        least=4,
    )


def _assumed(book: Book, uses: Sequence[Use]) -> str:
    """The temperatures taken for granted, once for all: nobody measured them in the days that count."""
    taken = {
        f"{book.settings.kind_of(use.store)} {use.life.assumed}"
        for use in uses
        if isinstance(use.life, Life) and use.life.assumed
    }
    named = listed(sorted(taken), 4, "kinds")
    return f"no thermometer read of late: {named} assumed" if taken else ""


def _later(later: list[Use], calendar: Calendar) -> str:
    if not later:
        return ""
    many = "another keeps" if len(later) == 1 else f"{len(later)} others keep"
    first = min(ends(use, calendar)[0] for use in later)
    return f"{many} until {shown(first)} or longer"


def _item(use: Use, codes: dict[str, str], calendar: Calendar, now_ms: int, caution: str) -> Item:
    return Item(
        text=f"{_what(use, codes)}: {_when(use, calendar, now_ms)}",
        why=caution or _why(use, now_ms),
        brief="" if caution else _brief(use),
        spare=not caution,
        lot=use.lot,
        bar=_bar(use, now_ms),
    )


def _bar(use: Use, now_ms: int) -> Bar | None:
    """How much of its life it has used; None where it has no time."""
    shares = used(use, now_ms)
    if shares is None or use.from_ms is None:
        return None
    end = use.from_ms if use.to_ms is None else use.to_ms
    start, whole = use.since, max(1, end - use.since)

    def at(ms: int) -> int:
        return max(0, min(100, 100 * (ms - start) // whole))

    if shares.likely is None or shares.least is None:
        says = f"used: {shares.most} % of the least it keeps"
    else:
        says = f"used: about {shares.likely} % of its life ({shares.least} to {shares.most} %)"
    return Bar(
        used=at(now_ms),
        start=at(use.from_ms),
        likely=None if use.likely_ms is None else at(use.likely_ms),
        says=says,
    )


def _what(use: Use, codes: dict[str, str]) -> str:
    much = of_food(use.n, use.low, use.high, use.unit, use.food, use.variety)
    where = f", {use.store}" if use.store else ""
    return f"{much} {codes.get(use.lot, use.lot)}{where}"


def _when(use: Use, calendar: Calendar, now_ms: int) -> str:
    opened = f"open since {calendar.day(use.opened)}; " if use.opened is not None else ""
    if use.by_maker and use.maker is not None:
        return f"{use.maker.kind} {edtf.show(use.maker.at or '')}"
    if not isinstance(use.life, Life):
        return (
            opened.removesuffix("; ")
            or f"here since {shown(calendar.after(use.since, use.offset, 0))}"
        )
    low, high = ends(use, calendar)
    if high is None:
        return f"{opened}best to {shown(low)} or longer"
    today = calendar.today(now_ms)
    if high < today:
        return f"{opened}best ended {shown(high)}"
    if low <= today:
        return f"{opened}best ends now to {shown(high)}"
    return f"{opened}best ends {calendar.between(low, high)}"


def _why(use: Use, now_ms: int) -> str:
    """What the order rests on, in a line: the row and its source, or that there is none."""
    answer = use.life
    if use.by_maker and use.maker is not None:
        return means(use.maker)
    if not isinstance(answer, Life):
        return f"{answer.reason}: by age" if use.opened is None else answer.reason
    over = use.to_ms is not None and use.to_ms < now_ms
    derived = ("low end derived",) if answer.derived and not over else ()
    clauses = (answer.row.life_as_printed, *derived, *answer.said)
    return f"{', '.join(clauses)} ({answer.source.publisher.partition(' (')[0]})"


def _lapsed(use: Use, codes: dict[str, str], calendar: Calendar) -> Item:
    return Item(
        text=f"{_what(use, codes)}: {_when(use, calendar, 0)} is past, not offered; decide",
        why="" if use.maker is None else means(use.maker),
        lot=use.lot,
    )


def _brief(use: Use) -> str:
    """The row and its source alone."""
    answer = use.life
    if use.by_maker or not isinstance(answer, Life):
        return ""
    return f"{answer.row.life_as_printed} ({answer.source.publisher.partition(' (')[0]})"


def _quiet(uses: Sequence[Use], codes: dict[str, str], calendar: Calendar, now_ms: int) -> str:
    above = [use for use in uses if use.group != "in the ground"]
    if not above:
        return "Nothing presses, and nothing is on hand."
    first = above[0]
    return (
        f"Nothing presses. First to use: {_what(first, codes)}: {_when(first, calendar, now_ms)}."
    )
