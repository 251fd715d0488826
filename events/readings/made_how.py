"""Whether it is known how jars were made: what nobody can vouch for is not offered.

Home-canned food that is low in acid, or not known to be high in it, is only as good as its process.
Nothing here finds a process good; it says whether one is recorded. No date enters.
"""

from events.book import Book
from events.keeping.life import Lives
from events.kinds import PutUp, Received
from events.lots.state import Lot
from events.readings.lived import bought, plainly, vessel

FROM_OTHERS = frozenset({"gift", "exchange", "found", "bought"})
PROCESS_FACTS = frozenset({"method", "minutes", "pressure", "recipe", "process"})
NAMELESS = ("unidentified", "unknown", "unlabelled", "?")


class Known:
    """Whether it is known how jars were made."""

    def __init__(self, book: Book, lives: Lives) -> None:
        self.book = book
        self.lives = lives
        self._canned: dict[tuple[str, str, bool, str], bool] = {}

    def unknown(self, lot: Lot) -> bool:
        """Home-canned, not known to be high in acid, and nobody here knows how it was made.

        That is so where it came from somebody else, or what it is is not known, and no process is
        recorded; also of what was packed anew from such jars.
        """
        if self._stranger(lot):
            return True
        waiting = list(lot.identity.parents) if lot.identity else []
        seen = {lot.name}
        while waiting:
            one = self.book.lot(waiting.pop())
            if one is None or one.name in seen or one.identity is None:
                continue
            seen.add(one.name)
            if self._stranger(one):
                return True
            waiting.extend(one.identity.parents)
        return False

    def _stranger(self, lot: Lot) -> bool:
        body = lot.maker.body if lot.maker else None
        origin = body.origin if isinstance(body, Received) else None
        if not self._low_acid(lot):
            return False
        if any(said and fact in PROCESS_FACTS for fact, said in lot.facts.items()):
            return False
        if isinstance(body, PutUp) and (
            body.method or body.minutes or body.pressure or body.recipe
        ):
            return False
        nameless = any(word in lot.food.casefold() for word in NAMELESS)
        return nameless or origin in FROM_OTHERS

    def _low_acid(self, lot: Lot) -> bool:
        """Home-canned, and not known to be high in acid."""
        key = lot.food, lot.form, bought(lot), vessel(lot)
        found = self._canned.get(key)
        if found is None:
            question = plainly(self.book, lot)
            canned = self.lives.form(question) == "home-canned"
            found = self._canned[key] = canned and self.lives.acid(question.names) != "high"
        return found
