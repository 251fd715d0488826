"""Every concern is a plain sentence: what, where, by whose records, and what to do."""

from typing import get_args
from zoneinfo import ZoneInfo

import pytest
from msgspec.structs import replace

from events.concerns import Concern, ConcernKind
from events.kinds import DeviceSet, Held, Redated, Stamp
from events.readings.concerns import sentence
from events.readings.lots import codes_of
from events.record import Unread
from tests.build import About, Household, Other, between, day, instant, makes, ms

LONDON = ZoneInfo("Europe/London")


def told(home: Household, kind: ConcernKind) -> str:
    """The one concern of that kind, in words."""
    (concern,) = home.concerns(kind)
    return sentence(home.book, concern, codes_of(home.book), LONDON)


def jars(home: Household, much: int = 12) -> str:
    return home.bring_in(much, "beans", "back-room", unit="jar", t=day(2), by="cook")


def test_every_kind_has_a_sentence_of_its_own() -> None:
    home = Household()
    lot = jars(home)
    home.eat(1, lot, "back-room", t=day(3), by="teen")
    book = home.book
    code = codes_of(book)[lot]
    sentences = {}
    for kind in get_args(ConcernKind):
        concern = Concern(kind=kind, rests_on=("hall:2", "hall:1"), lot=lot, store="back-room",
                          other_store="porch", n=5_040_000, unit="jar", mark="hall:1",
                          detail="hall")  # fmt: skip
        said = sentence(book, concern, {lot: code}, LONDON)
        assert said.endswith((".", "?")), said
        assert said[0].isupper() or said.startswith(("beans", "hall")), said
        assert len(said) < 400, said
        assert "  " not in said
        sentences[kind] = said
    assert len(set(sentences.values())) == len(sentences) == len(get_args(ConcernKind))


@pytest.mark.parametrize("kind", get_args(ConcernKind))
def test_a_concern_of_which_little_is_known_is_told_all_the_same(kind: ConcernKind) -> None:
    assert sentence(Household().book, Concern(kind=kind, rests_on=("a:1",)), {}, LONDON)


def test_what_the_log_never_knew() -> None:
    home = Household()
    lot = jars(home, 1)
    home.eat(3, lot, "back-room", t=day(4), by="teen")
    code = codes_of(home.book)[lot]
    assert told(home, "more-than-known") == (
        f"beans ({code}): 2 jars more gone or seen in back-room than was ever logged (the teen, "
        "Tue 4 Aug 2026 09:00, on hall). It is booked as found: bring in what was forgotten, or "
        "undo that record."
    )


def test_a_count_that_differs_says_which_way() -> None:
    home = Household()
    home.say(DeviceSet(device="tablet", facts={"name": "the kitchen tablet"}))
    lot = jars(home)
    home.count(10, lot, "back-room", t=day(4), by="gardener", device="tablet")
    said = told(home, "count-differs")
    assert (
        "found 2 jars less than the log (the gardener, Tue 4 Aug 2026 09:00, on the kitchen tablet)"
        in said
    )
    assert "not taken for use" in said
    home = Household()
    home.count(14, jars(home), "back-room")
    assert "found 2 jars more than the log" in told(home, "count-differs")


def test_moved_twice_names_both_places() -> None:
    home = Household()
    lot = jars(home)
    home.move(12, lot, "back-room", "loft", by="cook")
    home.move(9, lot, "back-room", "hall", by="teen")
    said = told(home, "moved-short")
    assert "9 jars more carried to hall than stood in back-room" in said
    assert said.endswith("Moved twice? Count it in hall or in loft.")


def test_the_same_move_said_twice_names_both_places_too() -> None:
    home = Household()
    lot = jars(home)
    home.move(12, lot, "back-room", "loft", by="cook")
    home.move(12, lot, "back-room", "loft", by="teen")
    said = told(home, "moved-short")
    assert said.endswith("Moved twice? Count it in loft or in back-room.")


def test_a_lot_that_a_device_chose_and_that_had_too_little_is_asked_by_what_stands_where() -> None:
    home = Household()
    lot = jars(home, 3)
    home.eat(5, lot, "kitchen", t=day(4), picked=True)
    said = told(home, "picked-short")
    assert "None of it is known there, but in back-room: another store?" in said
    home = Household()
    lot = jars(home, 3)
    home.eat(5, lot, "back-room", t=day(4), picked=True)
    assert "So much of it is not known: another amount?" in told(home, "picked-short")
    home = Household()
    lot, other = jars(home, 3), jars(home, 4)
    home.eat(5, lot, "back-room", t=day(4), picked=True)
    assert "another lot there is likely lower" in told(home, "picked-short")
    home.eat(4, other, "back-room", t=day(5))
    assert "another lot there" not in told(home, "picked-short")


def test_carried_unsaid_names_both_places() -> None:
    home = Household()
    home.eat(2, jars(home), "kitchen")
    assert "2 jars in kitchen, logged in back-room" in told(home, "carried-unsaid")


def test_a_short_pick_and_an_estimate_that_was_off() -> None:
    home = Household()
    home.eat(2, jars(home, 1), "back-room", picked=True)
    assert "1 jar taken in back-room that this lot did not have" in told(home, "picked-short")
    home = Household()
    lot = home.bring_in(About(26, 22, 30), "walnuts", "sack")
    home.count(35, lot, "sack")
    assert "came out 5 lb more than the estimate allowed" in told(home, "estimate-off")


def test_a_strange_measure_is_told_as_it_was_typed() -> None:
    home = Household()
    lot = home.bring_in(10, "oats", "bin")
    home.eat(Other("2 bowls", "bowl"), lot, "bin")
    said = told(home, "other-unit")
    assert "2 bowls" in said
    assert "No sum changed" in said


def test_a_likely_double_names_both_writers() -> None:
    home = Household()
    home.bring_in(9, "salsa", "cellar", unit="jar", t=day(6), by="cook")
    home.bring_in(9, "salsa", "cellar", unit="jar", t=day(6) + 600, by="gardener", device="tablet")
    said = told(home, "maybe-double")
    assert "the gardener, Thu 6 Aug 2026 19:00, on tablet" in said
    assert "the cook, Thu 6 Aug 2026 09:00, on hall" in said


def test_lots_that_wait_and_makings_taken_back() -> None:
    home = Household()
    home.eat(2, "barn:9:0", "kitchen", by="teen")
    home.eat(1, "barn:9:0", "kitchen", by="teen")
    said = told(home, "unknown-lot")
    assert said.startswith(f"lot {codes_of(home.book)['barn:9:0']}: nobody has brought it in")
    assert "and 1 more" in said
    home = Household()
    lot = jars(home)
    home.give(3, lot, "back-room")
    home.void(lot.removesuffix(":0"))
    assert "1 record stands on it" in told(home, "making-taken-back")


def test_before_or_after_tells_the_record_from_the_count() -> None:
    home = Household()
    lot = home.bring_in(14, "jam", "pantry", unit="jar", on="2026-07-31", by="cook")
    home.count(10, lot, "pantry", t=day(12), by="gardener")
    home.eat(4, lot, "pantry", on="2026-08-01/2026-08-20", written=day(21), by="teen")
    said = told(home, "before-or-after-count")
    assert "4 jars went by a record" in said
    assert "(the teen, 1 to 20 Aug 2026, on hall; the count: the gardener, Wed 12 Aug 2026" in said
    (concern,) = home.concerns("before-or-after-count")
    turned = replace(concern, rests_on=tuple(reversed(concern.rests_on)))
    assert sentence(home.book, turned, codes_of(home.book), LONDON) == said


def test_held_food_that_was_used_names_the_hold_and_says_eat_no_more() -> None:
    home = Household()
    lot = jars(home)
    home.hold(lot, reason="suspect seal", by="cook", t=day(3))
    home.eat(1, lot, "back-room", by="teen", t=day(4))
    said = told(home, "held-used")
    assert "1 jar used in back-room while held (the teen, " in said
    assert "Held: suspect seal; the cook, Mon 3 Aug 2026 09:00, on hall." in said
    assert "Eat no more of it" in said


def test_a_taste_before_a_step_is_over_is_not_told_like_a_suspect_jar() -> None:
    home = Household()
    lot = home.bring_in(18, "cabbage", "crock", t=day(1))
    home.say(Held(lot=lot, programme="crock", until="2026-09-15"), by="cook", t=day(2))
    home.eat("1/2", lot, "crock", by="teen", t=day(4))
    said = told(home, "held-used")
    assert "1/2 lb used in crock before its step was over (the teen, " in said
    assert "The step: crock; the cook, " in said
    assert "Eat no more" not in said
    home.say(Held(lot=lot, programme="crock", reason="mould on top"), by="cook", t=day(5))
    home.eat(1, lot, "crock", by="teen", t=day(6))
    texts = [
        sentence(home.book, one, codes_of(home.book), LONDON) for one in home.concerns("held-used")
    ]
    assert any("Eat no more of it" in text for text in texts), texts


def test_used_before_the_hold_was_known_says_tell_them() -> None:
    home = Household()
    lot = home.bring_in(6, "peas", "chest", t=day(1))
    home.eat(1, lot, "chest", t=day(2), by="teen")
    home.incident("chest", between(day(1) + 60, day(2) + 60), what="power", t=day(4))
    said = told(home, "used-before-hold")
    assert "1 lb used before the hold was known (the teen" in said
    assert "Held: power, chest; " in said
    assert "tell them" in said


def test_jars_given_before_the_hold_was_known_name_who_got_them() -> None:
    home = Household()
    lot = home.bring_in(6, "peas", "chest", unit="jar", t=day(1))
    home.give(2, lot, "chest", t=day(2), by="teen", to="aunt")
    home.incident("chest", between(day(1) + 60, day(2) + 60), what="power", t=day(4))
    said = told(home, "used-before-hold")
    assert "2 jars given to aunt before the hold was known (the teen" in said
    assert said.endswith("Tell aunt.")


def test_a_reserve_that_went_another_way() -> None:
    home = Household()
    lot = home.bring_in(3, "cherries", "cellar", unit="jar", t=day(2))
    home.set_aside(lot, "cellar", 2, t=day(3))
    home.count(1, lot, "cellar", t=day(4))
    said = told(home, "reserve-short")
    assert "1 jar set aside went another way in cellar" in said


def test_marks_and_counts_that_are_not_there() -> None:
    home = Household()
    lot = jars(home)
    home.release("barn:4", lot)
    assert "Nothing was released" in told(home, "unknown-mark")
    home.eat(1, lot, "back-room", explains="barn:5")
    assert "counts at its own time" in told(home, "explains-nothing")


def test_food_of_no_known_place_when_something_befell() -> None:
    home = Household()
    home.bring_in(6, "peas", t=day(1))
    home.incident("chest", instant(day(2)), instant(day(3)), t=day(4))
    assert "6 lb of it may have stood in chest" in told(home, "may-have-stood")


def test_clocks_rings_and_records_that_are_not_known() -> None:
    home = Household()
    lot = jars(home)
    home.say(Redated(record=lot.removesuffix(":0"), stamp=Stamp(ms(day(1)))), device="service")
    code = codes_of(home.book)[lot]
    assert told(home, "clock-off").startswith(
        f"A device's clock was wild: beans ({code}), the cook, Sun 2 Aug 2026 09:00, on hall, was "
    )
    home.void("barn:3")
    assert "barn:3" in told(home, "unknown-record")
    home = Household()
    home.void("hall:2")
    home.void("hall:1")
    for concern in home.concerns("void-ring"):
        assert "none of them counts" in sentence(home.book, concern, {}, LONDON)


def test_one_line_entered_twice() -> None:
    home = Household()
    lot = jars(home)
    home.eat(1, lot, "back-room", source="sheet 3, line 4")
    home.eat(1, lot, "back-room", source="sheet 3, line 4", device="tablet")
    assert told(home, "same-source").startswith(
        "One line or row (sheet 3, line 4) was entered twice"
    )


def test_what_this_program_cannot_read_and_what_did_not_arrive() -> None:
    home = Household()
    jars(home)
    home.unread.append(Unread(name="tablet:3", kind="weather", version=9, content=b"{}"))
    assert "(weather, version 9)" in told(home, "unread-record")
    assert told(home, "gap-in-device").startswith(
        "tablet has logged 2 things that did not arrive (the first is tablet:1)"
    )


def test_what_is_made_of_held_food_is_named_too() -> None:
    home = Household()
    lot = jars(home)
    home.hold(lot, "back-room", t=day(3))
    home.put_up([home.draw(1, lot, "back-room")], [makes(1, "soup", "kitchen")], t=day(4))
    assert "and of what was made with it" in told(home, "held-used")
