"""One command's desk: the household's ledger open before it, the clock, and what was typed.

A deed is written here and told back in one line; a look reads here. The words of each deed stand
with its family. Whatever is not understood is said before anything is written.
"""

from argparse import Namespace
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from datetime import tzinfo
from pathlib import Path

from events import codes
from events.book import Book
from events.concerns import Concern
from events.kinds import Body
from events.record import Entry
from service import assemble, settings
from service.clock import Clock, zone
from service.console import names, times
from service.drafts import Draft
from service.ledger import Ledger
from service.looks import asked
from service.sync import ticket


class Desk:
    """What one command has before it."""

    def __init__(self, args: Namespace, ledger: Ledger, started: settings.Settings) -> None:
        self.args = args
        self.ledger = ledger
        self.started = started
        self.clock: Clock = started.clock()
        self.more = False
        """whether another deed of the same line is told back after this one"""
        self.ahead = 0
        """so many records of other deeds of the same line are written before this one's"""
        self._codes: dict[str, str] = {}

    @property
    def book(self) -> Book:
        return self.ledger.book

    @property
    def zone(self) -> str:
        return self.ledger.household.timezone

    @property
    def device(self) -> str:
        return self.ledger.household.device

    @property
    def next_seq(self) -> int:
        """The number of the first record that this deed writes."""
        return self.ledger.next_seq + self.ahead

    @property
    def tz(self) -> tzinfo:
        return zone(self.zone)

    def store(self, typed: str | None) -> str:
        return names.store(self.book, typed)

    def asked(self) -> asked.Asked:
        """What a look is about: the book as of its day, and when it stands."""
        return asked.ask(self.ledger, self.clock, self.args.on)

    def look_at(self) -> Book:
        """The book that a look is about: as of its day, where one was said."""
        return self.book if self.args.on is None else self.book.as_of(self.moment())

    def moment(self) -> int:
        """When a look stands (Unix ms): the end of its day, where one was said, else now."""
        if self.args.on is None:
            return self.clock.now_ms()
        return times.end_of(self.args.on, self.clock, self.zone)

    def code(self, lot: str) -> str:
        """The lot's short code."""
        found = self.book.lot(lot)
        name = found.name if found else lot
        if name not in self._codes:
            self._codes[name] = codes.shortest(name, *self.book.near(codes.signs(name)))
        return self._codes[name]

    def drafts(self, bodies: Sequence[Body]) -> list[Draft]:
        """The records of one deed, with what was said of when, by whom and why."""
        when = times.deed(self.args, self.clock, self.zone)
        by = names.member(self.book, self.args.by if self.args.by is not None else self.started.by)
        explains = getattr(self.args, "explains", None)
        named = names.record(self.book, explains, self.device).record.name if explains else None
        note = names.word(self.args.note, "--note", most=4000)
        return [
            Draft(body=body, at=when.at, typed=when.typed, by=by, note=note, explains=named)
            for body in bodies
        ]

    async def write(self, bodies: Sequence[Body]) -> tuple[list[Entry], list[Concern]]:
        """Write one deed down; the records as accepted, and the concerns that they raised."""
        drafts = self.drafts(bodies)
        before = {concern.key for concern in self.book.concerns()}
        entries = await self.ledger.write(drafts)
        self._codes = {}
        raised = [concern for concern in self.book.concerns() if concern.key not in before]
        return entries, raised


def started(args: Namespace) -> settings.Settings:
    """How this program was started: `--home` and the environment."""
    return settings.read(getattr(args, "home", None))


@asynccontextmanager
async def desk(args: Namespace, *, writing: bool) -> AsyncIterator[Desk]:
    """The household's ledger, open for one command; the desk of a line of several, where it is one."""
    if (shared := getattr(args, "desk", None)) is not None:
        yield shared
        return
    how = started(args)
    async with assemble.open_home(how.home, how.clock(), writing=writing) as ledger:
        yield Desk(args, ledger, how)
    if writing and ticket.kept(how.home) and not args.json:
        await _say_waiting(how.home)


async def _say_waiting(home: Path) -> None:
    """On a replica a deed is told with how much the service does not have yet."""
    async with assemble.open_replica(home, writing=False) as store:
        counts = await store.counts()
    if number := sum(count.number for state, count in counts.items() if state != "aside"):
        print(f"Waiting to go out: {number} record{'' if number == 1 else 's'} (girnel sync)")
