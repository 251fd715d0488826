"""One part of a deed as it would be typed: how much of what, where, why.

What has one meaning is written; a bare number of what is kept by weight, a new food that begins
like a measure, a count that does not say where, are asked. Nothing is written here.
"""

import re

from events.book import Book
from events.kinds import Cause
from events.lots.state import Lot
from events.quantity import UNITS, canonical_unit
from events.readings.finding import Foods, lots_of
from events.readings.vessel_names import ONE, REUSED, vessel_name
from service.console import names
from service.console.amounts import JAR_SIZES, JARRED, VESSELS
from service.console.deeds import EVERYTHING
from service.console.speech import grammar
from service.console.speech.grammar import Part, Said
from service.console.speech.lexicon import MEANT, Lexicon
from service.console.words import listed
from service.errors import GirnelError, NeedsChoice, WrongUse

Argv = tuple[str, ...]

EMPTIED = {"broke": ("broken", ""), "lent": ("lent", "to"), "got back": ("back", "from")}
"""What befell empty vessels, and what may be said of it beside."""

ORIGIN = {"bought": "bought", "picked": "harvest", "harvested": "harvest"}
FORMS = ("home-canned", "home canned", "frozen", "dried", "fresh")
OF_ALL = {"hold", "release", "free", "set-aside"}
"""Commands that are of all of a lot where no amount is said."""

COMING = ("bring-in", "expect")

CAUSES: dict[str, Cause] = {
    "mould": "mould", "mouldy": "mould", "moldy": "mould", "mold": "mould", "rot": "rot",
    "rotten": "rot", "sprouted": "sprouted", "frozen": "frozen", "rancid": "rancid",
    "seal failed": "seal failed", "failed seal": "seal failed", "pests": "pests",
    "animals": "animals", "broken": "broken", "past best": "past best",
}  # fmt: skip

LIKE_MEASURES = frozenset({
    "pack", "packs", "packets", "portion", "portions", "serving", "servings", "slice", "slices",
    "loaf", "loaves", "bunch", "bunches", "bundle", "bundles", "braid", "braids", "strings",
    "sticks", "ears", "cloves", "stalks", "wheels", "punnet", "punnets", "flats", "lugs", "load",
    "loads", "batch", "batches", "rows", "armful", "armfuls", "handfuls", "bits", "pairs", "couple",
})  # fmt: skip
"""Words that stand for a measure before a food: a new food is not called so without a question."""

SEALS = re.compile(
    r"(?P<open>[0-9]+|one|two|three|four|five|six|none) (?:of them |jars? )?"
    r"(?:(?:is |are |was |were )?(?:unsealed|not sealed)|did not seal|didn't seal|failed to seal)"
    r"|all (?:of them )?(?:are )?sealed",
    re.IGNORECASE,
)

UNSEALED = re.compile(r"unseal|(?:not|n't|never|no|none) (?:\w+ )?seal|seals? (?:\w+ )?(?:fail|broke|gone)",
                      re.IGNORECASE)  # fmt: skip
"""A seal that failed, in whichever words: such jars are held, and so it is asked how many."""


class Parts:
    """The parts of a line's deeds, for one household."""

    def __init__(self, book: Book, lexicon: Lexicon) -> None:
        self.book = book
        self.lexicon = lexicon
        self.foods = Foods(book)

    def one(self, command: str, verb: str, part: Part, tails: dict[str, Said]) -> Argv:
        if command in grammar.APART:
            return self.no_food(command, verb, part, tails)
        amount, what = self.amount(command, verb, part), self.what(command, part)
        words = [command]
        if command == "look":
            if amount is not None:
                raise WrongUse(
                    f'"{verb} {amount} …": write what was looked at, then how much was seen.'
                )
            if not tails.keys() - {"from"}:
                raise WrongUse(
                    f'"{verb} … {what}" does not say what was seen: write it after a colon. '
                    "Nothing was written."
                )
            words.append(what)
        elif command in OF_ALL:
            words += [what, *([] if amount is None else [amount])]
        else:
            words += [amount or "", what]
        self.asked(command, verb, part, what, tails)
        if command in COMING:
            words = [words[0], words[1], *(self.formed(what) or self.jarred(verb, part, what))]
        if command == "bring-in" and verb in ORIGIN:
            words += ["--origin", ORIGIN[verb]]
        if verb == "weighed":
            words.append("--weighed")
        for rule, tail in tails.items():
            words += self.option(command, rule, tail)
        return tuple(words)

    def asked(self, command: str, verb: str, part: Part, what: str, tails: dict[str, Said]) -> None:
        """What a deed of this kind must say, or says in two ways."""
        if command == "carry" and not {"from", "to"} <= set(tails):
            raise WrongUse(f'"{verb}" says from where and to where. Nothing was written.')
        if command == "dig" and "to" not in tails:
            raise WrongUse(f'"{verb}" says to where. Nothing was written.')
        if verb == "weighed" and not any(_is_weight(word) for word in part.amount):
            raise WrongUse(f'"{verb} … {what}" does not say what it weighs. Nothing was written.')
        if command in COMING:
            self.new(part.what, bare=len(part.amount) == 1)
        elif len(part.amount) == 1:
            self.bare(part.amount[0], what)
        if command == "count" and "from" not in tails:
            stores = {p.store for lot in self.lots(what) for p in lot.parcels if p.high}
            if len(stores) > 1:
                raise NeedsChoice(
                    f'"{verb} … {what}" does not say where, and it stands in '
                    f"{listed(sorted(store or 'some place' for store in stores))}: write in and "
                    "where it was counted. Nothing was written."
                )

    def lots(self, what: str) -> list[Lot]:
        """The lots that a name or code means; none where it means nothing, or too much."""
        try:
            found = names.lot_or_food(self.book, what)
        except GirnelError:
            return []
        lots = lots_of(self.book, found, self.foods) if isinstance(found, str) else [found]
        return [lot for lot in lots if lot.on_hand or isinstance(found, Lot)]

    def gone(self, what: str) -> list[Lot]:
        """The lots of a food of which nothing is left: in what it was kept is known all the same."""
        try:
            found = names.lot_or_food(self.book, what)
            return [found] if isinstance(found, Lot) else names.had(self.book, found, what)
        except GirnelError:
            return []

    def bare(self, said: str, what: str) -> None:
        """A number without a unit is of packages or pieces: nobody means pounds by "3 apples"."""
        if not re.fullmatch(r"[^a-z]*[0-9½¼¾⅓⅔⅛].*|an?|one|two|three|four|five|six|seven|eight|"
                            r"nine|ten|eleven|twelve", said.casefold()):  # fmt: skip
            return
        units = {lot.unit for lot in self.lots(what) or self.gone(what)}
        weighed = sorted(u for u in units if u in UNITS and UNITS[u].dimension in MEASURED)
        if weighed:
            raise NeedsChoice(
                f'"{said} {what}": that food is kept by the {listed(weighed, "or")}. Write how '
                f"many {weighed[0]} of {what} it was, or some. Nothing was written."
            )

    def new(self, what: str, *, bare: bool) -> None:
        """A food that comes in may be new; what reads like a measure or a vessel is asked."""
        if self.foods.find(what).how == "name":
            return
        first, *rest = what.casefold().split()
        if vessel_name(what).rpartition(" ")[2] in {*ONE.values(), *REUSED, *VESSELS}:
            raise WrongUse(
                f'"{what}" are no food: girnel jars says what befalls vessels. Nothing was written.'
            )
        unread = next((w for w in what.split() if not re.search(r"[aeiouy\W]", w.casefold())), None)
        if unread or (bare and rest and first in LIKE_MEASURES):
            raise WrongUse(
                f'"{unread or first}" is not read as a measure, nor as the name of a food: write '
                'the whole word and "of" before the food. Nothing was written.'
            )

    def no_food(self, command: str, verb: str, part: Part, tails: dict[str, Said]) -> Argv:
        """A thermometer read, or what befell empty jars."""
        if command == "reading":
            if "from" not in tails:
                raise WrongUse(f'"{verb} {part.what}" does not say where. Nothing was written.')
            return (command, part.what, "--in", self.place(tails["from"].words[-1]))
        change, beside = EMPTIED[verb]
        for rule, tail in tails.items():
            if rule != beside:
                words = " ".join(tail.words)
                raise WrongUse(f'Read: "{verb}". Not read: "{words}". Nothing was written.')
        whom = [f"--{rule}={tail.words[-1]}" for rule, tail in tails.items()]
        return (command, change, part.what, *whom)

    def amount(self, command: str, verb: str, part: Part) -> str | None:
        said = part.amount
        if not said:
            if command in OF_ALL or command == "look":
                return None
            if command == "carry" and " ".join(part.what.casefold().split()) in EVERYTHING:
                return "all"
            raise WrongUse(f'"{verb} … {part.what}" does not say how much. Nothing was written.')
        if said[0].casefold() == "no" and command != "count":
            raise WrongUse(f'"{verb} no {part.what}" is nothing at all. Nothing was written.')
        if len(said) == 1:
            if self.begins_with_unit(part.what):
                raise WrongUse(f'"{part.what}" begins with a measure: put "of" before the food.')
            return {"a": "1", "an": "1", "no": "0"}.get(said[0].casefold(), said[0])
        return " ".join(said)

    def begins_with_unit(self, what: str) -> bool:
        """Three jars beans: the jars are no part of a name, unless the household has it so."""
        first = what.casefold().split()[0]
        several = len(what.split()) > 1
        return several and first in self.lexicon.units and self.foods.find(what).how != "name"

    def what(self, command: str, part: Part) -> str:
        """The food or lot; "frozen peas" are peas where all of them there are, are frozen."""
        if command in COMING:
            return part.what
        near = self.foods.find(part.what)
        if near.how == "beginning":
            raise NeedsChoice(
                f'"{part.what}" may be {listed(near.foods, "or")}: say the whole word. '
                "Nothing was written."
            )
        if near.foods:
            return part.what
        form, rest = _form_apart(part.what)
        found = self.foods.find(rest).foods if form else ()
        if len(found) != 1:
            return part.what
        had = [lot for lot in lots_of(self.book, found[0], self.foods) if lot.on_hand]
        return rest if had and all(lot.form == form for lot in had) else part.what

    def formed(self, what: str) -> list[str]:
        """A food that comes in, its form apart; nothing where none is said."""
        form, rest = _form_apart(what)
        if form is None or self.foods.find(what).how == "name":
            return []
        return [rest, "--form", form]

    def jarred(self, verb: str, part: Part, what: str) -> list[str]:
        """So many pints of a food that this household has in jars alone are jars of that size; what
        was picked or bought by the pint is not.
        """
        if MEANT[verb] != "bring-in" or verb in ORIGIN:
            return [what]
        sizes = {canonical_unit(unit) for unit in part.amount[1::2]}
        forms = {
            lot.form if lot.packed and lot.form.casefold() in JARRED else ""
            for lot in self.lots(what) or self.gone(what)
        }
        if sizes and sizes <= JAR_SIZES and len(forms) == 1 and "" not in forms:
            return [what, "--form", *forms]
        return [what]

    def option(self, command: str, rule: str, tail: Said) -> list[str]:
        text = tail.words[-1]
        if rule == "left":
            return []
        if rule.startswith("seen "):
            option = {"seen": "--seen", "sound": "--sound"}.get(text.casefold(), "--wrong")
            return [option, " ".join(tail.words[:-1])]
        if rule == "why":
            return self.why(command, text)
        if rule == "purpose":
            return ["--for" if command == "set-aside" else "--reason", text]
        if rule in ("until", "due", "price"):
            return [f"--{rule}", text]
        if command == "give" and rule == "to":
            return ["--to", text]
        if command == "expect":
            return ["--from", text]
        if command in ("carry", "dig"):
            return [f"--{rule}", self.place(text)]
        return ["--in", self.place(text)]

    def why(self, command: str, text: str) -> list[str]:
        if command == "look":
            seals = SEALS.fullmatch(text)
            if seals is None and UNSEALED.search(text):
                raise NeedsChoice(
                    f'"{text}" does not say of how many the seal failed: write it like "2 unsealed". '
                    "Nothing was written."
                )
            if seals is None:
                return ["--finding", text]
            return ["--unsealed", "0" if seals["open"] in (None, "none") else seals["open"]]
        if command == "hold":
            return ["--reason", text]
        bare = " ".join(
            word
            for word in text.casefold().split()
            if word not in ("the", "of", "it", "they", "was", "were", "had", "a", "is", "are")
        )
        if bare not in CAUSES:
            raise WrongUse(
                f'Not read: "{text}" as the cause: write one of {listed(sorted(CAUSES), "or")}. '
                "Nothing was written."
            )
        return ["--cause", CAUSES[bare]]

    def place(self, text: str) -> str:
        """The store that is meant, by its own name."""
        return names.store(self.book, text)


MEASURED = ("mass", "volume", "length")


def _is_weight(word: str) -> bool:
    unit = UNITS.get(canonical_unit(word) or "")
    return unit is not None and unit.dimension == "mass"


def _form_apart(what: str) -> tuple[str | None, str]:
    for form in FORMS:
        if what.casefold().startswith(f"{form} "):
            return form.replace("home canned", "home-canned"), what[len(form) + 1 :]
    return None, what
