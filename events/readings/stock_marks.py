"""A food's marks: how much there should be, when it is low, packs, lead, and its working shelf.

They are facts of the food as the household set them, read anew each time; nothing is worked out
of how much is used. Marks are in one unit, that of the first of them; what does not come to that
unit is not understood, and said.
"""

import re
from collections.abc import Collection, Mapping
from fractions import Fraction

from msgspec import Struct

from events.book import Book
from events.quantity import Equal, NotUnderstood, equal, parse, through
from events.readings.finding import Foods

AMOUNTS = ("refill", "clear", "par", "pack", "shelf_refill", "shelf_par")
"""Facts that are amounts."""

ABOVE = Fraction(6, 5)
"""Low is cleared above a fifth more than the mark, where no other mark was set."""

DAYS = {"day": 1, "week": 7, "month": 30}
_LEAD = re.compile(r"([0-9]{1,3}) (day|week|month)s?")


class Marks(Struct, frozen=True, kw_only=True):
    """What the household wants of a food, all in `unit`; None where it set none."""

    food: str
    unit: str
    refill: Fraction | None = None
    """low once there is less than this: its own mark, else its par"""
    clear: Fraction | None = None
    """no longer low once there is this much"""
    par: Fraction | None = None
    """brought up to this"""
    pack: Fraction | None = None
    """it is got in packs of this"""
    lead_days: int = 0
    """from ordering to having it"""
    shelf: str = ""
    """the store that it is taken from, filled from what stands elsewhere"""
    shelf_refill: Fraction | None = None
    shelf_par: Fraction | None = None


def marks_of(food: str, facts: Mapping[str, str], units: Collection[str] = ()) -> Marks | None:
    """The marks in the facts of a food, None where there are none.

    `units`: the household's own, beside those of the food.

    Raises:
        NotUnderstood: one sentence with what was read and how to write it.
    """
    own = {*units, *(name for name, _ in own_units(facts))}
    said: dict[str, Fraction] = {}
    unit = ""
    for fact in AMOUNTS:
        if not facts.get(fact):
            continue
        n, spoken = _amount(fact, facts[fact], own)
        unit = unit or spoken
        way = through(n, spoken, unit, equals(facts))
        if way is None:
            raise NotUnderstood(
                f"{fact} of {food} is in {spoken} and another mark in {unit}: write all in one unit."
            )
        said[fact] = way[0]
    if not said:
        return None
    low = said.get("refill", said.get("par"))
    marks = Marks(
        food=food, unit=unit, refill=low, clear=_clear(food, low, said), par=said.get("par"),
        pack=said.get("pack"), lead_days=_lead(facts.get("lead", "")),
        shelf=facts.get("shelf", ""), shelf_par=said.get("shelf_par"),
        shelf_refill=said.get("shelf_refill", said.get("shelf_par")),
    )  # fmt: skip
    _in_order(marks)
    return marks


def _amount(fact: str, text: str, own: set[str]) -> tuple[Fraction, str]:
    read = parse(text, own)
    if not read.n or read.low is not None or read.unit is None:
        raise NotUnderstood(
            f"{fact} {text} is no mark: write how much with its unit, like 12 jars or 10 lb."
        )
    return read.n, read.unit


def _clear(food: str, low: Fraction | None, said: Mapping[str, Fraction]) -> Fraction | None:
    if low is None:
        if "clear" in said:
            raise NotUnderstood(f"{food} has no refill mark: set refill beside clear.")
        return None
    usual = low * ABOVE
    return said.get("clear", max(low, min(usual, said["par"])) if "par" in said else usual)


def _in_order(marks: Marks) -> None:
    for less, more, words in (
        (marks.refill, marks.clear, "clear is below refill"),
        (marks.refill, marks.par, "par is below refill"),
        (marks.shelf_refill, marks.shelf_par, "shelf_par is below shelf_refill"),
    ):
        if less is not None and more is not None and less > more:
            raise NotUnderstood(f"{words} of {marks.food}: write the lower mark lower.")
    if marks.shelf_refill is not None and marks.shelf_par is None:
        raise NotUnderstood(f"{marks.food} has no shelf_par: say how much is to stand there.")
    if marks.shelf_par is not None and not marks.shelf:
        raise NotUnderstood(f"{marks.food} has no shelf: name the store, as in shelf=kitchen.")


def _lead(text: str) -> int:
    if not text:
        return 0
    found = _LEAD.fullmatch(" ".join(text.casefold().split()))
    if found is None:
        raise NotUnderstood(f"lead {text} is no time: write it like 10 days or 2 weeks.")
    return int(found[1]) * DAYS[found[2]]


def own_units(facts: Mapping[str, str]) -> list[tuple[str, str]]:
    """A food's own units and what one comes to: "pie bag = 2 lb; puck"."""
    parts = [part.partition("=") for part in facts.get("units", "").split(";") if part.strip()]
    return [(unit.strip(), worth.strip()) for unit, _, worth in parts]


def equals(facts: Mapping[str, str]) -> list[Equal]:
    """What the food's own units come to; those that cannot be read are passed over."""
    found = []
    names = {name for name, _ in own_units(facts)}
    for name, worth in own_units(facts):
        if worth:
            try:
                found.append(equal(f"1 {name} = {worth}", names))
            except NotUnderstood:
                continue
    return found


def all_marks(book: Book) -> tuple[list[Marks], list[str]]:
    """The marks of every food, by its one name, and a sentence for each that is not understood."""
    foods = Foods(book)
    units = {lot.unit for lot in book.lots.values() if lot.unit}
    found, unread = [], []
    for food, facts in sorted(book.settings.foods.items()):
        try:
            marks = marks_of(foods.canonical(food), facts, units)
        except NotUnderstood as error:
            unread.append(str(error))
            continue
        if marks is not None:
            found.append(marks)
    return found, unread
