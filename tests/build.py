"""A household's log written the way people speak of it: the stories' own words.

For tests only. `Tale` says things (tests/tale.py); a `Household` is a tale that can also be asked
what its book has come to. It works nothing out itself, so that a story's figures come from the
page that says how a lot is replayed and not from here. Every book that a story reads is built in
many orders (as said, backwards, one at a time with repeats, each entry last in turn) and must come
out the same.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import TypeAlias

from events.book import Book
from events.concerns import Concern
from events.kinds import GRAIN
from events.lots.state import BALANCE, COMING, Lot, Mark, Parcel
from events.record import Entry, Unread, UnreadEntry
from tests.tale import (
    SOME,
    START,
    START_MS,
    About,
    Other,
    Tale,
    amount,
    between,
    day,
    grains,
    instant,
    makes,
    ms,
    said_by,
)  # fmt: skip

Exact: TypeAlias = Fraction | int

__all__ = [
    "SOME", "START", "START_MS", "About", "Household", "Other", "Tale", "amount", "assert_sound",
    "between", "day", "every_way", "grains", "instant", "makes", "ms", "said_by",
]  # fmt: skip


class Household(Tale):
    """A tale, and what its book says."""

    def __init__(self) -> None:
        super().__init__()
        self._book: Book | None = None
        self._known = 0
        self.unread: list[Unread] = []

    def log(self) -> list[Entry | UnreadEntry]:
        """All that was heard, also what cannot be read."""
        heard: list[Entry | UnreadEntry] = list(self.entries())
        for unread in self.unread:
            at = len(heard) + 1
            heard.append(UnreadEntry(position=at, received=ms(self.clock), sent_by="hall",
                                     unread=unread))  # fmt: skip
        return heard

    @property
    def book(self) -> Book:
        size = len(self.records) + len(self.unread)
        if self._book is None or self._known != size:
            self._book, self._known = every_way(self.log()), size
        return self._book

    def lot(self, lot: str) -> Lot:
        found = self.book.lot(lot)
        assert found is not None, f"the book has no lot {lot}"
        return found

    def parcels(self, lot: str) -> list[Parcel]:
        return list(self.lot(lot).parcels)

    def _sum(self, parcels: Iterable[Parcel]) -> dict[str, Fraction]:
        sums: dict[str, Fraction] = {}
        for parcel in parcels:
            if parcel.n:
                sums[parcel.store] = sums.get(parcel.store, Fraction(0)) + Fraction(parcel.n, GRAIN)
        return sums

    def stores(self, lot: str) -> dict[str, Fraction]:
        """What is where, likely; places with none are left out."""
        return self._sum(self.parcels(lot))

    def spread(self, lot: str, store: str) -> tuple[Exact, Exact, Exact | None]:
        """(least, likely, most) there; most None where nobody knows."""
        here = [p for p in self.parcels(lot) if p.store == store]
        low, n, high = (sum(getattr(p, k) for p in here) for k in ("low", "n", "high"))
        top = None if high >= 2**59 else Fraction(high, GRAIN)
        return Fraction(low, GRAIN), Fraction(n, GRAIN), top

    def opened(self, lot: str) -> dict[str, Fraction]:
        return self._sum(p for p in self.parcels(lot) if p.opened is not None)

    def closed(self, lot: str) -> dict[str, Fraction]:
        return self._sum(p for p in self.parcels(lot) if p.opened is None)

    def held(self, lot: str) -> dict[str, Fraction]:
        return self._sum(p for p in self.parcels(lot) if p.holds)

    def aside(self, lot: str) -> dict[str, Fraction]:
        return self._sum(p for p in self.parcels(lot) if p.asides)

    def unmarked(self, lot: str) -> dict[str, Fraction]:
        return self._sum(p for p in self.parcels(lot) if not p.asides and not p.holds)

    def doubted(self, lot: str) -> dict[str, Fraction]:
        return self._sum(p for p in self.parcels(lot) if p.doubt)

    def under(self, mark: str, lot: str) -> dict[str, Fraction]:
        """What lies under that mark."""

        def named(marks: frozenset[Mark]) -> bool:
            return any(laid == mark for laid, _ in marks)

        return self._sum(p for p in self.parcels(lot) if named(p.holds) or named(p.asides))

    def paths(self, lot: str) -> dict[tuple[str, ...], Fraction]:
        """How much has lived along which path of stores, oldest first."""
        sums: dict[tuple[str, ...], Fraction] = {}
        for parcel in self.parcels(lot):
            path: list[str] = []
            link = parcel.lived
            while link is not None:
                path.insert(0, link.store)
                link = link.before  # type: ignore[assignment]
            key = tuple(path)
            sums[key] = sums.get(key, Fraction(0)) + Fraction(parcel.n, GRAIN)
        return {path: n for path, n in sums.items() if n}

    def balance(self, lot: str) -> dict[str, Fraction]:
        """The terms of the balance that are not nought, and what is on hand."""
        state = self.lot(lot)
        terms: dict[str, Fraction] = {
            term: Fraction(state.totals[term], GRAIN) for term in BALANCE if state.totals.get(term)
        }
        if state.on_hand:
            terms["on_hand"] = Fraction(state.on_hand, GRAIN)
        return terms

    def concerns(self, kind: str | None = None, lot: str | None = None) -> list[Concern]:
        name = None if lot is None else self.lot(lot).name
        return [c for c in self.book.concerns() if kind in (None, c.kind) and name in (None, c.lot)]

    def kinds(self, lot: str | None = None) -> list[str]:
        """The kinds of concern there are, each as often as it is raised."""
        return sorted(c.kind for c in self.concerns(lot=lot))


def every_way(log: Sequence[Entry | UnreadEntry]) -> Book:
    """The book of a log, built as heard, backwards, one at a time with repeats, and with each entry
    heard last in turn: all alike."""
    book, backwards, singly = Book(), Book(), Book()
    book.add(log)
    backwards.add(list(reversed(log)))
    for i, entry in enumerate(log):
        singly.add([entry, log[i // 2]])
    others = [backwards, singly]
    for i, entry in enumerate(log):
        late = Book()
        late.add([*log[:i], *log[i + 1 :]])
        late.add([entry])
        others.append(late)
    told, raised = book.state_hash(), book.concerns()
    for other in others:
        assert other.state_hash() == told, "the order of arrival changed the book"
        assert other.concerns() == raised, "the order of arrival changed the concerns"
    assert_sound(book)
    return book


def assert_sound(book: Book) -> None:
    """What must hold in any book: no stock below nought, ranges in order, every line balanced."""
    for name, lot in book.lots.items():
        for parcel in lot.parcels:
            assert 0 <= parcel.low <= parcel.n <= parcel.high, (name, parcel)
        on_hand = 0
        sums = dict.fromkeys(BALANCE, 0)
        for line in lot.lines:
            assert line.before == on_hand, (name, line)
            for posting in line.postings:
                if posting.term in sums:
                    sums[posting.term] += posting.n
                    on_hand += posting.n if posting.term in COMING else -posting.n
            assert line.after == on_hand, (name, line)
            assert on_hand >= 0, (name, line)
        assert on_hand == lot.on_hand, (name, on_hand, lot.on_hand)
        assert sums == {term: lot.totals.get(term, 0) for term in BALANCE}, name
