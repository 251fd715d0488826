"""What a book may look up of the log that it does not hold.

`Past` is all that it asks of whoever keeps the log; `InMind` keeps a whole log in this process,
for a demo, for tests, and for a past day. Rule: what is looked up is what was added, no more: a
past that has more than the book knows of says so by position, and the book leaves it alone.
"""

from collections.abc import Iterable, Iterator
from typing import Protocol

from events.lots.state import Lot
from events.lots.things import HOUSEHOLD, Thing, named, things
from events.record import Entry, UnreadEntry

LAST = 2**62
"""Past every position."""


class Past(Protocol):
    """A log that is kept elsewhere. Entries come by position, lots in no order."""

    @property
    def whole(self) -> bool:
        """Whether the book holds all that there is, so that nothing ever need be looked up."""
        ...

    def entry(self, record: str) -> Entry | None:
        """The entry of a record that can be read."""
        ...

    def about(self, thing: Thing, upto: int = LAST) -> list[Entry]:
        """The entries up to a position that are about a thing."""
        ...

    def named(self, records: Iterable[str]) -> set[str]:
        """Which of these records other records name."""
        ...

    def newest(self, thing: Thing) -> Iterator[Entry]:
        """The entries about a thing, the last first."""
        ...

    def of_device(self, device: str) -> Iterator[Entry]:
        """A device's own entries, its last first."""
        ...

    def every(self) -> Iterator[Entry | UnreadEntry]:
        """The whole log."""
        ...

    def lot(self, name: str) -> Lot | None:
        """A lot as it was put by, under any of its names."""
        ...

    def names(self) -> Iterator[str]:
        """The name of every lot that was put by."""
        ...

    def closed(self, since: int) -> Iterator[Lot]:
        """Lots put by as closed of which something was said at `since` (Unix ms) or later."""
        ...

    def alike(self, key: int) -> list[str]:
        """Closed lots that came in alike, by the number of what they said."""
        ...

    def near(self, signs: str) -> tuple[str, str]:
        """The signs of the closed lots that sort just before and just after; "" where none does."""
        ...

    def beginning(self, signs: str) -> list[str]:
        """The closed lots whose signs begin so."""
        ...


class InMind:
    """A whole log in this process."""

    whole = True

    def __init__(self) -> None:
        self.log: dict[str, Entry] = {}
        self.unread: dict[str, UnreadEntry] = {}
        self._about: dict[Thing, list[Entry]] = {}
        self._indexed = 0

    def add(self, entry: Entry | UnreadEntry) -> bool:
        """Keep an entry; whether it was new."""
        if isinstance(entry, UnreadEntry):
            return self.unread.setdefault(entry.unread.name, entry) is entry
        name = entry.record.name
        if name in self.log:
            return False
        self.log[name] = entry
        return True

    def entry(self, record: str) -> Entry | None:
        return self.log.get(record)

    def about(self, thing: Thing, upto: int = LAST) -> list[Entry]:
        if self._indexed < len(self.log):
            for entry in list(self.log.values())[self._indexed :]:
                for one in things(entry.record):
                    self._about.setdefault(one, []).append(entry)
            self._indexed = len(self.log)
        found = (entry for entry in self._about.get(thing, ()) if entry.position <= upto)
        return sorted(found, key=lambda entry: entry.position)

    def named(self, records: Iterable[str]) -> set[str]:
        self.about(HOUSEHOLD)
        return {record for record in records if named(record) in self._about}

    def newest(self, thing: Thing) -> Iterator[Entry]:
        return reversed(self.about(thing))

    def of_device(self, device: str) -> Iterator[Entry]:
        own = (entry for entry in self.log.values() if entry.record.device == device)
        return iter(sorted(own, key=lambda entry: -entry.record.seq))

    def every(self) -> Iterator[Entry | UnreadEntry]:
        entries: Iterable[Entry | UnreadEntry] = (*self.log.values(), *self.unread.values())
        return iter(sorted(entries, key=lambda entry: entry.position))

    def lot(self, name: str) -> Lot | None:
        return None

    def names(self) -> Iterator[str]:
        return iter(())

    def closed(self, since: int) -> Iterator[Lot]:
        return iter(())

    def alike(self, key: int) -> list[str]:
        return []

    def near(self, signs: str) -> tuple[str, str]:
        return "", ""

    def beginning(self, signs: str) -> list[str]:
        return []
