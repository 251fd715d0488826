"""A book that was put by and taken up again, at any moments, is the book of the whole log."""

import typing

from hypothesis import event, given
from hypothesis import strategies as st
from msgspec.structs import replace

from events.book import Book
from events.readings.expected import expected
from events.readings.lots import codes_of
from events.record import Entry, Record, UnreadEntry
from tests.build import Household, day
from tests.histories import UNREAD, entries, records
from tests.shelf import Shelved

Log: typing.TypeAlias = list[Entry | UnreadEntry]


def placed(heard: typing.Iterable[Entry | UnreadEntry]) -> Log:
    """The same entries, by the order in which they are heard."""
    return [replace(entry, position=position) for position, entry in enumerate(heard, 1)]


def whole(log: Log) -> Book:
    book = Book()
    book.add(log)
    return book


def assert_same(book: Book, log: Log) -> None:
    """All that can be asked of both comes out alike."""
    other = whole(log)
    assert book.concerns() == other.concerns()
    assert book.state_hash() == other.state_hash()
    assert expected(book) == expected(other)
    assert book.size == other.size
    mine, theirs = codes_of(book), codes_of(other)
    for name in other.lots:
        assert mine[name] == theirs[name]
        assert book.children(name) == other.children(name)
        assert book.parents(name) == other.parents(name)


@given(records(), st.randoms(use_true_random=False), st.booleans(), st.booleans())
def test_checkpoint_and_tail_are_the_whole(
    told: list[Record], chance: typing.Any, shuffled: bool, unread: bool
) -> None:
    heard: Log = list(entries(told))
    if unread:
        heard.append(UNREAD)
    if shuffled:
        chance.shuffle(heard)
    log = placed(heard)
    past = Shelved()
    book = past.take_up()
    known = 0
    while known < len(log):
        batch = log[known : known + chance.randrange(1, 6)]
        past.log(batch)
        book.add(batch)
        known += len(batch)
        assert book.state_hash() == whole(log[:known]).state_hash()
        if chance.random() < 0.4:
            past.put_by(book)
            if chance.random() < 0.7:
                book = past.take_up()
                event("taken up")
    assert_same(book, log)
    past.put_by(book)
    event("some lots are closed", str(any(not lot.open for lot in past.lots.values())))
    again = past.take_up()
    assert_same(again, log)


def test_a_closed_lot_that_turns_out_to_be_a_likely_double_is_put_by_as_open() -> None:
    home = Household()
    first = home.bring_in(9, "salsa", "back-room", unit="jar", t=day(1), by="cook")
    home.eat(9, first, "back-room", t=day(1) + 30)
    past = Shelved()
    book = past.take_up()
    log = placed(home.entries())
    past.log(log)
    book.add(log)
    past.put_by(book)
    assert first not in book.lots
    home.bring_in(9, "salsa", "back-room", unit="jar", t=day(1) + 60, by="teen", device="tablet")
    more = placed(home.entries())[len(log) :]
    past.log(more)
    book.add(more)
    assert [concern.kind for concern in book.concerns()] == ["maybe-double"]
    past.put_by(book)
    assert_same(past.take_up(), [*log, *more])


def test_open_lots_stay_in_hand_and_closed_ones_leave_it() -> None:
    home = Household()
    gone = home.bring_in(2, "salsa", "back-room", unit="jar", t=day(1))
    here = home.bring_in(9, "beans", "back-room", unit="jar", t=day(1))
    home.eat(2, gone, "back-room", t=day(1) + 30)
    home.eat(2, here, "back-room", t=day(1) + 30)
    past = Shelved()
    book = past.take_up()
    log = placed(home.entries())
    past.log(log)
    book.add(log)
    assert all(entry.record.name in book._hand.entries for entry in home.entries())
    past.put_by(book)
    held = {e.record.name for e in home.entries() if e.record.name in book._hand.entries}
    assert held == {line.record.name for line in book.lots[here].lines}
    home.eat(1, here, "back-room", t=day(1) + 60)
    more = placed(home.entries())[len(log) :]
    past.log(more)
    before = past.asked
    book.add(more)
    assert past.asked == before, "what was in hand was fetched again"
    assert_same(book, [*log, *more])
