"""Who stands badly beside whom: ethylene and smells among fresh food in one store's air.

Published pairs alone; those printed as low or very low are left out. A clash is a word, never a
date or a refusal: nothing printed says by how much.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from events.book import Book
from events.keeping.life import Lives
from events.lots.state import Lot
from events.readings.called import names_of
from events.readings.climate import Climates
from events.readings.lived import plainly
from events.tables.storing import Neighbour, Role

FAINT = frozenset({"low", "very low"})


class Clash(Struct, frozen=True, kw_only=True):
    """One food does harm to another in the same air."""

    giver: str
    taker: str
    """foods, as the household calls them"""
    what: str
    """what comes of it, a sentence part"""
    source_id: str
    by: str
    """who says so"""

    @property
    def sentence(self) -> str:
        return f"{self.giver} beside {self.taker}: {self.what} ({self.by})"


class Neighbours:
    """Which fresh foods stand in which air."""

    def __init__(self, book: Book, climates: Climates, lives: Lives) -> None:
        self.book = book
        self.climates = climates
        self.lives = lives
        self._there: dict[str, dict[str, Lot]] | None = None

    def beside(self, store: str, but: str = "") -> list[Lot]:
        """A lot of every fresh food in the same air, without the lot of that name, by food."""
        if self._there is None:
            self._there = self._all()
        there = self._there.get(self.climates.air(store), {})
        found = [lot for name, lot in there.items() if name != but]
        return list({lot.food: lot for lot in found}.values())

    def _all(self) -> dict[str, dict[str, Lot]]:
        there: dict[str, dict[str, Lot]] = {}
        for lot in self.book.lots.values():
            if lot.identity is None or not lot.parcels or not self.fresh(lot):
                continue
            for parcel in lot.parcels:
                if parcel.high and self.book.settings.kind_of(parcel.store) != "ground":
                    there.setdefault(self.climates.air(parcel.store), {})[lot.name] = lot
        return there

    def fresh(self, lot: Lot) -> bool:
        return self.lives.form(plainly(self.book, lot)) == "fresh"

    def clashes(self, lot: Lot, store: str) -> list[Clash]:
        """What a lot would do there to what stands there, and that to it."""
        if not self.fresh(lot):
            return []
        found: list[Clash] = []
        for other in self.beside(store, lot.name):
            if other.food != lot.food:
                found += [*self._from(lot, other), *self._from(other, lot)]
        return found

    def _from(self, giver: Lot, taker: Lot) -> Iterator[Clash]:
        gives, takes = self._rows(giver), self._rows(taker)
        sensitive = _strong(takes, "sensitive")
        if _strong(gives, "producer") and sensitive:
            row = next((one for one in sensitive if one.note), sensitive[0])
            what = row.note or "ethylene harms them"
            yield self._clash(giver, taker, f"{taker.food} suffer from ethylene, {what}", row)
        smells = _strong(gives, "odor")
        named = self.lives.named(names_of(self.book, taker))
        if smells and named is not None and "fruit" in named.groups:
            row = next((one for one in smells if one.note), smells[0])
            yield self._clash(giver, taker, row.note or "the smell passes on", row)

    def _clash(self, giver: Lot, taker: Lot, what: str, row: Neighbour) -> Clash:
        source = self.lives.tables.sources[row.source_id]
        return Clash(giver=giver.food, taker=taker.food, what=what, source_id=row.source_id,
                     by=source.publisher.partition(" (")[0])  # fmt: skip

    def _rows(self, lot: Lot) -> list[Neighbour]:
        named = self.lives.named(names_of(self.book, lot))
        foods: Sequence[str] = () if named is None else named.foods
        return [row for food in foods for row in self.lives.tables.neighbours.get(food, ())]


def _strong(rows: list[Neighbour], role: Role) -> list[Neighbour]:
    return [row for row in rows if row.role == role and row.level not in FAINT]
