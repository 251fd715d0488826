"""Which cautions food calls for: shortly, with the source, or saying that none was read.

It repeats what is published and says whom to ask; it never calls food safe, and never argues with
a hold. What is said stands in `events/tables/cautions.csv`. A figure that was not read at its
source is told as quoted second-hand, and from whom.
"""

import re

from events.book import Book
from events.keeping.life import Lives
from events.kinds import Checked, Held, Incident, PutUp, Spoiled
from events.lots.state import Lot
from events.quantity import volume_of
from events.readings.called import names_of
from events.readings.lived import plainly
from events.tables import Caution, Tables, plain
from service.digests.digest import Care

DEFER = "Tested recipes and your extension service go before this list."
LOW = frozenset({"home-canned-low-acid", "home-canned-tomato", "home-canned-unknown-acid"})
MOULD_FORMS = {
    "dry-staple": "mould-dry", "dried": "mould-dried", "jam": "mould-jam",
    "home-canned": "mould-jar", "cooked": "mould-cooked",
}  # fmt: skip
FLOOD = frozenset({"home-canned-flood", "flood"})
FROST = frozenset({"home-canned-frozen", "home-canned-cracked"})
HURTS = {
    "frost": FROST, "froze": FROST, "cold": FROST,
    "heat": {"home-canned-hot"}, "hot": {"home-canned-hot"},
    "flood": FLOOD, "water": FLOOD, "damp": {"home-canned-damp"},
}  # fmt: skip
"""Words in what befell a store, and what that does to jars."""

WARMS = ("power", "electric", "outage", "blackout", "door", "off", "heat", "warm", "thaw")
"""Words in what befell a refrigerator, after which its food may have stood too warm."""

SIGNS = {
    "mould": "mould", "mold": "mould", "sprout": "sprouted", "green": "sprouted",
    "rancid": "rancid", "rotten": "rot", "rotting": "rot", "unseal": "seal failed",
    "seal fail": "seal failed", "lid": "seal failed", "popped": "seal failed",
    "swollen": "seal failed", "leak": "seal failed", "bulg": "seal failed",
}  # fmt: skip
"""Beginnings of words in what somebody saw, and the cause that they speak of."""


def signs(words: str) -> list[str]:
    """The causes that somebody's words speak of."""
    said = words.casefold()
    return [cause for word, cause in SIGNS.items() if re.search(rf"\b{word}", said)]


class Cautions:
    """Collects the cautions that are called for, each once, in the order of the table."""

    def __init__(self, book: Book, tables: Tables) -> None:
        self.book = book
        self.lives = Lives(tables)
        self.tables = tables
        self.called: set[str] = set()

    def form(self, lot: Lot) -> str:
        return self.lives.form(plainly(self.book, lot))

    def foods(self, lot: Lot) -> list[str]:
        """The lot's food by the tables' own names, else by those the household calls it."""
        names = names_of(self.book, lot)
        named = self.lives.named(names)
        known = [food.replace("-", " ") for food in named.foods] if named else []
        return known or [plain(name) for name in names]

    def is_about(self, key: str, lot: Lot) -> bool:
        """Whether a caution names the lot's food."""
        return any(
            f" {word} " in f" {name} "
            for word in self.tables.cautions[key].foods
            for name in (*self.foods(lot), plain(lot.food))
        )

    def jars(self, lot: Lot) -> None:
        """A lot whose seals are in doubt."""
        form = self.form(lot)
        if form == "home-canned":
            acid = self.lives.acid(names_of(self.book, lot)) or "unknown"
            tomato = self.is_about("home-canned-tomato", lot)
            self.called.add("home-canned-tomato" if tomato else f"home-canned-{acid}-acid")
        elif form == "commercially-canned":
            self.called.add(form)

    def coming(self, lot: Lot) -> None:
        """A lot that comes in, or is put up here."""
        self.jars(lot)
        self.called &= LOW
        if self.called:
            self.called.add("home-canned-process")
            package = lot.identity.package if lot.identity else None
            if package is not None and self.is_about("no-quart", lot):
                holds = volume_of(1, package.content or "", package.content_unit or "", "pt")
                self.called.update({"no-quart"} if holds is not None and holds > 1 else ())
        if lot.maker is not None and isinstance(lot.maker.body, PutUp) and self.called:
            self.called.add("altitude")
        if self.is_about("wild", lot):
            self.called.add("wild")

    def learnt(self, lot: Lot, facts: dict[str, str]) -> None:
        """Something about a lot was learnt: how high up it was put up, say."""
        if facts.get("altitude") and self.form(lot) == "home-canned":
            self.called.add("altitude")

    def looked(self, lot: Lot, look: Checked) -> None:
        """Somebody looked, and some of it was not sound, or they said what they saw."""
        self.seen(lot, look.finding or "")
        if look.wrong is not None and look.wrong.n != 0:
            self.jars(lot)
        if self.called & {*LOW, "home-canned-high-acid"}:
            self.called.add("home-canned-seal")

    def held(self, lot: Lot, hold: Held) -> None:
        """A lot that is not to be eaten for now."""
        self.seen(lot, f"{hold.programme or ''} {hold.reason or ''}")
        self.jars(lot)

    def seen(self, lot: Lot, words: str) -> None:
        """What was seen, in somebody's words."""
        for cause in signs(words):
            self.went_off(lot, cause)

    def befell(self, lot: Lot, incident: Incident) -> None:
        """A lot that stood where something happened."""
        form = self.form(lot)
        hurts = {
            key for word, keys in HURTS.items() if word in incident.what.casefold() for key in keys
        }
        kind = self.book.settings.kind_of(incident.store)
        warmed = any(word in incident.what.casefold() for word in WARMS)
        if kind == "freezer" or form == "frozen" or (kind == "refrigerator" and warmed):
            self.called.add("thawed")
        if form == "home-canned":
            self.called.update(hurts - {"flood"})
        else:
            self.called.update(hurts & {"flood"})
        self.jars(lot)

    def loss_told(self, lot: Lot, loss: object) -> None:
        """A lot of which some went off: what is left may too. Other records pass."""
        if not isinstance(loss, Spoiled) or loss.cause is None:
            return
        self.went_off(lot, loss.cause)
        if loss.cause == "seal failed" and self.called & LOW:
            self.called.update({"home-canned-disposal", "home-canned-animals"})

    def went_off(self, lot: Lot, cause: str) -> None:
        match cause:
            case "seal failed":
                self.jars(lot)
            case "mould":
                self.mouldy(lot)
            case "sprouted":
                self.called.update({"potato"} & {*self.foods(lot)})
            case "rancid":
                self.rancid(lot)
            case "rot":
                self.called.add("rot")
            case "frozen" if self.form(lot) == "home-canned":
                self.called.update(FROST)

    def mouldy(self, lot: Lot) -> None:
        form = self.form(lot)
        if self.is_about("mould-cheese", lot):
            self.called.add("mould-cheese")
            return
        self.called.add(MOULD_FORMS.get(form, "mould"))
        if form == "home-canned":
            self.jars(lot)

    def rancid(self, lot: Lot) -> None:
        if self.form(lot) == "oil":
            self.called.add("rancid-oil")
            return
        kinds = ("rancid-rice", "rancid-nuts", "rancid-flour")
        self.called.add(next((key for key in kinds if self.is_about(key, lot)), "rancid"))

    def once_open(self, lot: Lot) -> str:
        """What to say beside an open package, "" where nothing is to be said."""
        if self.form(lot) != "home-canned" or self.lives.acid(names_of(self.book, lot)) == "high":
            return ""
        return self._told(self.tables.cautions["opened-low-acid"])

    def no_process(self) -> Care:
        """What to say beside jars that nobody knows."""
        return self._care(self.tables.cautions["no-process"])

    def said(self) -> tuple[Care, ...]:
        """What is called for, each with its source, and whom to follow."""
        called = set(self.called)
        if "home-canned-low-acid" in called:
            called.discard("home-canned-unknown-acid")
        told = [self._care(one) for key, one in self.tables.cautions.items() if key in called]
        return (*told, Care(about="all", says=DEFER, brief=DEFER)) if told else ()

    def _care(self, one: Caution) -> Care:
        return Care(about=one.about, says=self._told(one), brief=self._brief(one))

    def _told(self, one: Caution) -> str:
        return f"{one.caution} ({self._whence(one)})"

    def _brief(self, one: Caution) -> str:
        return f"{one.brief} ({self._whence(one).removesuffix(' Extension')})" if one.brief else ""

    def _whence(self, one: Caution) -> str:
        if one.quoted:
            return f"quoted second-hand from {one.quoted}"
        if not one.source_id:
            return "no source read"
        return self.tables.sources[one.source_id].publisher.partition(" (")[0]
