"""What stands in ground that cannot be dug is there, and is not food now."""

from datetime import UTC, date

import pytest

from events.kinds import GRAIN, Measured, StoreSet
from events.readings import have, on_hand
from events.readings.ground_reach import Shut, shut_beds
from events.readings.ground_words import winters
from events.readings.rows import told
from tests.build import Household
from tests.events.test_readings_ground import Garden
from tests.tale import About, day

JANUARY = date(2027, 1, 20)


def garden(**facts: str) -> Garden:
    home = Garden(**facts)
    home.tell(StoreSet(store="cellar", facts={"kind": "cellar"}), "2026-01-02")
    home.sows(About(40, 30, 50), "parsnips", "2026-10-04")
    home.bring_in(12, "parsnips", "cellar", t=day(100))
    return home


def shut(home: Household, on: date) -> dict[str, Shut]:
    return shut_beds(home.book, on, UTC)


def test_a_frozen_bed_holds_what_nobody_can_eat_until_it_thaws() -> None:
    home = garden()
    found = shut(home, JANUARY)
    # the same thaw that the look at the bed tells of
    assert found == {"bed": Shut(sure=True, own=False, until=(date(2027, 3, 8), date(2027, 3, 11)))}
    assert "until between 8 to 11 Mar 2027" in winters(home.bed("2027-01-20"), JANUARY)[0]
    (total,) = on_hand.totals(home.book, "", found)
    (one,) = total.sums
    assert (one.offered.n, one.plan.n, one.shut.n) == (12 * GRAIN, 12 * GRAIN, 40 * GRAIN)
    assert on_hand.total_told(total) == (
        "12 lb, about 40 (30-50) lb in ground that cannot be dug now"
    )
    answer = have.answer(home.book, "parsnips", found)
    said = have.sentences(answer, UTC)
    assert said[0] == "parsnips: 12 lb, about 40 (30-50) lb in ground that cannot be dug now"
    assert "frozen until 8 to 11 Mar 2027: not food now" in said[1]
    rows = have.to_json(answer)["foods"][0]["places"]  # type: ignore[index]
    assert [row["parcels"][0]["cannot_be_dug"] for row in rows] == [
        "frozen until 8 to 11 Mar 2027: not food now", None,
    ]  # fmt: skip


@pytest.mark.parametrize("on", ["2026-11-22", "2027-03-20"])
def test_before_the_frost_and_after_the_thaw_it_is_food(on: str) -> None:
    home = garden()
    found = shut(home, date.fromisoformat(on))
    assert found == {}
    (total,) = on_hand.totals(home.book, "", found)
    assert total.sums[0].offered.n == 52 * GRAIN


def test_what_is_perhaps_frozen_counts_and_is_said() -> None:
    home = garden()
    on = date(2026, 12, 5)
    (bed,) = shut(home, on).values()
    assert not bed.sure
    rows = on_hand.parcels(home.book, {"bed": bed})
    assert rows[0].offered
    assert "perhaps frozen: try with a fork" in told(rows[0], UTC)


def test_a_bed_closed_by_the_households_own_word_is_no_larder_either() -> None:
    home = garden(soil_months="", closed_from="10 Dec", closed_to="1 Mar")
    assert shut(home, JANUARY) == {
        "bed": Shut(sure=True, own=True, until=(date(2027, 3, 1), date(2027, 3, 1)))
    }
    assert shut(home, JANUARY)["bed"].words == "closed until 1 Mar 2027: not food now"
    assert shut(home, date(2027, 3, 2)) == {}


def test_a_warm_reading_in_the_bed_opens_it() -> None:
    home = garden()
    home.tell(Measured(store="bed", celsius_milli=4_000), "2027-01-19")
    assert shut(home, JANUARY) == {}


def test_ground_that_never_thaws_in_sight_has_no_day_to_it() -> None:
    home = garden(soil_months="-8 -8 -8 -8 -8 -8 -8 -8 -8 -8 -8 -8 C at 10 cm")
    assert shut(home, JANUARY)["bed"] == Shut(sure=True, own=False, until=None)
    assert shut(home, JANUARY)["bed"].words == "frozen: not food now"
    assert winters(home.bed("2027-01-20"), JANUARY) == ["frozen, and no thaw is in sight"]


def test_of_the_winter_after_only_its_beginning_is_told() -> None:
    home = garden()
    told_of = winters(home.bed("2027-01-20"), JANUARY)
    assert told_of[1] == "frozen again from about 2 to 8 Dec 2027"


def test_a_house_without_a_bed_is_not_asked() -> None:
    home = Household()
    home.bring_in(3, "parsnips", "cellar")
    assert shut(home, JANUARY) == {}
