"""What must hold of the order of use, the reorder list and the carrying list, for any history."""

from collections import defaultdict
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from events.book import Book
from events.kinds import GRAIN, Body, FoodSet, Stamp, StoreSet
from events.readings.carrying import carrying
from events.readings.finding import lots_of
from events.readings.reasons import reasons
from events.readings.reorder import levels_of, reorder
from events.readings.rotation import Use, undecided, use_first
from events.readings.rows import owner_of, parcels
from events.readings.used import line, used
from events.record import Entry, Record
from events.tables import load
from tests.histories import FOODS, entries, records
from tests.tale import ms

TABLES = load()
NOW = ms(400 * 24 * 60)
KINDS = {"cellar": "cellar", "kitchen": "kitchen", "shed": "outbuilding"}
MARKS = st.fixed_dictionaries(
    {"refill": st.integers(1, 40), "par": st.integers(40, 90), "shelf_par": st.integers(1, 60)},
    optional={"pack": st.integers(1, 25)},
)


def set_up(marks: dict[str, int]) -> list[Entry]:
    """The household's set-up, said by a device of its own before all else."""
    facts = {name: f"{n} lb" for name, n in marks.items()} | {"shelf": "kitchen"}
    bodies: list[Body] = [
        *(StoreSet(store=store, facts={"kind": kind}) for store, kind in KINDS.items()),
        *(FoodSet(food=food, facts=facts) for food in FOODS),
    ]
    told = [
        Record(household="hollow", device="desk", seq=seq, stamp=Stamp(ms(0), seq), body=body,
               at="2026-08-01", offset=0)
        for seq, body in enumerate(bodies, 1)
    ]  # fmt: skip
    return entries(told)


def book_of(told: list[Record], marks: dict[str, int]) -> Book:
    book = Book()
    book.add(set_up(marks))
    book.add(entries(told))
    return book


@given(records(), MARKS)
def test_all_that_is_free_is_in_the_order_once(told: list[Record], marks: dict[str, int]) -> None:
    book = book_of(told, marks)
    free: dict[str, int] = defaultdict(int)
    for lot in book.lots.values():
        for parcel in lot.parcels:
            marked = parcel.holds or parcel.asides or parcel.doubt
            if lot.identity is not None and not owner_of(lot) and not marked:
                free[lot.name] += parcel.n
    offered: dict[str, int] = defaultdict(int)
    uses = use_first(book, TABLES)
    for use in uses:
        offered[use.lot] += use.n
    for one in undecided(book, TABLES):
        assert one.lot not in offered
        offered[one.lot] = one.n
    assert {lot: n for lot, n in offered.items() if n} == {lot: n for lot, n in free.items() if n}
    assert len({(use.lot, use.store, use.opened is None) for use in uses}) == len(uses)


@given(records(), MARKS, st.integers(0, 3_000))
def test_from_is_before_likely_before_to_and_so_are_the_shares(
    told: list[Record], marks: dict[str, int], days: int
) -> None:
    now = ms(days * 24 * 60)
    for use in use_first(book_of(told, marks), TABLES):
        assert reasons(use, TABLES)
        _in_order(use)
        share = used(use, now)
        drawn = line(use, now, 24)
        assert (share is None) == (use.from_ms is None) == (drawn == "")
        if share is None or use.from_ms is None:
            continue
        assert drawn.strip(">+")[0] == "["
        assert len(drawn.strip("[]>+")) == 24
        assert share.least is None or share.least <= share.most
        assert (share.most >= 100) == (now >= use.from_ms)


def _in_order(use: Use) -> None:
    if use.from_ms is not None and use.to_ms is not None:
        assert use.likely_ms is not None
        assert use.from_ms <= use.likely_ms <= use.to_ms
    else:
        assert use.likely_ms is None


@given(records(), MARKS)
def test_what_is_low_is_brought_up_to_its_par_and_what_is_not_is_left(
    told: list[Record], marks: dict[str, int]
) -> None:
    book = book_of(told, marks)
    found = reorder(book, NOW)
    for need in found.needs:
        coming = sum((one.n or Fraction(0) for one in need.waiting), Fraction(0))
        par = need.marks.par or Fraction(0)
        assert need.there >= 0
        if need.low_since is None:
            assert need.get == 0
            assert need.marks.refill is not None
            assert need.there >= need.marks.refill
            continue
        assert need.there + coming + need.get >= par
        pack = need.marks.pack or Fraction(0)
        assert need.get == 0 or need.there + coming + need.get < par + max(pack, Fraction(1, GRAIN))


@given(records(), MARKS)
def test_levels_end_at_what_there_is(told: list[Record], marks: dict[str, int]) -> None:
    book = book_of(told, marks)
    for food in FOODS:
        lots = [lot for lot in lots_of(book, food) if lot.unit == "lb" and not owner_of(lot)]
        levels = levels_of(lots, "lb", [], 0)
        there = Fraction(sum(lot.on_hand for lot in lots), GRAIN)
        assert (levels[-1].n if levels else 0) == there
        assert [level.at for level in levels] == sorted(level.at for level in levels)


@given(records(), MARKS)
def test_what_is_to_be_carried_is_there_free_and_no_more_than_is_wanted(
    told: list[Record], marks: dict[str, int]
) -> None:
    book = book_of(told, marks)
    there: dict[tuple[str, str], int] = defaultdict(int)
    for row in parcels(book):
        if row.offered and not row.opened:
            there[row.name, row.store] += row.amount.low
    for carry in carrying(book).carries:
        came = Fraction(0)
        for piece in carry.pieces:
            assert 0 < piece.n <= there[piece.name, piece.store]
            assert not piece.store.startswith("kitchen")
            if piece.content is not None:
                assert piece.n % GRAIN == 0
            if piece.unit == "lb":
                came += Fraction(piece.n, GRAIN)
        assert came <= carry.wanted
        assert carry.short + came <= carry.wanted + Fraction(1, GRAIN) * len(carry.pieces)
