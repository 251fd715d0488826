"""What stands in the ground, in stories: when it can be dug, by when it has to be, what is left.

The site is the example of the tables unless a story says another; a made-up one is called so.
"""

from datetime import UTC, date, timedelta
from fractions import Fraction

import pytest
from msgspec.structs import replace

from events.kinds import GRAIN, Body, Measured, Received, StoreSet
from events.quantity import NotUnderstood
from events.readings.digging import plan
from events.readings.ground import Bed, InGround, ground
from events.readings.ground_course import course, frozen
from events.readings.ground_words import by_when, just_thawed, rows_said, weeks_closed, winters
from events.readings.soils import understood
from events.tables import load
from events.tables.beds import beds
from tests.build import Household
from tests.tale import About, Much, amount

TABLES = load()
MARITIME = "4.5 4.5 5.5 8 11.5 14.5 16.5 16 14 11 7.5 5.5 C at 10 cm"
"""A cool place by the sea, made up."""


class Garden(Household):
    """A household with one bed, asked on a day."""

    def __init__(self, **facts: str) -> None:
        super().__init__()
        said = {"kind": "ground", "soil_months": "mitchell-nebraska"} | facts
        facts = {fact: text for fact, text in said.items() if text}
        self.tell(StoreSet(store="bed", facts=facts), "2026-01-01")

    def tell(self, body: Body, on: str) -> str:
        """Said and written on that day (ISO 8601)."""
        minutes = (date.fromisoformat(on) - date(2026, 8, 1)).days * 1440.0 + 600
        return self.say(body, t=minutes, written=minutes)

    def sows(self, much: Much, food: str, on: str, rows: str = "", unit: str = "ft") -> str:
        """A crop stands in the bed, so much of it over so many of a row."""
        n = amount(much, "lb")
        if rows:
            n = replace(n, beside_n=int(rows) * GRAIN, beside_unit=unit)
        lot = f"{self.tell(Received(food=food, amount=n, store='bed'), on)}:0"
        self.units[lot] = "lb"
        return lot

    def reads(self, celsius: float, on: str) -> None:
        self.tell(Measured(store="bed", celsius_milli=round(celsius * 1000)), on)

    def bed(self, on: str) -> Bed:
        (bed,) = ground(self.book, TABLES, date.fromisoformat(on), UTC)
        return bed

    def only(self, on: str) -> tuple[Bed, InGround]:
        bed = self.bed(on)
        (one,) = bed.lots
        return bed, one


def beside(much: Much, length: int, unit: str = "ft") -> Much:
    """So much of a crop, and how much of the row it stood in."""
    return replace(amount(much, "lb"), beside_n=length * GRAIN, beside_unit=unit)


FORTY = About(40, 30, 50)


# -- by when ---------------------------------------------------------------------------------------


def test_parsnips_stand_frost_and_are_dug_before_they_grow_again() -> None:
    garden = Garden()
    garden.sows(FORTY, "parsnips", "2026-10-04")
    bed, one = garden.only("2026-11-22")
    (end,) = one.ends
    # 4.4 °C by the warmest that fits, 7.2 °C by the coldest; normals at 20 cm pass 4.4 at the end of March
    assert (end.what, end.first, end.last) == ("new growth", date(2027, 3, 29), date(2027, 4, 13))
    assert end.likely == date(2027, 4, 5)
    assert (end.celsius, end.sources, end.measured_in) == ((4.4, 7.2), ("aib410_root",), ("store",))
    assert one.stands_frost
    assert bed.reach == "yes"
    assert "a figure for stores; USDA" in by_when(bed, one, date(2026, 11, 22))[0]


def test_bare_carrots_are_dug_before_the_ground_around_them_freezes() -> None:
    garden = Garden()
    garden.sows(FORTY, "carrots", "2026-10-04")
    _, one = garden.only("2026-11-22")
    assert [end.what for end in one.ends] == ["hard frost", "new growth"]
    frost = one.ends[0]
    assert (frost.first, frost.last) == (date(2026, 12, 2), date(2026, 12, 8))
    assert frost.sources == ("ext_ask_mn",)
    assert not one.stands_frost


def test_a_mulch_puts_frost_off_and_growth_too() -> None:
    bare, under = Garden(), Garden(mulch="10 in straw")
    share = Garden(mulch_share="50 %")
    ends = []
    for garden in (bare, under, share):
        garden.sows(FORTY, "carrots", "2026-10-04")
        ends.append(garden.only("2026-11-22")[1].ends)
    assert ends[1][0].likely is not None
    assert ends[0][0].likely is not None
    assert ends[1][0].likely > ends[0][0].likely
    assert [end.what for end in ends[2]] == ["new growth"]  # half the swing never freezes there


def test_potatoes_by_the_sea_are_likely_dug_in_april() -> None:
    # common practice, no source read: under straw, before the soil warms, about April
    garden = Garden(soil_months=MARITIME)
    garden.sows(FORTY, "potatoes", "2026-10-04")
    _, one = garden.only("2027-01-15")
    (end,) = one.ends
    assert end.what == "new growth"
    assert end.likely is not None
    assert end.likely.month == 4
    assert end.last is not None
    assert end.first < end.likely < end.last
    # it never cools to 4 °C there: it warms from its coldest week on
    assert date(2027, 1, 20) < end.first < date(2027, 2, 15)


def test_bare_potatoes_freeze_where_winter_is_hard() -> None:
    garden = Garden()
    garden.sows(FORTY, "potatoes", "2026-10-04")
    _, one = garden.only("2026-11-22")
    # -2.8 °C at 10 cm for a week: the normals of January are -3.94 at 20 cm
    assert one.ends[0].what == "hard frost"
    assert one.ends[0].first > date(2026, 12, 15)


def test_the_next_winters_frost_is_not_this_ones() -> None:
    garden = Garden(mulch_share="80 %")
    garden.sows(FORTY, "carrots", "2026-10-04")
    garden.reads(4.0, "2026-12-20")  # warm for the season: frost may come to it in January, or not
    frost, growth = garden.only("2026-12-22")[1].ends
    assert (frost.first, frost.last) == (date(2027, 1, 18), None)
    assert (growth.what, growth.first.year) == ("new growth", 2027)
    garden = Garden(mulch_share="80 %")
    garden.sows(FORTY, "carrots", "2026-10-04")
    garden.reads(6.0, "2026-12-20")
    (only,) = garden.only("2026-12-22")[1].ends  # and none a year from now is told
    assert only.what == "new growth"


def test_food_that_came_in_this_spring_has_its_end_next_spring() -> None:
    garden = Garden()
    garden.sows(FORTY, "parsnips", "2026-05-20")
    _, one = garden.only("2026-06-01")
    assert one.ends[0].first.year == 2027


def test_no_threshold_and_no_soil_are_said_and_nothing_is_made_up() -> None:
    garden = Garden(soil_months="")
    garden.sows(FORTY, "parsnips", "2026-10-04")
    bed, one = garden.only("2026-11-22")
    assert (one.ends, bed.celsius, bed.reach) == ((), None, "unknown")
    assert one.why_none == "nothing is known of the temperature of its soil"
    leeks = Garden()
    leeks.sows(FORTY, "leeks", "2026-10-04")
    assert leeks.only("2026-11-22")[1].why_none == "no threshold was read for it"


def test_the_day_goes_and_digging_presses() -> None:
    garden = Garden()
    garden.sows(FORTY, "parsnips", "2026-10-04")
    bed, one = garden.only("2027-03-14")
    said = by_when(bed, one, date(2027, 3, 14))[0]
    assert just_thawed(bed, date(2027, 3, 14)) == date(2027, 3, 8)
    assert said.startswith("thawed since 8 Mar 2027, dig now; dig by 29 Mar to 13 Apr 2027")
    bed, one = garden.only("2027-04-20")
    assert by_when(bed, one, date(2027, 4, 20))[0].startswith(
        "dig now, and look at each; past since"
    )


# -- frost and thermometers ------------------------------------------------------------------------


def test_weeks_in_which_the_ground_could_not_be_dug() -> None:
    garden = Garden()
    garden.sows(FORTY, "parsnips", "2026-10-04")
    bed, one = garden.only("2027-01-20")
    assert bed.reach == "no"
    assert weeks_closed(bed, one, date(2027, 1, 20)) == 6  # from 8 Dec: 44 days
    assert winters(bed, date(2027, 1, 20))[0] == (
        "frozen: from between 2 to 8 Dec 2026, until between 8 to 11 Mar 2027"
    )
    assert not bed.reachable(date(2027, 1, 20))
    assert bed.reachable(date(2027, 3, 20))


def test_a_reading_in_the_bed_sets_the_curve_right_and_wears_off() -> None:
    warm, plain = Garden(), Garden()
    for garden in (warm, plain):
        garden.sows(FORTY, "parsnips", "2026-10-04")
    warm.reads(4.0, "2026-12-10")
    there, usual = warm.bed("2026-12-10"), plain.bed("2026-12-10")
    assert there.read == (date(2026, 12, 10), 4.0)
    assert there.celsius is not None
    assert usual.celsius is not None
    off = there.celsius[1] - usual.celsius[1]
    assert there.celsius[1] == pytest.approx(4.0, abs=0.6)  # the week's mean, in a cooling week
    later, then = warm.bed("2027-01-07"), plain.bed("2027-01-07")
    assert later.celsius is not None
    assert then.celsius is not None
    assert later.celsius[1] - then.celsius[1] == pytest.approx(off / 2, rel=0.1)
    assert (there.reach, usual.reach) == ("yes", "no")


def test_a_reading_to_come_and_one_of_a_barn_tell_nothing_of_the_bed_today() -> None:
    garden = Garden()
    garden.sows(FORTY, "parsnips", "2026-10-04")
    before = garden.bed("2026-12-01").celsius
    garden.reads(9.0, "2026-12-20")
    garden.tell(StoreSet(store="barn", facts={"kind": "outbuilding"}), "2026-12-21")
    garden.tell(Measured(store="barn", celsius_milli=15_000), "2026-11-30")
    assert garden.bed("2026-12-01").celsius == before


def test_a_bed_is_closed_by_the_households_own_word() -> None:
    garden = Garden(soil_months="", closed_from="10 Dec", closed_to="1 Mar")
    garden.sows(FORTY, "leeks", "2026-10-04")
    assert garden.bed("2026-12-09").reach == "unknown"
    bed, one = garden.only("2027-01-10")
    assert bed.reach == "no"
    assert weeks_closed(bed, one, date(2027, 1, 10)) == 4
    assert "closed 10 Dec 2026 to 1 Mar 2027, by your own word" in winters(bed, date(2027, 1, 10))
    wrong = Garden(closed_from="when it snows", closed_to="1 Mar")
    wrong.sows(FORTY, "leeks", "2026-10-04")
    assert "when it snows" in wrong.bed("2026-12-09").unread


def test_the_course_is_the_wave_of_its_days() -> None:
    said = understood({"soil_months": "mitchell-nebraska", "root_depth": "20 cm"}.get, beds())
    assert said is not None
    on = course(said, [], date(2026, 1, 1), 365)
    # the week around the middle of a month against its normal, within what a sine is good for
    for month, normal in ((1, -3.94), (4, 9.23), (7, 25.13), (10, 10.84)):
        low, likely, high = on.on(date(2026, month, 18))
        assert low < likely < high
        assert likely == pytest.approx(normal, abs=1.1)
    assert [s.sure for s in frozen(on)].count(True) == 2  # one winter at each end of the year
    with pytest.raises(IndexError):
        on.on(date(2027, 1, 1))


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"soil_months": "1 2 3"}, "write twelve figures"),
        ({"soil_months": f"{'99 ' * 12}C at 10 cm"}, "no soil is so hot"),
        ({"soil": "snow"}, "write clay, peat, sand"),
        ({"mulch_share": "some"}, "like 60 %"),
        ({"mulch_share": "101 %"}, "like 60 %"),
        ({"root_depth": "deep"}, "like 15 cm or 6 in"),
    ],
)
def test_what_is_not_understood_of_a_soil_is_said(facts: dict[str, str], says: str) -> None:
    with pytest.raises(NotUnderstood, match=says):
        understood(facts.get, beds())


def test_own_normals_in_fahrenheit_and_inches() -> None:
    said = understood({"soil_months": f"{'50 ' * 12}F at 4 in", "soil": "clay"}.get, beds())
    assert said is not None
    assert said.curves[0].mean == pytest.approx(10)
    assert said.curves[0].swing == pytest.approx(0, abs=1e-9)
    assert said.site == ""


# -- how much --------------------------------------------------------------------------------------


def test_a_bed_whose_far_end_proves_hollow() -> None:
    """Eaten from below; and for weeks the ground was too hard to find out."""
    garden = Garden()
    lot = garden.sows(FORTY, "parsnips", "2026-10-04", rows="40")
    garden.move(beside(10, 8), lot, "bed", "barn", t=100.0 * 1440)  # 9 Nov
    garden.move(beside(8, 8), lot, "bed", "barn", t=120.0 * 1440)  # 29 Nov
    bed, one = garden.only("2027-02-01")
    assert bed.reach == "no"
    assert one.rows is not None
    assert [int(n) for n in (one.rows.left, one.rows.gave)] == [24, 18]
    assert one.rows.each == (Fraction(1), Fraction(9, 8), Fraction(5, 4))
    garden.spoil(beside(About(12, 9, 15), 12), lot, "bed", cause="pests", t=225.0 * 1440)  # 14 Mar
    bed, one = garden.only("2027-03-15")
    assert weeks_closed(bed, one, date(2027, 3, 15)) == 13
    assert one.rows is not None
    assert one.rows.left == one.rows.lost == 12
    assert one.rows.causes == ("pests",)
    rest = one.rows.rest
    assert rest is not None
    assert (rest.low, rest.n, rest.high) == (12 * GRAIN, round(13.5 * GRAIN), 15 * GRAIN)
    # in the books: 40 (30-50) less 18, less 12 (9-15)
    assert (one.offered.n, one.offered.low, one.offered.high) == (10 * GRAIN, 0, 23 * GRAIN)
    said = rows_said(one.rows, one, "bed")
    assert said[0].startswith(
        "16 of 40 ft dug gave 18 lb, 12 ft lost (pests); 12 ft left: by length"
    )
    assert f'girnel count "12-15 lb" {one.lot} --in bed' in said[1]
    assert garden.lot(lot).totals.get("consumed") is None  # what the mice ate is no use


def test_one_digging_says_little_and_its_range_is_wide() -> None:
    garden = Garden()
    lot = garden.sows(FORTY, "parsnips", "2026-10-04", rows="40")
    garden.move(beside(12, 10), lot, "bed", "barn", t=100.0 * 1440)
    rows = garden.only("2026-11-22")[1].rows
    assert rows is not None
    assert rows.rest is not None
    # 1.2 lb a foot over the 30 ft left, fifteen in the hundred either way
    assert [rows.rest.low, rows.rest.n, rows.rest.high] == [
        round(Fraction(n) * GRAIN) for n in ("30.6", "36", "41.4")
    ]  # fmt: skip


def test_a_count_by_length_begins_the_row_anew() -> None:
    garden = Garden()
    lot = garden.sows(FORTY, "parsnips", "2026-10-04", rows="40")
    garden.move(beside(10, 8), lot, "bed", "barn", t=100.0 * 1440)
    garden.count(beside(About(20, 15, 25), 18), lot, "bed", t=110.0 * 1440)
    rows = garden.only("2026-12-01")[1].rows
    assert rows is not None
    assert [int(n) for n in (rows.whole, rows.dug, rows.left)] == [18, 0, 18]


def test_a_part_that_is_counted_begins_nothing_anew() -> None:
    garden = Garden()
    lot = garden.sows(FORTY, "parsnips", "2026-10-04", rows="40")
    garden.count(beside(5, 4), lot, "bed", part=True, t=110.0 * 1440)
    rows = garden.only("2026-12-01")[1].rows
    assert rows is not None
    assert rows.whole == 40


def test_what_is_said_to_be_in_a_part_of_the_bed_is_not_dug() -> None:
    garden = Garden()
    lot = garden.sows(FORTY, "parsnips", "2026-10-04", rows="40")
    garden.move(beside(10, 8), lot, "bed", "bed/north", t=110.0 * 1440)
    found = ground(garden.book, TABLES, date(2026, 12, 1), UTC)
    rows = {bed.store: one.rows for bed in found for one in bed.lots}
    assert {bed: (int(r.whole), int(r.dug)) for bed, r in rows.items() if r} == {
        "bed": (32, 0), "bed/north": (8, 0),
    }  # fmt: skip


def test_plants_are_counted_as_a_row_is_measured() -> None:
    garden = Garden()
    lot = garden.sows(About(30, 20, 40), "leeks", "2026-10-04", rows="60", unit="plant")
    garden.move(beside(6, 10, "plant"), lot, "bed", "barn", t=100.0 * 1440)
    rows = garden.only("2026-12-01")[1].rows
    assert rows is not None
    assert rows.unit == "plant"
    assert rows.left == 50
    assert rows.rest is not None
    assert rows.rest.n == 30 * GRAIN


def test_a_second_measure_that_is_no_length_tells_nothing_of_the_row() -> None:
    garden = Garden()
    garden.sows(FORTY, "parsnips", "2026-10-04", rows="80", unit="piece")
    assert garden.only("2026-12-01")[1].rows is None


def test_seed_is_kept_back_and_not_planned_with() -> None:
    garden = Garden()
    lot = garden.sows(90, "potatoes", "2026-10-04")
    garden.set_aside(lot, "bed", 15, t=70.0 * 1440)
    _, one = garden.only("2026-12-01")
    assert one.offered.n == 75 * GRAIN
    assert [(why, much.n) for why, much in one.apart] == [("kept back", 15 * GRAIN)]


def test_what_is_dug_and_stands_in_the_barn_is_no_longer_in_the_ground() -> None:
    garden = Garden()
    lot = garden.sows(40, "parsnips", "2026-10-04")
    garden.move(40, lot, "bed", "barn", rest=True, t=100.0 * 1440)
    assert garden.bed("2026-12-01").lots == ()


# -- days to dig on --------------------------------------------------------------------------------


def test_loads_a_week_set_the_days_counted_back_from_the_end() -> None:
    found = plan(
        Fraction(60), Fraction(35, 2), 2, date(2027, 2, 1), date(2027, 3, 29), lambda _: True
    )
    # four loads of 17.5 lb, the last not full; two a week: two days, the later one the day before the end
    assert [(d.day, d.loads, int(d.n)) for d in found.days] == [
        (date(2027, 3, 21), 2, 25), (date(2027, 3, 28), 2, 35),
    ]  # fmt: skip
    assert (found.loads, found.short) == (4, 0)


def test_closed_days_are_passed_over() -> None:
    shut = {date(2027, 3, 28) - timedelta(days=back) for back in range(10)}
    found = plan(Fraction(35), Fraction(35), 1, date(2027, 3, 1), date(2027, 3, 29),
                 lambda day: day not in shut)  # fmt: skip
    assert [d.day for d in found.days] == [date(2027, 3, 18)]


def test_what_no_week_is_left_for_is_said() -> None:
    found = plan(
        Fraction(100), Fraction(20), 1, date(2027, 3, 15), date(2027, 3, 29), lambda _: True
    )
    assert [(d.day, int(d.n)) for d in found.days] == [
        (date(2027, 3, 21), 20),
        (date(2027, 3, 28), 20),
    ]
    assert (found.loads, found.short, int(found.n_short)) == (5, 3, 60)


def test_without_an_end_it_begins_today_and_without_an_open_day_never() -> None:
    found = plan(Fraction(30), Fraction(20), 1, date(2027, 3, 15), None, lambda _: True)
    assert [(d.day, int(d.n)) for d in found.days] == [
        (date(2027, 3, 15), 10),
        (date(2027, 3, 22), 20),
    ]
    never = plan(Fraction(30), Fraction(20), 1, date(2027, 3, 15), None, lambda _: False)
    assert (len(never.days), never.short, int(never.n_short)) == (0, 2, 30)
