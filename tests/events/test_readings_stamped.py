"""What a maker's print comes to, and where it puts a package in the order of use."""

import pytest

from events.keeping.life import Life
from events.kinds import DateKind, FoodSet, Received, StoreSet
from events.readings.reasons import reasons
from events.readings.rotation import DAY, Use, use_first
from events.readings.stamped import maker_of, means
from events.tables import load
from tests.build import Household, ms
from tests.tale import amount, day

TABLES = load()
HOUR = 3_600_000


def tins(
    home: Household, printed: str | None, kind: DateKind | None = None, keeping: str | None = None
) -> str:
    body = Received(food="chickpeas", amount=amount(6, "tin"), form="canned", store="room",
                    origin="bought", printed=printed, printed_kind=kind, keeping_from=keeping)  # fmt: skip
    return f"{home.say(body)}:0"


def house() -> Household:
    home = Household()
    home.say(StoreSet(store="room", facts={"kind": "room"}))
    return home


def uses(home: Household) -> dict[str, Use]:
    return {use.lot: use for use in use_first(home.book, TABLES)}


def test_best_by_is_the_date_that_the_order_goes_by() -> None:
    home = house()
    later = tins(home, "BB 5 Apr 2029")
    sooner = tins(home, "5 Sep 2026", "best by")
    plain = tins(home, None)
    found = uses(home)
    # without a print: 2-5 years (USDA, low-acid canned food), from 1 Aug 2028
    assert list(found) == [sooner, plain, later]
    assert found[sooner].by_maker
    assert found[sooner].from_ms == ms(day(36)) - 8 * HOUR  # 36 August is the 5th of September
    assert found[sooner].to_ms == ms(day(37)) - 8 * HOUR - 1
    assert found[sooner].likely_ms is not None
    assert not found[plain].by_maker
    assert isinstance(found[later].life, Life)  # the published life stays at hand


def test_best_by_never_lapses_and_use_by_does_when_its_day_is_over() -> None:
    home = house()
    best, use_by = tins(home, "best before 5 Sep 2026"), tins(home, "use by 5 Sep 2026")
    found = uses(home)
    end = ms(day(37)) - 8 * HOUR
    assert not found[use_by].lapsed(end - 1)
    assert found[use_by].lapsed(end)
    assert not found[best].lapsed(end + 10**12)


@pytest.mark.parametrize("raw", ["36511", "0195", "L4 3821"])
def test_a_closed_code_is_no_date_until_somebody_says_how_to_read_it(raw: str) -> None:
    home = house()
    lot = tins(home, raw, "code")
    maker = maker_of(home.lot(lot))
    assert maker is not None
    assert (maker.raw, maker.kind, maker.at) == (raw, "code", None)
    assert not uses(home)[lot].by_maker
    assert "no date until" in means(maker)
    home.learn(lot, {"printed": "2027-07-14", "printed_kind": "best by"})
    assert uses(home)[lot].by_maker


def test_a_code_that_reads_like_a_date_is_a_code_where_that_was_said() -> None:
    home = house()
    lot = tins(home, "12 Oct 2026", "code")
    maker = maker_of(home.lot(lot))
    assert maker is not None
    assert maker.at is None
    assert not uses(home)[lot].by_maker


def test_a_date_that_reads_two_ways_dates_nothing_and_says_both() -> None:
    home = house()
    lot = tins(home, "BB 04/05/26")
    use = uses(home)[lot]
    assert not use.by_maker
    why = " ".join(reasons(use, TABLES))
    assert "BB 04/05/26" in why
    assert "4 May 2026" in why
    assert "5 Apr 2026" in why


def test_a_date_without_its_year_dates_nothing() -> None:
    home = house()
    lot = tins(home, "best by 3 Nov")
    assert not uses(home)[lot].by_maker
    assert "no year" in " ".join(reasons(uses(home)[lot], TABLES))


def test_sell_by_and_a_date_of_no_said_kind_date_nothing() -> None:
    home = house()
    shop, bare = tins(home, "sell by 3 Nov 2026"), tins(home, "3 Nov 2026")
    found = uses(home)
    assert not found[shop].by_maker
    assert "for the shop" in reasons(found[shop], TABLES)[0]
    assert not found[bare].by_maker
    assert "does not say what" in reasons(found[bare], TABLES)[0]


def test_packed_on_is_when_keeping_starts_unless_the_household_said_another_day() -> None:
    home = house()
    lot, cured = tins(home, "packed 3 Jul 2026"), tins(home, "3 Jul 2026", "packed",
                                                       keeping="2026-07-20")  # fmt: skip
    found = uses(home)
    assert found[lot].since == ms(day(3)) - 8 * HOUR - 31 * 24 * HOUR
    assert found[cured].since == ms(day(20)) - 8 * HOUR - 31 * 24 * HOUR


def test_an_opened_package_goes_by_its_opening_not_by_what_is_printed() -> None:
    home = house()
    lot = tins(home, "best by 5 Apr 2028")
    home.units[lot] = "tin"
    home.open(1, lot, "room", t=day(9))
    opened, closed = use_first(home.book, TABLES)
    assert (opened.group, opened.by_maker) == ("open", False)
    assert closed.by_maker
    assert "closed package" in reasons(opened, TABLES)[0]


def potatoes() -> Household:
    """Ten pounds of potatoes in a kitchen, where two publications print a life."""
    home = Household()
    home.say(StoreSet(store="kitchen", facts={"kind": "kitchen"}))
    home.bring_in(10, "potatoes", "kitchen", t=day(5))
    return home


def test_a_source_that_the_household_chose_goes_before_the_shortest() -> None:
    home = potatoes()
    (usual,) = use_first(home.book, TABLES)
    assert isinstance(usual.life, Life)
    assert (usual.life.row.source_id, usual.life.low_days) == ("mu_mp557_6", 14)
    home.say(FoodSet(food="potatoes", facts={"source": "isu_winter"}))
    (chosen,) = use_first(home.book, TABLES)
    assert isinstance(chosen.life, Life)
    assert (chosen.life.row.source_id, chosen.life.low_days) == ("isu_winter", 61)
    assert chosen.from_ms == chosen.since + 61 * DAY
    assert "The source you chose." in reasons(chosen, TABLES)
    home.say(FoodSet(food="potatoes", facts={"source": "no-such-source"}))
    assert use_first(home.book, TABLES) == [usual]


def test_the_reasons_name_the_source_and_who_prints_another_figure() -> None:
    assert reasons(use_first(potatoes().book, TABLES)[0], TABLES) == [
        (
            "potato, fresh, cupboard: 2-4 weeks. Storing Food in the Cupboard, MP557, "
            "University of Missouri Extension [mu_mp557_6]."
        ),
        "Likely is the middle of its range: none is published.",
        (
            "Cured before it is stored, 14 days at 10 C (50 F) or so (Iowa State University "
            "Extension); keeping starts with its end where that is said."
        ),
        "Assumed by the kind of store: 10 to 21 C.",
        (
            "Elsewhere: potato, fresh, dark: 2-3 months above 50 F. Storing Winter Storage Vegetables, "
            "Iowa State University Extension [isu_winter]."
        ),
    ]


def test_a_second_hand_figure_is_told_as_such_and_not_gone_by() -> None:
    home = Household()
    home.say(StoreSet(store="fridge", facts={"kind": "refrigerator"}))
    home.bring_in(12, "eggs", "fridge", unit="egg")
    (use,) = use_first(home.book, TABLES)
    assert use.from_ms is None
    assert reasons(use, TABLES) == [
        "No published life.",
        (
            "Not gone by, quoted second-hand from Cold storage chart (reprinted): 3-5 weeks at 40 F "
            "[fsis_cold]."
        ),
    ]
