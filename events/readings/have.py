"""Do we have any? One answer over all stores: by place, oldest first, with when it was last seen.

Foods are one only where a person confirmed that they are called so. What merely sounds like it is
asked about and never added in. What nobody counted is told apart from what was.
"""

from collections.abc import Sequence
from datetime import tzinfo

from msgspec import Struct

from events.book import Book
from events.readings import rows as row_of
from events.readings import sums
from events.readings.finding import Foods, How
from events.readings.ground_shut import NONE_SHUT, Shuts
from events.readings.rows import Row, parcels
from events.readings.sums import (
    Total,
    likely_doubles,
    picked_short,
    take_off_short,
    total_json,
    total_of,
)
from events.readings.words import store_name


class Place(Struct, frozen=True):
    """What there is of a food in one store, oldest first."""

    store: str
    rows: tuple[Row, ...]


class FoodAnswer(Struct, frozen=True):
    """All there is of one food."""

    food: str
    called: tuple[str, ...]
    """every name of it here, as somebody confirmed"""
    places: tuple[Place, ...]
    total: Total


class Near(Struct, frozen=True):
    """A food that may or may not be meant; never added in."""

    food: str
    total: Total


class Answer(Struct, frozen=True):
    """What was asked, and all that fits."""

    asked: str
    how: How
    foods: tuple[FoodAnswer, ...]
    """several where what was asked fits several: each by itself, never summed"""
    near: tuple[Near, ...]


def answer(book: Book, words: str, shut: Shuts = NONE_SHUT) -> Answer:
    """Everything there is of the foods that `words` fits; `shut`: what of the ground is not food now."""
    foods = Foods(book)
    found = foods.find(words)
    rows = parcels(book, shut)
    doubles = likely_doubles(book)
    short = picked_short(book, foods)

    def total(food: str, mine: Sequence[Row]) -> Total:
        summed = total_of(food, mine, doubles)
        take_off_short(summed, short.get(food, {}))
        return summed

    def of(food: str) -> list[Row]:
        return [row for row in rows if foods.canonical(row.food) == food]

    answers = []
    for food in found.foods:
        mine = of(food)
        places = tuple(_places(mine))
        answers.append(FoodAnswer(food, foods.called(food), places, total(food, mine)))
    near = tuple(Near(food, total(food, mine)) for food in found.near if (mine := of(food)))
    return Answer(words, found.how, tuple(answers), near)


def _places(rows: Sequence[Row]) -> list[Place]:
    by_store: dict[str, list[Row]] = {}
    for row in sorted(rows, key=lambda row: (row.made_place, row.name, not row.opened)):
        by_store.setdefault(row.store, []).append(row)
    return [Place(store, tuple(by_store[store])) for store in sorted(by_store)]


# -- in words --------------------------------------------------------------------------------------


def sentences(found: Answer, zone: tzinfo) -> list[str]:
    """The answer in plain lines: a sum, then by place what it is made of, then questions."""
    lines: list[str] = []
    for one in found.foods:
        lines.append(f"{one.food}: {sums.told(one.total)}")
        for place in one.places:
            lines += [
                f"  {store_name(place.store)}: {row_of.told(row, zone)}" for row in place.rows
            ]
    if not found.foods:
        lines.append(f"No food here is called “{found.asked}”.")
    for near in found.near:
        lines.append(
            f"Do you also mean {near.food} ({sums.told(near.total)})? It is not counted in. If it is "
            "the same, say so in the food's other names."
        )
    return lines


# -- for programs ----------------------------------------------------------------------------------


def to_json(found: Answer) -> dict[str, object]:
    """The answer as plain data; `last_seen` in milliseconds since 1970."""
    return {
        "asked": found.asked,
        "how": found.how,
        "foods": [
            {
                "food": one.food,
                "called": list(one.called),
                "total": total_json(one.total),
                "places": [
                    {"store": place.store, "parcels": _seen_rows(place.rows)}
                    for place in one.places
                ],
            }
            for one in found.foods
        ],
        "near": [{"food": near.food, "total": total_json(near.total)} for near in found.near],
    }


def _seen_rows(rows: Sequence[Row]) -> list[dict[str, object]]:
    return [
        told | {"last_seen": row.last_seen}
        for told, row in zip(row_of.to_json(rows), rows, strict=True)
    ]
