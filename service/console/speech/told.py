"""From a line's readings to the console's own deeds, word for word as they would be typed.

Each verb takes what its command takes and nothing else; what may be meant otherwise ("took to",
"planted in") is asked. A reading that names what the household does not have is none; of several
that are left, a person chooses. Nothing is written here, and no deed is done a second way.
"""

import shlex
from collections.abc import Sequence

from events.book import Book
from events.kinds import Cause
from events.readings.finding import Foods, lots_of
from service.console import names
from service.console.speech import grammar
from service.console.speech.grammar import Deed, Part, Reading, Said
from service.console.speech.lexicon import MEANT, PICKED, Lexicon, as_figures, of_line
from service.console.words import listed
from service.errors import GirnelError, NeedsChoice, WrongUse

Argv = tuple[str, ...]

TAKES = {
    "take": {"from"},
    "open": {"from", "inside"},
    "carry": {"from", "to"},
    "dig": {"from", "to"},
    "toss": {"from", "why"},
    "give": {"from", "to", "price"},
    "plant": {"from"},
    "expect": set[str](),
    "bring-in": {"inside", "to"},
    "count": {"inside", "left"},
    "look": {"inside", "seen", "why"},
    "hold": {"inside", "purpose", "why", "until"},
    "release": {"inside"},
    "set-aside": {"inside", "purpose"},
    "free": {"inside"},
    "reading": {"inside"},
    "jars": {"to", "from"},
}
"""What each command may have beside when and who."""

ASKED = {
    ("take", "to"): "was it carried or given? Write carried or gave",
    ("take", "inside"): "was it taken from there, or eaten there? Write from",
    ("toss", "inside"): "did it stand there, or was it thrown in there? Write from",
    (
        "plant",
        "inside",
    ): "did the seed stock stand there, or was it planted there? Write from where it was taken",
    (
        "bring-in",
        "from",
    ): "was it carried from a store? Write carried; where it was got is not read",
    ("set-aside", "from"): "write in and where it stands",
    ("count", "from"): "write in and where it stands",
}

EMPTIED = {"broke": ("broken", ""), "lent": ("lent", "to"), "got back": ("back", "from")}
"""What befell empty vessels, and what may be said of it beside."""

ORIGIN = {"bought": "bought", "picked": "harvest", "harvested": "harvest"}
FORMS = ("home-canned", "home canned", "frozen", "dried", "fresh")
OF_ALL = {"hold", "release", "free", "set-aside"}
"""Commands that are of all of a lot where no amount is said."""

CAUSES: dict[str, Cause] = {
    "mould": "mould", "mouldy": "mould", "moldy": "mould", "mold": "mould", "rot": "rot",
    "rotten": "rot", "sprouted": "sprouted", "frozen": "frozen", "rancid": "rancid",
    "seal failed": "seal failed", "failed seal": "seal failed", "pests": "pests",
    "animals": "animals", "broken": "broken", "past best": "past best",
}  # fmt: skip


def read(book: Book, line: str) -> list[Argv]:
    """The deeds of a line, each as it would be typed.

    Raises:
        WrongUse: the line is not wholly understood; it says what was and what was not read.
        NeedsChoice: it may be meant in several ways, which are listed.
    """
    line = as_figures(line)
    lexicon = of_line(book, line)
    found: list[list[Argv]] = []
    wrong: GirnelError | None = None
    for reading in grammar.read(line, lexicon):
        try:
            deeds = _Line(book, lexicon, reading).deeds()
        except GirnelError as error:
            wrong = wrong or error
            continue
        if deeds not in found:
            found.append(deeds)
    if not found and wrong is not None:
        raise wrong
    if len(found) > 1:
        found = [deeds for deeds in found if all(_names_something(book, one) for one in deeds)]
    if len(found) != 1:
        raise NeedsChoice(_several(line, found))
    return found[0]


def _several(line: str, found: Sequence[Sequence[Argv]]) -> str:
    if not found:
        return f'"{line}" names nothing that is known here. Nothing was written.'
    ways = [" and ".join(shlex.join(["girnel", *one]) for one in deeds) for deeds in found]
    return f'"{line}" may be {listed(ways, "or")}. Nothing was written.'


def _names_something(book: Book, typed: Argv) -> bool:
    """Whether a deed's food or lot is known here; what comes in may be new."""
    if typed[0] in ("bring-in", "expect", *grammar.APART):
        return True
    what = typed[1] if typed[0] in OF_ALL or typed[0] == "look" else typed[2]
    try:
        names.lot_or_food(book, what)
    except WrongUse:
        return False
    except NeedsChoice:
        return True
    return True


class _Line:
    """One reading being turned into deeds."""

    def __init__(self, book: Book, lexicon: Lexicon, reading: Reading) -> None:
        self.book = book
        self.lexicon = lexicon
        self.reading = reading

    def deeds(self) -> list[Argv]:
        whens = self.whens()
        typed: list[Argv] = []
        who: str | None = None
        for deed, when in zip(self.reading.deeds, whens, strict=True):
            who = deed.who or who
            said = [] if when is None else ["--on", when]
            if who is not None and who.casefold() != "i":
                said += ["--by", self.member(who)]
            for part, tails in zip(deed.parts, self.shared(deed), strict=True):
                typed.append((*self.one(deed.verb, part, tails), *said))
        return typed

    def member(self, who: str) -> str:
        return next(m for m in self.book.settings.members if m.casefold() == who.casefold())

    def whens(self) -> list[str | None]:
        """When each deed was: said once before all of them, or with every one."""
        said = [
            [tail.words[0] for part in deed.parts for tail in part.tails if tail.rule == "when"]
            for deed in self.reading.deeds
        ]
        if any(len(days) > 1 for days in said):
            raise WrongUse("One deed has two dates: write each deed with its own.")
        first = self.reading.when
        if first is not None:
            if any(said):
                raise WrongUse(f'"{first}" is said of all, and there is another date: write one.')
            return [first for _ in said]
        if any(said) and not all(said):
            day = next(days[0] for days in said if days)
            raise NeedsChoice(
                f'"{day}" may be said of one deed or of all: say it first, or with each of them.'
            )
        return [days[0] if days else None for days in said]

    def shared(self, deed: Deed) -> list[dict[str, Said]]:
        """What is said of each part; what is said after the last may be of all."""
        own = [self.tails(deed.verb, part) for part in deed.parts]
        for rule in sorted({rule for tails in own for rule in tails}):
            having = [rule in tails for tails in own]
            if all(having):
                continue
            said = own[-1].get(rule)
            if said is None or any(having[:-1]) or not self.of_all(deed, rule, said):
                words = " ".join(next(tails[rule] for tails in own if rule in tails).words)
                raise NeedsChoice(f'"{words}" may be said of one or of all: say it with each.')
            for tails in own:
                tails[rule] = said
        return own

    def of_all(self, deed: Deed, rule: str, said: Said) -> bool:
        """Whether what is said last is plainly of every part: what stands there is known to."""
        if rule == "to":
            return True
        if rule not in ("from", "inside"):
            return False
        if MEANT[deed.verb] == "bring-in":
            return True
        store = names.store(self.book, said.words[1])
        for part in deed.parts:
            what = names.lot_or_food(self.book, part.what)
            lots = lots_of(self.book, what) if isinstance(what, str) else [what]
            if not any(names.stands_in(lot, store) for lot in lots):
                return False
        return True

    def tails(self, verb: str, part: Part) -> dict[str, Said]:
        command = MEANT[verb]
        found: dict[str, Said] = {}
        for tail in part.tails:
            if tail.rule == "when":
                continue
            words = " ".join(tail.words)
            if (asked := ASKED.get((command, tail.rule))) is not None:
                raise NeedsChoice(f'"{verb} … {words}": {asked}. Nothing was written.')
            if (elsewhere := self.elsewhere(verb, tail)) is not None:
                raise NeedsChoice(f'"{verb} … {words}": {elsewhere}. Nothing was written.')
            if tail.rule not in TAKES[command] or (tail.rule == "price" and verb != "sold"):
                raise WrongUse(f'Read: "{verb}". Not read: "{words}". Nothing was written.')
            rule = f"seen {tail.words[-1]}" if tail.rule == "seen" else tail.rule
            rule = "from" if rule == "inside" else rule
            if rule in found:
                raise WrongUse(
                    f'"{words}" is said beside another one: write one. Nothing was written.'
                )
            found[rule] = tail
        return found

    def elsewhere(self, verb: str, tail: Said) -> str | None:
        """What else a place beside this verb may mean."""
        if tail.rule == "inside" and verb in PICKED:
            return "was it got there, or put there? Write to where it was put"
        if MEANT[verb] == "give" and tail.rule == "to" and self.is_store(tail.words[-1]):
            return "is that a store here? Write carried, or say who got it"
        return None

    def is_store(self, text: str) -> bool:
        try:
            names.store(self.book, text)
        except WrongUse:
            return False
        except NeedsChoice:
            return True
        return True

    # -- one part, as it would be typed --------------------------------------------------------

    def one(self, verb: str, part: Part, tails: dict[str, Said]) -> Argv:
        command = MEANT[verb]
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
        if command in ("bring-in", "expect"):
            words = [*words[:2], *self.formed(what)]
        if command == "bring-in" and verb in ORIGIN:
            words += ["--origin", ORIGIN[verb]]
        if verb == "weighed":
            words.append("--weighed")
        if command == "carry" and not {"from", "to"} <= set(tails):
            raise WrongUse(f'"{verb}" says from where and to where. Nothing was written.')
        if command == "dig" and "to" not in tails:
            raise WrongUse(f'"{verb}" says to where. Nothing was written.')
        for rule, tail in tails.items():
            words += self.option(command, rule, tail)
        return tuple(words)

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
        return several and first in self.lexicon.units and Foods(self.book).find(what).how != "name"

    def what(self, command: str, part: Part) -> str:
        """The food or lot; "frozen peas" are peas where all of them there are, are frozen."""
        foods = Foods(self.book)
        if command in ("bring-in", "expect"):
            return part.what
        near = foods.find(part.what)
        if near.how == "beginning":
            raise NeedsChoice(
                f'"{part.what}" may be {listed(near.foods, "or")}: say the whole word. '
                "Nothing was written."
            )
        if near.foods:
            return part.what
        form, rest = _form_apart(part.what)
        found = foods.find(rest).foods if form else ()
        if len(found) != 1:
            return part.what
        had = [lot for lot in lots_of(self.book, found[0], foods) if lot.on_hand]
        return rest if had and all(lot.form == form for lot in had) else part.what

    def formed(self, what: str) -> list[str]:
        """A food that comes in, its form apart."""
        form, rest = _form_apart(what)
        if form is None or Foods(self.book).find(what).how == "name":
            return [what]
        return [rest, "--form", form]

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
        if command == "give" and rule == "to":
            return ["--to", text]
        if rule == "until":
            return ["--until", text]
        if command == "bring-in":
            return ["--in", self.place(text)]
        if rule == "price":
            return ["--price", text]
        if command in ("carry", "dig"):
            return [f"--{rule}", self.place(text)]
        return ["--in", self.place(text)]

    def why(self, command: str, text: str) -> list[str]:
        if command == "look":
            return ["--finding", text]
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


def _form_apart(what: str) -> tuple[str | None, str]:
    for form in FORMS:
        if what.casefold().startswith(f"{form} "):
            return form.replace("home canned", "home-canned"), what[len(form) + 1 :]
    return None, what
