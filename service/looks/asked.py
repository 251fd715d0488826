"""What a look is about: the book as of its day, and when it stands.

A look without a day stands now. With one it shows that day as it is known now, without what
happened after it. Nothing is worked out here.
"""

from datetime import date, tzinfo

from msgspec import Struct

from events.book import Book
from service.clock import Clock, zone
from service.ledger import Ledger
from service.looks import days


class Asked(Struct, frozen=True, kw_only=True):
    """The book that is looked at, and the moment of the look (Unix ms)."""

    book: Book
    now: int
    zone: str
    """the household's timezone by its name"""
    household: str
    """what the household is called"""
    clock: Clock
    today: date | None = None
    """the day that is looked at, where one was said"""

    @property
    def tz(self) -> tzinfo:
        return zone(self.zone)


def ask(ledger: Ledger, clock: Clock, on: str | None = None) -> Asked:
    """A look at a household; `on`: a day as typed. WrongUse where it is none."""
    here = ledger.household
    if on is None:
        return Asked(
            book=ledger.book,
            now=clock.now_ms(),
            zone=here.timezone,
            household=here.name,
            clock=clock,
        )
    now = days.end_of(on, clock, here.timezone)
    return Asked(
        book=ledger.book.as_of(now),
        now=now,
        zone=here.timezone,
        household=here.name,
        clock=clock,
        today=days.last_day(on, clock, here.timezone),
    )
