"""Which cautions a week's food calls for: shortly, with the source, or saying that none was read.

It repeats what is published and says whom to ask; it never calls food safe, and never argues with
a hold. What is said stands in `events/tables/cautions.csv`.
"""

from events.book import Book
from events.keeping.life import Lives, Question
from events.kinds import Held, Incident, Spoiled
from events.lots.state import Lot
from events.readings.rotation import names_of
from events.tables import Tables

DEFER = "Tested recipes and your extension service go before this list."
MOULD_FORMS = {"dry-staple": "mould-dry", "dried": "mould-dried", "jam": "mould-jam"}
HURTS = {
    "frost": "home-canned-frozen", "froze": "home-canned-frozen", "cold": "home-canned-frozen",
    "heat": "home-canned-hot", "hot": "home-canned-hot", "flood": "home-canned-flood",
    "water": "home-canned-flood", "damp": "home-canned-damp",
}  # fmt: skip
"""Words in what befell a store, and what that does to jars."""


class Cautions:
    """Collects the cautions that are called for, each once, in the order of the table."""

    def __init__(self, book: Book, tables: Tables) -> None:
        self.book = book
        self.lives = Lives(tables)
        self.tables = tables
        self.called: set[str] = set()

    def form(self, lot: Lot) -> str:
        return self.lives.form(Question(names=names_of(self.book, lot), form=lot.form))

    def jars(self, lot: Lot) -> None:
        """A lot whose seals are in doubt."""
        form = self.form(lot)
        if form == "home-canned":
            acid = self.lives.acid(names_of(self.book, lot)) or "unknown"
            self.called.add(f"home-canned-{acid}-acid")
        elif form == "commercially-canned":
            self.called.add(form)

    def held(self, lot: Lot, hold: Held) -> None:
        """A lot that is not to be eaten for now."""
        said = f"{hold.programme or ''} {hold.reason or ''}".casefold()
        if "mould" in said or "mold" in said:
            self.mouldy(lot)
        self.jars(lot)

    def befell(self, lot: Lot, incident: Incident) -> None:
        """A lot that stood where something happened."""
        form = self.form(lot)
        if self.book.settings.kind_of(incident.store) == "freezer" or form == "frozen":
            self.called.add("thawed")
        if form == "home-canned":
            said = incident.what.casefold()
            self.called.update(key for word, key in HURTS.items() if word in said)
        self.jars(lot)

    def loss_told(self, lot: Lot, loss: object) -> None:
        """A lot of which some went off last week: what is left may too. Other records pass."""
        if not isinstance(loss, Spoiled):
            return
        if loss.cause == "seal failed":
            self.jars(lot)
        elif loss.cause == "mould":
            self.mouldy(lot)
        elif loss.cause == "sprouted":
            named = self.lives.named(names_of(self.book, lot))
            self.called.update({"potato"} & {*(named.foods if named else ())})
        elif loss.cause in {"rancid", "rot"}:
            self.called.add(loss.cause)

    def mouldy(self, lot: Lot) -> None:
        form = self.form(lot)
        self.called.add(MOULD_FORMS.get(form, "mould"))
        if form == "home-canned":
            self.jars(lot)

    def once_open(self, lot: Lot) -> str:
        """What to say beside an open package, "" where nothing is to be said."""
        if self.form(lot) != "home-canned" or self.lives.acid(names_of(self.book, lot)) == "high":
            return ""
        return self.tables.cautions["opened-low-acid"].caution

    def no_process(self) -> str:
        """What to say beside jars that nobody knows."""
        return self.tables.cautions["no-process"].caution

    def said(self) -> tuple[str, ...]:
        """The texts, each with its source, and whom to follow."""
        called = set(self.called)
        if "home-canned-low-acid" in called:
            called.discard("home-canned-unknown-acid")
        texts = [self._text(key) for key in self.tables.cautions if key in called]
        return (*texts, DEFER) if texts else ()

    def _text(self, key: str) -> str:
        caution = self.tables.cautions[key]
        if not caution.source_id:
            return f"{caution.caution} (No source read)"
        source = self.tables.sources[caution.source_id]
        return f"{caution.caution} ({source.publisher})"
