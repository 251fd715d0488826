"""What stands in ground that cannot be dug, or was not dug in time, is there and is not counted on."""

from datetime import UTC, date

import pytest

from events.keeping.life import NoLife
from events.kinds import GRAIN, Measured, StoreSet
from events.readings import have, on_hand
from events.readings.ground_late import dug_late, not_now
from events.readings.ground_shut import Shut
from events.readings.ground_words import winters
from events.readings.rotation import use_first
from events.readings.rows import told
from events.readings.used import used
from events.tables import load
from tests.build import Household
from tests.events.test_readings_ground import Garden
from tests.tale import About, day, makes

TABLES = load()
JANUARY = date(2027, 1, 20)


def garden(**facts: str) -> Garden:
    home = Garden(**facts)
    home.tell(StoreSet(store="cellar", facts={"kind": "cellar"}), "2026-01-02")
    home.sows(About(40, 30, 50), "parsnips", "2026-10-04")
    home.bring_in(12, "parsnips", "cellar", t=day(100))
    return home


def shut(home: Household, on: date) -> dict[tuple[str, str], Shut]:
    return not_now(home.book, TABLES, on, UTC)


def only(home: Household, on: date = JANUARY) -> Shut:
    (one,) = shut(home, on).values()
    return one


def test_a_frozen_bed_holds_what_nobody_can_eat_until_it_thaws() -> None:
    home = garden()
    found = shut(home, JANUARY)
    # the same thaw that the look at the bed tells of
    until = date(2027, 3, 8), date(2027, 3, 11)
    assert list(found.values()) == [Shut(sure=True, own=False, until=until)]
    assert "until between 8 to 11 Mar 2027" in winters(home.bed("2027-01-20"), JANUARY)[0]
    (total,) = on_hand.totals(home.book, "", found)
    (one,) = total.sums
    assert (one.offered.n, one.plan.n, one.shut.n) == (12 * GRAIN, 12 * GRAIN, 40 * GRAIN)
    assert on_hand.total_told(total) == (
        "12 lb, about 40 (30-50) lb in the ground, not to be counted on now"
    )
    answer = have.answer(home.book, "parsnips", found)
    said = have.sentences(answer, UTC)
    assert said[0] == "parsnips: 12 lb, about 40 (30-50) lb in the ground, not to be counted on now"
    assert "frozen until 8 to 11 Mar 2027: not food now" in said[1]
    rows = have.to_json(answer)["foods"][0]["places"]  # type: ignore[index]
    assert [row["parcels"][0]["in_ground"] for row in rows] == [
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
    assert not only(home, on).sure
    rows = on_hand.parcels(home.book, shut(home, on))
    assert rows[0].offered
    assert "perhaps frozen: try with a fork" in told(rows[0], UTC)


def test_a_bed_closed_by_the_households_own_word_is_no_larder_either() -> None:
    home = garden(soil_months="", closed_from="10 Dec", closed_to="1 Mar")
    assert only(home) == Shut(sure=True, own=True, until=(date(2027, 3, 1), date(2027, 3, 1)))
    assert only(home).words == "closed until 1 Mar 2027: not food now"
    assert shut(home, date(2027, 3, 2)) == {}


def test_a_warm_reading_in_the_bed_opens_it() -> None:
    home = garden()
    home.tell(Measured(store="bed", celsius_milli=4_000), "2027-01-19")
    assert shut(home, JANUARY) == {}


def test_ground_that_never_thaws_in_sight_has_no_day_to_it() -> None:
    home = garden(soil_months="-8 -8 -8 -8 -8 -8 -8 -8 -8 -8 -8 -8 C at 10 cm")
    assert only(home) == Shut(sure=True, own=False, until=None)
    assert only(home).words == "frozen: not food now"
    assert winters(home.bed("2027-01-20"), JANUARY) == ["frozen, and no thaw is in sight"]


def test_of_the_winter_after_only_its_beginning_is_told() -> None:
    home = garden()
    told_of = winters(home.bed("2027-01-20"), JANUARY)
    assert told_of[1] == "frozen again from about 2 to 8 Dec 2027"


def test_rows_that_nobody_dug_in_time_are_not_counted_on_until_somebody_looks() -> None:
    home = garden()
    assert shut(home, date(2027, 4, 10)) == {}
    on = date(2027, 4, 20)
    assert only(home, on).words == "new growth since 13 Apr 2027: look at each"
    (total,) = on_hand.totals(home.book, "", shut(home, on))
    assert total.sums[0].offered.n == 12 * GRAIN
    carrots = Garden()
    carrots.sows(9, "carrots", "2026-10-04")
    assert only(carrots, date(2027, 3, 20)).words == "hard frost since 8 Dec 2026: look at each"


def test_what_is_dug_on_the_last_day_keeps_less_and_no_date_says_by_how_much() -> None:
    home = Garden()
    lot = home.sows(40, "parsnips", "2026-10-04")
    for on, n in (("2026-11-22", 5), ("2027-03-31", 6)):
        store = f"cellar-{n}"
        home.tell(StoreSet(store=store, facts={"kind": "cellar"}), on)
        home.move(
            n, lot, "bed", store, t=(date.fromisoformat(on) - date(2026, 8, 1)).days * 1440.0 + 700
        )
    uses = use_first(home.book, TABLES)
    # new growth from 29 March on, by the warmest that fits
    late = dug_late(home.book, TABLES, uses, date(2027, 4, 1), UTC)
    assert late == {
        (
            "cellar-6",
            lot,
        ): "Dug when new growth may have begun (from 29 Mar 2027): keeps less, by how"
        " much was not read."
    }
    lives = {use.store: (use.to_ms or 0) - use.since_latest for use in uses if use.to_ms}
    assert len(set(lives.values())) == 1


def test_a_house_without_a_bed_is_not_asked() -> None:
    home = Household()
    home.bring_in(3, "parsnips", "cellar")
    assert shut(home, JANUARY) == {}


def test_what_is_dug_past_its_day_has_no_published_life_and_is_to_be_used_soon() -> None:
    home = Garden()
    lot = home.sows(80, "parsnips", "2026-10-04")
    home.tell(StoreSet(store="cellar", facts={"kind": "cellar"}), "2026-11-01")
    home.tell(StoreSet(store="shed", facts={"kind": "cellar"}), "2026-11-01")
    potatoes = home.bring_in(9, "potatoes", "cellar", on="2027-05-20")

    def minute(on: str) -> float:
        return (date.fromisoformat(on) - date(2026, 8, 1)).days * 1440.0 + 700

    home.move(5, lot, "bed", "shed", t=minute("2026-11-22"))
    # new growth has come by 13 April by all that fits
    home.move(5, lot, "bed", "cellar", t=minute("2027-05-22"))
    late, early = (next(u for u in use_first(home.book, TABLES) if (u.lot, u.store) == (lot, at))
                   for at in ("cellar", "shed"))  # fmt: skip
    assert (late.group, late.from_ms, late.to_ms) == ("dug late", None, None)
    assert late.life == NoLife(reason="dug after new growth began: use it soon, no published life")
    assert used(late, late.since + 40 * 86_400_000) is None
    assert (early.group, early.from_ms is None) == ("dated", False)
    order = [use.lot for use in use_first(home.book, TABLES) if use.store == "cellar"]
    assert order == [lot, potatoes]
    assert dug_late(home.book, TABLES, [late], date(2027, 6, 1), UTC) == {}
    (crate,) = home.repack([home.draw(5, lot, "cellar")],
                           [makes(1, "parsnips", "cellar", unit="crate")],
                           t=minute("2027-05-25"))  # fmt: skip
    packed = next(use for use in use_first(home.book, TABLES) if use.lot == crate)
    assert packed.group == "dug late"


def test_what_is_dug_after_hard_frost_is_looked_at_and_has_no_date() -> None:
    home = Garden()
    lot = home.sows(9, "carrots", "2026-10-04")
    home.tell(StoreSet(store="cellar", facts={"kind": "cellar"}), "2026-11-01")
    home.move(5, lot, "bed", "cellar",
              t=(date(2027, 3, 20) - date(2026, 8, 1)).days * 1440.0 + 700)  # fmt: skip
    dug = next(use for use in use_first(home.book, TABLES) if use.store == "cellar")
    assert dug.group == "dug late"
    assert isinstance(dug.life, NoLife)
    assert dug.life.reason.startswith("dug after hard frost: look at each")
