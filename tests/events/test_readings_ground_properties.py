"""What must hold of food in the ground for any history, any site and any readings in the bed."""

from datetime import UTC, date, timedelta
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from events.book import Book
from events.kinds import Body, Measured, Stamp, StoreSet
from events.readings.digging import plan
from events.readings.ground import ground
from events.readings.ground_course import course
from events.readings.ground_late import dug_late, not_now
from events.readings.ground_words import by_when, rows_said, state, weeks_closed, winters
from events.readings.rotation import use_first
from events.readings.rows import parcels
from events.readings.seed import seed
from events.readings.soils import understood
from events.record import Entry, Record
from events.tables import load
from events.tables.beds import beds
from service.digests.beds import dig
from service.digests.caution import Cautions
from tests.histories import entries, records
from tests.tale import ms

TABLES, BEDS = load(), beds()
MONTHS = st.lists(st.integers(-15, 30), min_size=12, max_size=12)
FACTS = st.fixed_dictionaries(
    {}, optional={
        "soil": st.sampled_from(["sand", "clay", "peat"]),
        "mulch": st.just("10 in straw"),
        "mulch_share": st.sampled_from(["40 %", "90 %"]),
        "root_depth": st.sampled_from(["5 cm", "12 in"]),
        "closed_from": st.sampled_from(["10 Dec", "Nov", "nonsense"]),
        "closed_to": st.sampled_from(["1 Mar", "Feb"]),
    },
)  # fmt: skip
READ = st.lists(st.tuples(st.integers(0, 600), st.integers(-20, 35)), max_size=5)


def said_first(facts: dict[str, str], read: list[tuple[int, int]]) -> list[Entry]:
    """Every store of the histories a bed, and what was read in one of them."""
    bodies: list[tuple[int, Body]] = [
        *(
            (0, StoreSet(store=store, facts={"kind": "ground"} | facts))
            for store in ("cellar", "shed")
        ),
        *((day, Measured(store="cellar/bin", celsius_milli=c * 1000)) for day, c in sorted(read)),
    ]
    return entries([
        Record(household="hollow", device="desk", seq=seq, stamp=Stamp(ms(day * 1440), seq),
               body=body, at="2026-08-01" if not day else f"{date(2026, 8, 1) + timedelta(day)}",
               offset=0)
        for seq, (day, body) in enumerate(bodies, 1)
    ])  # fmt: skip


def facts_of(months: list[int], facts: dict[str, str]) -> dict[str, str]:
    return {"soil_months": f"{' '.join(map(str, months))} C at 10 cm"} | facts


@given(records(), MONTHS, FACTS, READ, st.integers(0, 700))
def test_nothing_raises_and_every_end_is_in_order(
    told: list[Record], months: list[int], facts: dict[str, str], read: list[tuple[int, int]],
    days: int,
) -> None:  # fmt: skip
    book = Book()
    book.add(said_first(facts_of(months, facts), read))
    book.add(entries(told))
    today = date(2026, 8, 1) + timedelta(days)
    found = ground(book, TABLES, today, UTC)
    there = {
        (row.store, row.name)
        for row in parcels(book)
        if book.settings.kind_of(row.store) == "ground"
    }
    assert {(bed.store, one.name) for bed in found for one in bed.lots} == there
    courses = [(bed.store, bed.on) for bed in found if bed.on is not None]
    for kept in seed(book, TABLES, BEDS, today, courses):
        for when in kept.planting:
            assert today <= when.first <= (when.last or when.first)
    late = dug_late(book, TABLES, use_first(book, TABLES), today, UTC)
    assert all(said.startswith("Dug when ") for said in late.values())
    apart = not_now(book, TABLES, today, UTC)
    assert set(apart) <= there
    assert all(shut.words for shut in apart.values())
    for row in parcels(book, apart):
        assert row.offered <= (row.shut is None or not row.shut.sure)
    dug = dig(book, TABLES, today, UTC, Cautions(book, TABLES))
    assert {item.lot for item in dug} <= {one.name for bed in found for one in bed.lots}
    for bed in found:
        assert bed.celsius is not None
        assert bed.celsius[0] <= bed.celsius[1] <= bed.celsius[2]
        assert state(bed)
        assert winters(bed, today) is not None
        for s in bed.closed:
            assert s.first <= s.last
        for one in bed.lots:
            assert one.since <= today
            for end in one.ends:
                marks = [mark for mark in (end.first, end.likely, end.last) if mark is not None]
                assert marks == sorted(marks)
                assert end.first >= max(one.since, today - timedelta(days=801))
            assert by_when(bed, one, today)
            assert weeks_closed(bed, one, today) * 7 <= (today - one.since).days + 1
            if one.rows is not None:
                assert rows_said(one.rows, one, bed.store)


@given(MONTHS, st.integers(0, 25), st.integers(0, 360))
def test_warmer_normals_make_no_day_of_the_course_colder(
    months: list[int], more: int, day: int
) -> None:
    courses = []
    for shift in (0, more):
        said = understood(facts_of([m + shift for m in months], {}).get, BEDS)
        assert said is not None
        courses.append(course(said, [], date(2026, 1, 1), 365))
    for cold, warm in zip(courses[0].on(date(2026, 1, 1) + timedelta(day)),
                          courses[1].on(date(2026, 1, 1) + timedelta(day)), strict=True):  # fmt: skip
        assert warm >= cold - 1e-9


@given(st.integers(1, 500), st.integers(1, 80), st.integers(1, 5), st.integers(-5, 200),
       st.sets(st.integers(0, 200)))  # fmt: skip
def test_a_plan_digs_all_it_says_once_and_never_on_a_closed_day(
    much: int, load: int, weekly: int, ahead: int, shut: set[int]
) -> None:
    today = date(2027, 1, 1)
    closed = {today + timedelta(day) for day in shut}
    by = today + timedelta(ahead)
    found = plan(Fraction(much), Fraction(load), weekly, today, by, lambda day: day not in closed)
    assert sum(d.n for d in found.days) + found.n_short == much
    assert sum(d.loads for d in found.days) + found.short == found.loads == -(-much // load)
    assert all(0 < d.loads <= weekly and 0 < d.n <= weekly * load for d in found.days)
    assert not closed & {d.day for d in found.days}
    if ahead > 0:
        assert all(today <= d.day < by for d in found.days)
    for one, other in zip(found.days, found.days[1:], strict=False):
        assert (other.day - one.day).days >= 7
