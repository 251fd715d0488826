"""Which food or lot a person means by what they typed: a code, a name, other names, a beginning.

Never a guess: whatever fits more than one is handed back as all of them. Names are joined only
where a person confirmed it, in a food's `other_names`. Case, spaces and plural make no difference.
"""

from difflib import get_close_matches
from functools import lru_cache
from typing import Literal, TypeAlias

from msgspec import Struct

from events.book import Book
from events.codes import find as find_code
from events.lots.places import within
from events.lots.state import Lot, Parcel
from events.quantity import NotUnderstood

How: TypeAlias = Literal["name", "word", "beginning", "none"]

ENDINGS = (("oe", "o"), ("she", "sh"), ("che", "ch"), ("xe", "x"), ("sse", "ss"), ("ie", "y"),
           ("ve", "f"), ("fe", "f"))  # fmt: skip
"""What is left of plurals without their s (tomatoe, berrie, loave), to one shape for both."""


def stem(word: str) -> str:
    """One shape for a word and its plural; not a word itself ("olives" and "olive": "olif")."""
    bare = word.casefold()
    if bare.endswith("s") and not bare.endswith(("ss", "us")) and len(bare) > 2:
        bare = bare[:-1]
    for ending, shape in ENDINGS:
        if bare.endswith(ending) and len(bare) > len(ending):
            return bare[: -len(ending)] + shape
    return bare


@lru_cache(maxsize=16_384)
def words(name: str) -> tuple[str, ...]:
    """The words of a name in the shape in which names are compared."""
    parted = "".join(sign if sign.isalnum() else " " for sign in name)
    return tuple(stem(word) for word in parted.split())


class FoundFoods(Struct, frozen=True):
    """The foods that fit, by the household's one name each, and others that are only near."""

    foods: tuple[str, ...]
    how: How
    near: tuple[str, ...] = ()
    """to be asked about, never taken"""


class FoundLots(Struct, frozen=True):
    """The lots that fit: one by its code, or all of one or several foods with their codes."""

    lots: tuple[Lot, ...]
    foods: tuple[str, ...] = ()
    """empty where a lot code was typed"""
    near: tuple[str, ...] = ()


class Foods:
    """The foods of a household, by all their names."""

    def __init__(self, book: Book) -> None:
        settings = book.settings
        self._one: dict[tuple[str, ...], str] = {}
        for food in (*sorted(settings.foods), *sorted(book.thin.foods)):
            self._one.setdefault(words(food), food)
        self._also: dict[tuple[str, ...], list[str]] = {}
        for food in sorted(settings.foods):
            for name in settings.other_names(food):
                foods = self._also.setdefault(words(name), [])
                if words(name) != words(food) and food not in foods:
                    foods.append(food)

    def canonical(self, food: str) -> str:
        """The one name of a food; a name that two foods share joins neither."""
        seen: set[tuple[str, ...]] = set()
        key = words(food)
        while len(also := self._also.get(key, [])) == 1 and key not in seen:
            seen.add(key)
            key = words(also[0])
        return self._one.get(key, food)

    def called(self, food: str) -> tuple[str, ...]:
        """Every name under which a food is known here, its own first."""
        one = self.canonical(food)
        also = {name for name in self._one.values() if self.canonical(name) == one}
        return (one, *sorted(also - {one}))

    def all(self) -> tuple[str, ...]:
        """Every food, one name each."""
        return tuple(sorted({self.canonical(food) for food in self._one.values()}))

    def find(self, typed: str) -> FoundFoods:
        """Foods whose name or other name it is; else has those words; else begins so."""
        key = words(typed)
        if not key:
            return FoundFoods((), "none")
        names = self._names()
        exact = {food for name, food in names if name == key}
        worded = {food for name, food in names if set(key) <= set(name)}
        begun = {food for name, food in names if _begins(name, key)}
        tiers: tuple[tuple[set[str], How], ...] = (
            (exact, "name"), (worded, "word"), (begun, "beginning"))  # fmt: skip
        for foods, how in tiers:
            if foods:
                near = (worded | begun) - foods
                return FoundFoods(tuple(sorted(foods)), how, tuple(sorted(near)))
        return FoundFoods((), "none", _close(names, key))

    def _names(self) -> list[tuple[tuple[str, ...], str]]:
        """Every name and the food it stands for; a name that foods share, once for each."""
        own = [(name, self.canonical(food)) for name, food in self._one.items()]
        also = [(n, self.canonical(food)) for n, foods in self._also.items() for food in foods]
        return own + also


def _begins(name: tuple[str, ...], key: tuple[str, ...]) -> bool:
    """Whether the typed words are how the name, or the words from one of its words on, begin."""
    typed = " ".join(key)
    return any(" ".join(name[first:]).startswith(typed) for first in range(len(name)))


def _close(names: list[tuple[tuple[str, ...], str]], key: tuple[str, ...]) -> tuple[str, ...]:
    """Foods that share a word with what was typed, or are spelt nearly so."""
    spelt = [" ".join(name) for name, _ in names]
    alike = set(get_close_matches(" ".join(key), spelt, 5, 0.75))
    return tuple(
        sorted({f for name, f in names if " ".join(name) in alike or set(name) & set(key)})
    )


def lots_of(
    book: Book, food: str, foods: Foods | None = None, since: int | None = None
) -> list[Lot]:
    """The lots to hand of a food under all its names, oldest making first.

    `since`: also the closed ones of which anything was said then (Unix ms) or later.
    """
    known = foods or Foods(book)
    one = known.canonical(food)
    all_of_them = book.lots.values() if since is None else book.since(since)
    lots = [lot for lot in all_of_them if lot.food and known.canonical(lot.food) == one]
    return sorted(lots, key=lambda lot: (lot.made_place, lot.name))


def find_lots(book: Book, typed: str) -> FoundLots:
    """The lots that a person means: one by its code or full name, else those of the foods.

    Raises NotUnderstood with the code's own complaint where it reads like a mistyped lot code and
    no food fits.
    """
    names = [name for lot in book.lots.values() for name in lot.names]
    complaint: NotUnderstood | None = None
    found: dict[str, Lot] = {}
    try:
        for name in find_code(typed, names):
            lot = book.lot(name)
            if lot is not None:
                found[lot.name] = lot
    except NotUnderstood as wrong:
        complaint = wrong
    foods = Foods(book)
    fits = foods.find(typed)
    if found and fits.how != "name":
        return FoundLots(tuple(found.values()))
    if not fits.foods and complaint is not None and any(sign.isdigit() for sign in typed):
        raise complaint
    for food in fits.foods:
        found.update((lot.name, lot) for lot in lots_of(book, food, foods))
    return FoundLots(tuple(found.values()), fits.foods, fits.near)


def first_to_use(lots: tuple[Lot, ...] | list[Lot], store: str) -> list[Lot]:
    """The lots with food to offer in the store, those to use first first.

    Open ones first, then the oldest making. What is held, set aside, in doubt or somebody else's
    is not offered. It is an order of age alone and says nothing about how food has kept.
    """
    offered = []
    for lot in lots:
        there = [parcel for parcel in lot.parcels if _offered(parcel, store)]
        if there and not (lot.identity and lot.identity.owner):
            is_open = any(parcel.opened is not None for parcel in there)
            offered.append((not is_open, lot.made_place, lot.name, lot))
    return [lot for _, _, _, lot in sorted(offered, key=lambda found: found[:3])]


def _offered(parcel: Parcel, store: str) -> bool:
    marked = parcel.holds or parcel.asides or parcel.doubt
    near = within(parcel.store, store) or within(store, parcel.store)
    return parcel.high > 0 and not marked and near
