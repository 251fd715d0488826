"""A log and what was put by of it, in this process: what a book taken up from a checkpoint asks.

It has no more than a file would: entries by name and by what they are about, and lots as bytes.
"""

from collections.abc import Iterable, Iterator

from events import kept
from events.book import Book
from events.lots.state import Lot
from events.lots.things import Thing
from events.past import LAST, InMind
from events.record import Entry, UnreadEntry


class Shelved:
    """A past that holds everything, and hands out nothing that was not asked for."""

    whole = False

    def __init__(self) -> None:
        self.mind = InMind()
        self.lots: dict[str, kept.KeptLot] = {}
        self.signs: dict[str, tuple[tuple[str, str], ...]] = {}
        self.stories: dict[str, dict[int, bytes]] = {}
        self.thin = b""
        self.asked = 0

    def log(self, entries: Iterable[Entry | UnreadEntry]) -> None:
        for entry in entries:
            self.mind.add(entry)

    # -- what a book asks --------------------------------------------------------------------------

    def entry(self, record: str) -> Entry | None:
        return self.mind.entry(record)

    def about(self, thing: Thing, upto: int = LAST) -> list[Entry]:
        self.asked += 1
        return self.mind.about(thing, upto)

    def named(self, records: Iterable[str]) -> set[str]:
        return self.mind.named(records)

    def newest(self, thing: Thing) -> Iterator[Entry]:
        return self.mind.newest(thing)

    def of_device(self, device: str) -> Iterator[Entry]:
        return self.mind.of_device(device)

    def every(self) -> Iterator[Entry | UnreadEntry]:
        return self.mind.every()

    def lot(self, name: str) -> Lot | None:
        for one in self.lots.values():
            if name in dict(self.signs[one.name]):
                return self._lot(one)
        return None

    def names(self) -> Iterator[str]:
        return iter(list(self.lots))

    def closed(self, since: int) -> Iterator[Lot]:
        found = [one for one in self.lots.values() if not one.open and one.last_place >= since]
        return iter([self._lot(one) for one in found])

    def alike(self, key: int) -> list[str]:
        return [one.name for one in self.lots.values() if not one.open and one.alike == key]

    def near(self, signs: str) -> tuple[str, str]:
        every = sorted(said for name in self.lots for _, said in self.signs[name])
        before = [said for said in every if said < signs]
        after = [said for said in every if said > signs]
        return (before or [""])[-1], (after or [""])[0]

    def beginning(self, signs: str) -> list[str]:
        every = [pair for name in self.lots for pair in self.signs[name]]
        return [name for name, said in every if said.startswith(signs)]

    def _lot(self, one: kept.KeptLot) -> Lot:
        parts = dict(self.stories[one.name])
        return kept.take_up(one.head, lambda: [parts[first] for first in sorted(parts)])

    # -- putting by ----------------------------------------------------------------------------------

    def put_by(self, book: Book) -> None:
        lots, gone = book.to_put_by()
        for name in gone:
            self.lots.pop(name, None)
            self.stories.pop(name, None)
        for one in lots:
            self.lots[one.name] = one
            if one.signs is not None:
                self.signs[one.name] = one.signs
            before = self.stories.get(one.name, {})
            parts = {first: part for first, part in before.items() if first < one.first}
            self.stories[one.name] = {**parts, one.first: one.story} if one.story else parts
        self.thin = kept.put_by_thin(book.thin)
        book.was_put_by(lots)

    def take_up(self) -> Book:
        """A book as a new start has it."""
        thin = kept.take_up_thin(self.thin) if self.thin else None
        return Book(self, thin, [self._lot(one) for one in self.lots.values() if one.open])
