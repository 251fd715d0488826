"""Which published row is for a food in a store, and which of several decides."""

from fractions import Fraction

import pytest

from events.keeping.bands import assumed
from events.keeping.life import (
    LOW_ACID,
    NO_ACID,
    SOME_ACID,
    Answer,
    Life,
    Lives,
    NoLife,
    Question,
)
from events.tables import load, plain

TABLES = load()
LIVES = Lives(TABLES)


def asked(food: str, kind: str | None, form: str = "", **more: object) -> Answer:
    return LIVES.of(Question(names=(food,), form=form, kind=kind, **more))  # type: ignore[arg-type]


def lives(food: str, kind: str | None, form: str = "", **more: object) -> Life:
    answer = asked(food, kind, form, **more)
    assert isinstance(answer, Life), answer
    return answer


def none(food: str, kind: str | None, form: str = "", **more: object) -> NoLife:
    answer = asked(food, kind, form, **more)
    assert isinstance(answer, NoLife), answer
    return answer


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("Green Beans", "green bean"),
        ("  rolled   oats ", "rolled oat"),
        ("Strawberries", "strawberry"),
        ("tomatoes", "tomato"),
        ("Wax-Beans", "wax bean"),
        ("peaches", "peach"),
        ("radishes", "radish"),
        ("swiss", "swiss"),
        ("peas", "pea"),
        ("", ""),
    ],
)
def test_a_name_is_read_in_any_case_and_number(typed: str, name: str) -> None:
    assert plain(typed) == name


def test_a_name_is_never_cut_down_to_a_word_that_the_tables_know() -> None:
    # apple butter is no butter, and peanut butter has rows of its own
    assert LIVES.named(("apple butter",)) is None
    assert lives("peanut butter", "kitchen", opened=True).row.food == "peanut-butter"


def test_home_canned_beans_in_a_room_go_by_the_strictest_of_four_rows() -> None:
    found = lives("green beans", "room", "home-canned")
    # up to 12 months (UC) gives a low end of 365 x 1/2, stricter than 1-2 years (Utah State)
    assert (found.low_days, found.high_days, found.derived) == (182, 365, True)
    assert found.source.source_id == "ucanr_canning"
    assert {row.source_id for row in found.fitting} == {
        "ucanr_canning", "usu_news", "ufl_canfaq", "uw_harvest",
    }  # fmt: skip
    assert found.assumed == "10 to 21 C"


def test_a_printed_range_is_taken_as_it_stands() -> None:
    found = lives("raspberries", "freezer", "frozen")
    assert (found.low_days, found.high_days, found.derived) == (244, 365, False)


def test_up_to_takes_its_low_end_from_the_forms_usual_ratio() -> None:
    # potatoes, proper storage, up to 6 months; the median of the fresh ranges is 3/5
    assert LIVES.ratios["fresh"] == Fraction(3, 5)
    found = lives("potatoes", "cellar")
    assert (found.low_days, found.high_days, found.derived) == (183 * 3 // 5, 183, True)


def test_one_number_is_treated_like_up_to() -> None:
    found = lives("plain flour", "room")
    assert not found.derived
    honey = lives("honey", "kitchen")
    assert honey.derived
    assert honey.high_days == 365
    assert honey.low_days < 365


def test_a_number_or_more_has_an_open_end() -> None:
    found = LIVES.of(Question(names=("green beans",), form="home-canned", kind=None))
    assert isinstance(found, Life)
    # a store of no known kind has no temperature: the row that prints none is left
    assert found.row.source_id == "usu_news"
    shelled = lives("nuts", "refrigerator")
    assert (shelled.low_days, shelled.high_days) == (365, None)


def test_words_without_a_number_give_no_date() -> None:
    assert none("sauerkraut", "refrigerator").reason == "published in words only: several months"


@pytest.mark.parametrize(
    ("kind", "words"),
    [("kitchen", "10 to 21 C"), ("room", "10 to 21 C"), ("refrigerator", "4 C"),
     ("freezer", "-18 C")],
)  # fmt: skip
def test_a_kind_of_store_has_the_temperature_it_is_named_for(kind: str, words: str) -> None:
    band = assumed(kind)
    assert band is not None
    assert band.words == words


@pytest.mark.parametrize("kind", ["cellar", "outbuilding", "ground", None, "loft"])
def test_other_stores_have_none(kind: str | None) -> None:
    assert assumed(kind) is None


def test_the_same_potatoes_keep_longer_in_the_cellar_than_in_the_kitchen() -> None:
    assert lives("potatoes", "kitchen").high_days == 28
    assert lives("potatoes", "cellar").high_days == 183


def test_nothing_in_the_ground_is_dated() -> None:
    assert none("parsnips", "ground").reason == "in the ground"


def test_frozen_food_is_dated_only_in_a_freezer() -> None:
    assert none("raspberries", "kitchen", "frozen").reason == "no published life"
    # and nothing else is dated there
    assert isinstance(asked("green beans", "freezer", "home-canned"), NoLife)
    assert isinstance(asked("carrots", "freezer", "fresh"), NoLife)


def test_freeze_dried_food_has_no_published_life() -> None:
    assert none("strawberries", "room", "freeze-dried").reason == "no published life"


def test_kinds_of_squash_keep_differently() -> None:
    acorn, butternut = lives("acorn squash", "room"), lives("butternut squash", "room")
    hubbard = lives("hubbard squash", "room")
    assert (acorn.low_days, butternut.low_days, hubbard.low_days) == (35, 61, 152)
    assert "at 50-55 F, less if warmer" in acorn.said


def test_the_variety_as_typed_finds_its_row_too() -> None:
    assert lives("winter squash", "room", variety="Acorn").low_days == 35


def test_food_the_tables_do_not_know_is_taken_as_low_acid_and_it_is_said() -> None:
    found = lives("piccalilli", "room", "home-canned")
    assert found.row.form == "home-canned-low-acid"
    assert LOW_ACID in found.said
    assert LOW_ACID in lives("tomatoes", "room", "home-canned").said
    assert LOW_ACID not in lives("plums", "room", "home-canned").said


def test_food_the_tables_do_not_know_has_no_life_in_another_form() -> None:
    assert none("goat curry", "freezer", "frozen").reason == "no published life"
    assert none("biltong", "room", "dried").reason == "no published life"


def test_a_form_is_needed_where_none_is_usual() -> None:
    assert none("chicken", "freezer").reason == "its form is not recorded"
    assert lives("chicken", "freezer", "frozen").low_days == 183


def test_another_name_that_the_household_gave_is_tried() -> None:
    names = ("thighs", "chicken thighs")
    found = LIVES.of(Question(names=names, form="frozen", kind="freezer"))
    assert isinstance(found, Life)
    assert found.row.food == "poultry"


def test_canned_means_from_a_shop_where_it_was_bought() -> None:
    assert lives("peas", "room", "canned", bought=True).row.form.startswith("commercially")
    assert lives("peas", "room", "canned").row.form == "home-canned-low-acid"


def test_an_opened_jar_does_not_keep_by_the_closed_life() -> None:
    assert none("green beans", "kitchen", "home-canned", opened=True).reason == (
        "no published life once open"
    )
    assert lives("peanut butter", "kitchen", opened=True).high_days == 91
    assert lives("peanut butter", "kitchen").high_days == 274


def test_a_long_term_pack_is_not_taken_for_a_bag() -> None:
    # dry beans in sealed cans, 20-30 years, stand in the tables too
    assert lives("pinto beans", "room").high_days == 365
    assert none("barley", "outbuilding").reason == "no published life"


def test_every_answer_is_in_order_and_rests_on_a_row_that_fits() -> None:
    asked_for = 0
    for name, food in TABLES.foods.items():
        for form in (food.form, "home-canned", "tinned", "frozen", "dried"):
            for kind in ("kitchen", "outbuilding", "cellar", "refrigerator", "freezer", None):
                answer = asked(name, kind, form)
                if isinstance(answer, Life):
                    asked_for += 1
                    assert answer.low_days > 0
                    assert answer.high_days is None or answer.low_days <= answer.high_days
                    assert answer.row in answer.fitting
                    lowest = min(r.life_low_days or 10**9 for r in answer.fitting)
                    assert answer.low_days <= lowest
    assert asked_for > 500


def test_asked_again_or_of_tables_read_again_the_answer_is_the_same() -> None:
    question = Question(names=("carrots",), kind="cellar")
    assert Lives(load()).of(question) == LIVES.of(question) == LIVES.of(question)


def test_every_food_and_form_named_in_our_own_tables_is_one_of_the_published() -> None:
    known = {row.food for row in TABLES.keeping}
    forms = {row.form for row in TABLES.keeping}
    for food in TABLES.foods.values():
        assert {*food.foods, *food.groups} <= known | {"vegetable", "fruit"}, food.name
        assert not food.form or food.form in forms, food.name
    for caution in TABLES.cautions.values():
        assert not caution.source_id or TABLES.sources[caution.source_id].published, caution.key


def test_bands_that_only_touch_do_not_meet() -> None:
    # 45-50 F ends at the 10 C where a cupboard's band begins
    kitchen = lives("potatoes", "kitchen")
    assert "msu_fall" not in {row.source_id for row in kitchen.fitting}
    # a single temperature at the end of the band lies within it: 70 F
    assert "msu_cupboard" in {row.source_id for row in lives("honey", "kitchen").fitting}
    # and a refrigerator, one temperature, lies at the end of 32-40 F
    assert "umn_rootveg" in {row.source_id for row in lives("beets", "refrigerator").fitting}


def test_no_row_for_a_sealed_can_stands_among_those_that_fit() -> None:
    found = lives("pinto beans", "outbuilding")
    assert {row.packaging for row in found.fitting} == {"polyethylene bag"}


@pytest.mark.parametrize(
    ("food", "acid", "form", "says"),
    [
        ("tomatoes", "", "home-canned-low-acid", LOW_ACID),
        ("tomatoes", "added", "home-canned-high-acid", ""),
        ("tomatoes", "left out", "home-canned-low-acid", NO_ACID),
        # of no table: that acid was added does not say that it was enough
        ("piccalilli", "added", "home-canned-low-acid", SOME_ACID),
        ("eggs", "added", "home-canned-low-acid", SOME_ACID),
        # what is known to be low in acid stays so whatever was added
        ("green beans", "added", "home-canned-low-acid", ""),
        ("plums", "left out", "home-canned-high-acid", ""),
    ],
)
def test_acid_that_was_recorded_is_known(food: str, acid: str, form: str, says: str) -> None:
    found = lives(food, "room", "home-canned", acid=acid)
    assert found.row.form == form
    assert [one for one in found.said if "acid" in one] == ([says] if says else [])
