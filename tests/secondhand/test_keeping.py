"""Figures read second-hand or not at all: they are kept, named as such, and decide nothing."""

from events.keeping.life import Life, Lives, NoLife, Question
from events.tables import load

TABLES = load()
LIVES = Lives(TABLES)


def test_eggs_have_only_a_second_hand_life_and_so_none() -> None:
    # 3-5 weeks in the shell: the federal cold storage chart, read second-hand
    answer = LIVES.of(Question(names=("eggs",), kind="refrigerator"))
    assert isinstance(answer, NoLife)
    assert answer.reason == "no published life"
    assert [row.life_as_printed for row in answer.second_hand] == ["3-5 weeks"]


def test_wheat_in_a_room_has_none() -> None:
    # thirty years in sealed cans, reported of studies: second-hand, and for another package
    assert isinstance(LIVES.of(Question(names=("wheat",), kind="room")), NoLife)


def test_no_second_hand_row_ever_decides_or_stands_among_the_published() -> None:
    kinds = ("kitchen", "room", "outbuilding", "cellar", "refrigerator", "freezer", None)
    asked = 0
    for name, food in TABLES.foods.items():
        for form in {food.form, "home-canned", "canned", "tinned", "frozen", "dried", "fresh"}:
            for kind in kinds:
                for opened in (False, True):
                    answer = LIVES.of(Question(names=(name,), form=form, kind=kind, opened=opened))
                    if isinstance(answer, Life):
                        asked += 1
                        for row in answer.fitting:
                            assert TABLES.sources[row.source_id].published
                    else:
                        for row in answer.second_hand:
                            assert not TABLES.sources[row.source_id].published
    assert asked > 1000


def test_second_hand_sources_are_marked() -> None:
    assert all(
        not source.published for name, source in TABLES.sources.items() if name.endswith("_2h")
    )
    assert not TABLES.sources["memory"].published
