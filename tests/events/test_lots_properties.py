"""What must hold for any history whatever: order does not matter, nothing is lost or made up."""

import collections
import typing

import msgspec
import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from events import codec, kinds
from events.book import Book
from events.concerns import ConcernKind
from events.kinds import Stamp, Voided
from events.record import Entry, Record, UnreadEntry
from tests.build import assert_sound
from tests.histories import KINDS, UNREAD, entries, records
from tests.tale import BODIES, ms

ELSEWHERE = {"same-name"}
"""Raised where the log is kept: two facts under one name are told apart before any fold."""

MAKERS = (kinds.Received, kinds.PutUp, kinds.Repacked)
AMENDING = (kinds.Voided, kinds.Redated)


def book_of(log: typing.Sequence[Entry | UnreadEntry]) -> Book:
    book = Book()
    book.add(log)
    return book


def shelf(book: Book) -> dict[str, tuple[object, ...]]:
    """What is where, and what became of the rest."""
    return {
        name: (
            sorted((p.store, p.n, p.low, p.high, p.opened is None, sorted(p.holds),
                    sorted(p.asides), p.doubt) for p in lot.parcels),
            lot.totals,
        )
        for name, lot in book.lots.items()
        if lot.parcels or any(lot.totals.values())
    }  # fmt: skip


def test_every_kind_is_drawn() -> None:
    assert set(KINDS) == {body.__struct_config__.tag for body in BODIES}


@given(records(), st.randoms(use_true_random=False), st.booleans())
def test_any_order_any_repeats_any_batches_give_the_same_book(
    told: list[Record], chance: typing.Any, unread: bool
) -> None:
    log: list[Entry | UnreadEntry] = list(entries(told))
    if unread:
        log.append(UNREAD)
    whole = book_of(log)
    for concern in whole.concerns():
        event(f"concern {concern.kind}")
    heard = log + chance.sample(log, chance.randrange(len(log) + 1))
    chance.shuffle(heard)
    other = Book()
    while heard:
        cut = chance.randrange(1, len(heard) + 1)
        other.add(heard[:cut])
        del heard[:cut]
    assert other.state_hash() == whole.state_hash()
    assert other.concerns() == whole.concerns()
    assert shelf(other) == shelf(whole)


@given(records())
def test_one_at_a_time_equals_the_whole_and_every_step_is_sound(told: list[Record]) -> None:
    log = entries(told)
    singly = Book()
    for entry in log:
        singly.add([entry])
        assert_sound(singly)
    assert singly.state_hash() == book_of(log).state_hash()


@given(records(), st.integers(-10, 600))
def test_any_day_can_be_shown_as_it_is_known_now_and_as_it_was_known_then(
    told: list[Record], t: int
) -> None:
    log = entries(told)
    book = book_of(log)
    then = book.as_of(ms(t))
    assert_sound(then)
    then.concerns()
    known = book.known_at(log[len(log) // 2].received)
    assert known.state_hash() == book_of(log[: len(log) // 2 + 1]).state_hash()
    last = max(book.place(record.name) for record in told)
    assert shelf(book.as_of(last)) == shelf(book)


@given(records(), st.data())
def test_a_record_taken_back_leaves_what_there_would_be_without_it(
    told: list[Record], data: st.DataObject
) -> None:
    """But for the bring-ins, on which other records stand, and for what somebody calls a double."""
    doubled = {r.body.same_as for r in told if isinstance(r.body, Voided)}
    able = [
        i for i, record in enumerate(told)
        if not isinstance(record.body, (*MAKERS, *AMENDING)) and record.name not in doubled
    ]  # fmt: skip
    if not able:
        return
    gone = data.draw(st.sampled_from(able))
    void = Record(
        household="hollow", device="late", seq=1, stamp=Stamp(ms(9_999), 0), at="2026-08-09",
        offset=0, body=Voided(record=told[gone].name),
    )  # fmt: skip
    without = book_of(entries(told[:gone] + told[gone + 1 :]))
    voided = book_of(entries([*told, void]))
    assert shelf(voided) == shelf(without)
    back = msgspec.structs.replace(void, seq=2, body=Voided(record=void.name))
    assert shelf(book_of(entries([*told, void, back]))) == shelf(book_of(entries(told)))


@given(records())
def test_every_record_survives_its_bytes(told: list[Record]) -> None:
    for record in told:
        content = codec.encode(record)
        assert codec.decode(content) == record
        assert codec.read(content) == record
        assert codec.canonical_bytes(content) == content


@given(records())
def test_every_line_of_a_lot_is_of_a_record_that_stands_and_in_order(told: list[Record]) -> None:
    """But for what explains a count and for holds that reach back: they stand before their place."""
    book = book_of(entries(told))
    for lot in book.lots.values():
        places = [
            line.place for line in lot.lines[1:]
            if line.record.explains is None and not isinstance(line.record.body, kinds.Incident)
        ]  # fmt: skip
        assert places == sorted(places)
        for line in lot.lines:
            if line.postings:
                assert book.stands(line.record.name)


def test_every_kind_of_concern_is_raised_by_some_history() -> None:
    seen: collections.Counter[str] = collections.Counter()

    @settings(max_examples=400)
    @given(records())
    def look(told: list[Record]) -> None:
        log: list[Entry | UnreadEntry] = [*entries(told), UNREAD]
        seen.update({concern.kind for concern in book_of(log).concerns()})

    look()
    assert set(typing.get_args(ConcernKind)) - set(seen) == ELSEWHERE, seen
    assert min(seen.values()) > 1, seen


def test_a_kind_that_nobody_knows_is_kept_and_raised() -> None:
    book = book_of([UNREAD])
    assert [concern.kind for concern in book.concerns()] == ["unread-record"]
    assert book.unread["tablet:1"].unread.content == b"{}"


@pytest.mark.parametrize("field", ["position", "received", "sent_by"])
def test_the_fold_reads_nothing_that_the_log_added(field: str) -> None:
    @settings(max_examples=25)
    @given(records())
    def look(told: list[Record]) -> None:
        log = entries(told)
        odd: dict[str, object] = {field: "nobody" if field == "sent_by" else 7}
        other = [msgspec.structs.replace(entry, **odd) for entry in log]
        assert book_of(other).state_hash() == book_of(log).state_hash()

    look()
