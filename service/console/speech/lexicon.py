"""Which words of a line may be what: units, members, names that hold words of the grammar.

The rule: names come from the household alone. A name of its own that holds an "and" or an "of" is
known as one name; any other name ends where a word of the grammar begins.
"""

import re
from collections.abc import Collection, Iterable

from msgspec import Struct

from events.book import Book
from events.quantity import UNITS, canonical_unit
from events.readings.finding import Foods
from service.console import amounts

VERBS = {
    "take": ("took", "take", "ate up", "ate", "eat", "used up", "used", "cooked", "drank"),
    "open": ("opened", "open"),
    "carry": ("carried", "carry", "moved", "move"),
    "dig": ("dug up", "dug", "dig"),
    "toss": ("tossed", "toss", "threw out", "threw away", "composted", "binned", "discarded"),
    "give": ("gave away", "gave", "give", "sold", "traded", "swapped"),
    "plant": ("planted", "sowed"),
    "expect": ("ordered",),
    "bring-in": ("brought in", "bring in", "bought", "picked", "harvested"),
    "count": ("counted", "count", "weighed", "there are", "there is"),
    "look": ("looked at", "look at", "checked"),
    "hold": ("held", "hold"),
    "release": ("released", "release"),
    "set-aside": ("set aside", "kept back", "keep back"),
    "free": ("freed", "free"),
    "reading": ("read", "measured"),
    "jars": ("broke", "lent", "got back"),
}
"""Commands of the console, and the words by which people say that they did it."""

MEANT = {said: command for command, words in VERBS.items() for said in words}

PRESENT = ("take", "eat", "open", "carry", "move", "dig", "toss", "give", "bring in", "count",
           "look at", "hold", "release", "keep back", "free")  # fmt: skip
"""Verbs that may speak of what is still to be done."""

PICKED = ("picked", "harvested", "bought")
"""Verbs beside which "in" a place may be where it was got."""

DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = ("january", "february", "march", "april", "june", "july", "august", "september",
          "october", "november", "december", "jan", "feb", "mar", "apr", "may", "jun", "jul",
          "aug", "sept", "sep", "oct", "nov", "dec")  # fmt: skip
NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
           "eleven", "twelve", "an", "a", "no")  # fmt: skip
_ENDS = """
    lot of from to into in on at out off and then or the our my your all rest some few several
    half because until since for by with today yesterday tonight this last ago before after
    left seen sound wrong not about around roughly exactly quarter third between least up i
    we it them that these those more another each every both but except he she they you his
    her their if when again already never nearly almost without was were been is are will
    would did do does only just also maybe perhaps probably possibly think guess should could
    might must due each tomorrow undo put froze flooded thawed belongs
"""
RESERVED = {*DAYS, *NUMBERS, *(said.split()[0] for said in MEANT), *_ENDS.split()}
"""Words at which a name ends that the household does not know as a whole."""

JOINED = 5
"""No name of a unit, a food or a member has more words than this in a line."""


class Lexicon(Struct, frozen=True):
    """What the words of one line may be, longest first."""

    units: tuple[str, ...]
    known: tuple[str, ...]
    members: tuple[str, ...]


def of_line(book: Book, line: str) -> Lexicon:
    """The units, joined names and members that are found in a line."""
    spans = _spans(line)
    own = amounts.own_units(book)
    foods = Foods(book)
    tops = {store.partition("/")[0].replace("-", " ") for store in book.settings.stores}
    members = {member.casefold() for member in book.settings.members}
    known = {
        span
        for span in spans
        if set(span.split()) & RESERVED and (foods.find(span).how == "name" or span in tops)
    }
    return Lexicon(
        _longest(span for span in spans if _is_unit(span, own)),
        _longest(known),
        _longest(span for span in spans if span in members),
    )


def _is_unit(span: str, own: Collection[str]) -> bool:
    """Whether a span is a measure, a unit of the household, or a vessel by its size."""
    name = canonical_unit(span, own)
    if name is None:
        return False
    return name in UNITS or name in own or name.rpartition(" ")[2] in amounts.VESSELS


def _longest(found: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted(set(found), key=lambda span: (-len(span), span)))


def _spans(line: str) -> set[str]:
    """Every run of neighbouring words of the line, small letters, figures before them left out."""
    words = [
        re.sub(r"^[0-9][0-9/.,]*", "", word) for word in re.split(r"[\s,;:]+", line.casefold())
    ]
    return {
        " ".join(words[first : first + size]).strip()
        for size in range(1, JOINED + 1)
        for first in range(len(words) - size + 1)
    } - {""}


LOADS = {"put up": None, "canned": "canned", "pressure canned": "pressure canned",
         "froze": "frozen", "dried": "dried", "freeze-dried": "freeze-dried", "made": None}  # fmt: skip
"""Verbs for a load that was put up, and the method that they say."""

PACKED = ("repacked", "packed anew")
FACTS = ("variety", "label", "owner", "altitude", "form", "acid")
"""What may be said of a lot in a line; the rest is for girnel amend."""

UNDOING = re.compile(
    r"(?:(?:no|oops|sorry),? )?(?:undo|take back|scratch|cancel)"
    r"(?: (?:that|it|that one|(?:the|my) last(?: one| deed| entry)?))?"
    r"|(?:(?:no|oops|sorry),? )?take that back",
    re.IGNORECASE,
)
"""The last deed is taken back; what another one was is not said in a line."""

OUTAGES = ("power", "electricity", "current")
EVENTS = (
    "power cut", "power outage", "power failure", "outage", "blackout", "hard frost", "frost",
    "flood", "flooding", "heat wave", "heatwave", "heat", "leak", "roof leak", "burst pipe", "mice", "rats", "squirrels", "raccoons", "bears", "a bear", "animals",
    "moths", "weevils", "ants",
)  # fmt: skip
"""What befalls a store, in one or two words."""

WHOLES = {"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6"}
PARTS = {"a half": "1/2", "a quarter": "1/4", "three quarters": "3/4"}
AND_A_PART = re.compile(
    rf"\b([1-9][0-9]?|{'|'.join(WHOLES)}) and ({'|'.join(PARTS)})\b(?! of)", re.IGNORECASE
)
"""One and a half, which is one figure; not the half of another thing."""

AND_A_HALF = re.compile(
    rf"\b([1-9][0-9]?|a|{'|'.join(WHOLES)}) (?:(dozen) and a half\b(?! of (?:the|a)\b)|"
    r"(pounds?|lbs?|kilos?|kg|jars?|quarts?|pints?|cups?|gallons?|pecks?|bushels?|lit(?:er|re)s?) "
    r"and a half(?= of\b))",
    re.IGNORECASE,
)
"""A dozen and a half, three jars and a half of it: the half is of the measure that was said."""


HALF = re.compile(
    r"\b(?:a |one[ -])?half[ -](?=(?:jar|bag|bottle|box|bucket|crate|dozen|sack|tin|can|packet|"
    r"pound|lb|kilo|bushel|peck|loaf)\b)",
    re.IGNORECASE,
)
"""Half a jar, said without its "a" or with another one; a half pint is a measure of its own."""


def _figure(said: "re.Match[str]") -> str:
    whole, part = said[1].casefold(), said[2].casefold()
    return f"{WHOLES.get(whole, whole)} {PARTS[part]}"


def _and_a_half(said: "re.Match[str]") -> str:
    whole = said[1].casefold()
    return f"{WHOLES.get(whole, whole).replace('a', '1')} 1/2 {said[2] or said[3]}"


def as_figures(line: str) -> str:
    """The line with "one and a half" and "a dozen and a half" and "half jar" as figures."""
    return HALF.sub("1/2 ", AND_A_PART.sub(_figure, AND_A_HALF.sub(_and_a_half, line)))
