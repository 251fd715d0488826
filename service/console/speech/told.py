"""From a line's readings to the console's own deeds, word for word as they would be typed.

Each verb takes what its command takes and nothing else; what may be meant otherwise ("took to",
"planted in") is asked. A reading that names what the household does not have is none; of several
that are left, a person chooses. Nothing is written here, and no deed is done a second way.
"""

import shlex
from collections.abc import Sequence
from datetime import datetime

from events.book import Book
from events.readings.finding import lots_of
from service.console import names
from service.console.speech import days, grammar, own
from service.console.speech.grammar import Deed, Part, Reading, Said
from service.console.speech.lexicon import MEANT, PICKED, Lexicon, as_figures, of_line
from service.console.speech.parts import OF_ALL, Argv, Parts
from service.console.words import listed
from service.errors import GirnelError, NeedsChoice, WrongUse

TAKES = {
    "take": {"from"},
    "open": {"from", "inside"},
    "carry": {"from", "to"},
    "dig": {"from", "to"},
    "toss": {"from", "why"},
    "give": {"from", "to", "price"},
    "plant": {"from"},
    "expect": {"from", "due"},
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

ANIMALS = frozenset({
    "hen", "hens", "chicken", "chickens", "pig", "pigs", "dog", "dogs", "cat", "cats", "goat",
    "goats", "duck", "ducks", "geese", "rabbits", "animals", "birds", "compost", "bin",
})  # fmt: skip
"""To whom food is not given away, but thrown."""


def read(book: Book, line: str, now: datetime) -> list[Argv]:
    """The deeds of a line, each as it would be typed; `now` by the clock on the wall.

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
            deeds = _Line(book, lexicon, reading, now).deeds()
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
    if typed[0] in ("bring-in", "expect", "undo", "settle", "incident", "put-up", "repack",
                    *grammar.APART):  # fmt: skip
        return True
    what = typed[1] if typed[0] in OF_ALL or typed[0] in ("look", "amend") else typed[2]
    try:
        names.lot_or_food(book, what)
    except WrongUse:
        return False
    except NeedsChoice:
        return True
    return True


class _Line:
    """One reading being turned into deeds."""

    def __init__(self, book: Book, lexicon: Lexicon, reading: Reading, now: datetime) -> None:
        self.book = book
        self.parts = Parts(book, lexicon)
        self.reading = reading
        self.now = now

    def deeds(self) -> list[Argv]:
        if (whole := self.reading.own) is not None:
            by = [] if whole.who in (None, "I", "i") else ["--by", self.member(whole.who or "")]
            return [(*own.typed(whole, self.parts, self.reading.when, self.now), *by)]
        whens = self.whens()
        typed: list[Argv] = []
        who: str | None = None
        for deed, when in zip(self.reading.deeds, whens, strict=True):
            who = deed.who or who
            said = [] if when is None else ["--on", when]
            if who is not None and who.casefold() != "i":
                said += ["--by", self.member(who)]
            for part, tails in zip(deed.parts, self.shared(deed), strict=True):
                command = MEANT[deed.verb]
                typed.append((*self.parts.one(command, deed.verb, part, tails), *said))
        return typed

    def member(self, who: str) -> str:
        return next(m for m in self.book.settings.members if m.casefold() == who.casefold())

    def whens(self) -> list[str | None]:
        """When each deed was: said once before all of them, or with every one."""
        said = [
            [tail.words[0] for part in deed.parts for tail in part.tails if tail.rule == "when"]
            for deed in self.reading.deeds
        ]
        if any(len(one) > 1 for one in said):
            raise WrongUse("One deed has two dates: write each deed with its own.")
        first = self.reading.when
        for deed, own_days in zip(self.reading.deeds, said, strict=True):
            for day in own_days or ([first] if first is not None else []):
                days.done(deed.verb, day)
        if first is not None:
            if any(said):
                raise WrongUse(f'"{first}" is said of all, and there is another date: write one.')
            return [days.one_day(first, self.now) for _ in said]
        if any(said) and not all(said):
            day = next(one[0] for one in said if one)
            raise NeedsChoice(
                f'"{day}" may be said of one deed or of all: say it first, or with each of them.'
            )
        return [days.one_day(one[0], self.now) if one else None for one in said]

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
        for before, tail in zip((None, *part.tails), part.tails, strict=False):
            if tail.rule == "when":
                if before is not None and before.rule == "purpose":
                    raise NeedsChoice(
                        f'"{before.words[-1]} {tail.words[0]}": is that day when it was done, or '
                        "what it is for? Say the day first. Nothing was written."
                    )
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
        if MEANT[verb] == "give" and tail.rule == "to" and tail.words[-1].casefold() in ANIMALS:
            return "was it thrown to them? Write threw out"
        return None

    def is_store(self, text: str) -> bool:
        try:
            names.store(self.book, text)
        except WrongUse:
            return False
        except NeedsChoice:
            return True
        return True
