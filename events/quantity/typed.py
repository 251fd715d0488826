"""Amounts as people type them: "12 qt", "1 1/2 lb", "½ box", "3-4 lb", "about 60", "some".

The rule: what has one meaning is read kindly, what has two is listed and never guessed. What was
typed is kept beside what was understood. Not here: foods, lots and what a bare number counts.
"""

import re
import unicodedata
from collections.abc import Collection
from fractions import Fraction
from math import ceil, floor

from msgspec import Struct

from events.kinds import GRAIN, MAX_COUNT
from events.quantity.units import UNITS, System, canonical_unit, convert, two_ways

ABOUT = Fraction(3, 20)
"""How far "about" reaches either way where no range is given: our own rule, no source read."""


class NotUnderstood(ValueError):
    """What was typed cannot be read in one way only; the text is one sentence for that person."""


class TwoWays(NotUnderstood):
    """What was typed may mean several things, which the text lists: a person has to say which."""


class Said(Struct, frozen=True):
    """What a person typed, understood. Figures are of `unit`; None: no unit was said.

    `low` None: exact. With `low`, an estimate: `n` likely, `high` None where nobody knows.
    """

    n: Fraction | None
    low: Fraction | None
    high: Fraction | None
    unit: str | None
    text: str


_WORDS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "no": 0,
}  # fmt: skip
_PARTS = {"half a": "1/2", "half an": "1/2", "half": "1/2", "a quarter of a": "1/4",
          "a third of a": "1/3", "three quarters of a": "3/4", "two thirds of a": "2/3"}  # fmt: skip
_PLAIN = r"(?:[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?|[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_NUMBER = rf"(?:[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|{_PLAIN})"
_NUMBER_ALONE = re.compile(_NUMBER)
_UNIT = r"(?: ?([^0-9\s.,+-].*))?"
_BARE = re.compile(rf"({_NUMBER}){_UNIT}")
_RANGE = re.compile(rf"({_NUMBER}) ?([^0-9\s-][^0-9-]*?)? ?(?:-|to|or) ?({_NUMBER}){_UNIT}")
_UP_TO = re.compile(rf"up to ({_NUMBER}){_UNIT}")
_MORE = re.compile(rf"({_NUMBER})(?: ?\+| or more){_UNIT}")
_AT_LEAST = re.compile(rf"at least ({_NUMBER}){_UNIT}")
_LIKELY = re.compile(rf"({_NUMBER}) ?\(({_NUMBER}) ?- ?({_NUMBER})\){_UNIT}")
_TERM = re.compile(rf"({_NUMBER}) ?([^0-9+,]+)")
_NEXT_TERM = re.compile(r" ?(?:\+|,| and ) ?|(?<=[a-z.#]) (?=[0-9])")
_ABOUT = re.compile(
    r"(?:\?|~|≈|(?:about|around|roughly|approximately|approx\.?|circa|ca\.|maybe|perhaps"
    r"|probably|estimated|est\.|some(?= ?[0-9]))(?![a-z])) ?"
)
_ABOUT_AFTER = re.compile(r" ?(?:\?|or so|-?ish|or thereabouts|\((?:estimate|about|approx\.?)\))$")
_EXACT = re.compile(r"^exactly |,? ?\(?exact(?:ly| count)?\)?$")
_SOME = re.compile(
    r"(?:some|several|a few|few|many|lots(?: of)?|a lot(?: of)?|plenty(?: of)?|unknown|not known"
    r"|an unknown number(?: of)?|\?+)(?: ([^0-9?][^0-9]*))?"
)
_NONE = frozenset(("none", "nothing", "nought", "zero", "empty", "nil"))
_COMMENT = re.compile(r",(?= [^0-9]*$).*$")
_COMMA_DECIMAL = re.compile(r"(?<![0-9,.])(?:(0)|([0-9]+)),([0-9]+)(?![0-9,.])")
_THOUSANDS = re.compile(r"(?<![0-9.,])([1-9][0-9]{0,2})\.([0-9]{3})(?![0-9.,/])")
_MIXED = re.compile(r"[1-9][0-9]*-[0-9]+/[0-9]+(?![0-9/]| ?(?:-|to |or ))")
LONGEST = 200
"""No more than that many signs of what was typed fit a record."""


def number(text: str) -> Fraction:
    """One figure, not below nought: "2", "0.35", "1/3", "1 1/2", "1½", "1,200".

    Raises:
        NotUnderstood: it is no such figure, or could be read in two ways.
    """
    plain = _plain(text)
    if not _NUMBER_ALONE.fullmatch(plain):
        raise NotUnderstood(f"“{text}” is not a number: write it like 2, 0.5 or 1 1/2.")
    return _figure(plain, text)


def parse(text: str, own_units: Collection[str] = (), system: System = "us") -> Said:
    """What a person typed for an amount.

    `own_units`: the household's own units that may be named. `system`: what a bare quart is.

    Raises:
        NotUnderstood: with one sentence that says what was read and what to write.
    """
    rest = _plain(text)
    if not rest:
        raise NotUnderstood("No amount was given: write one like 12 qt, 1 1/2 lb or some.")
    if rest in _NONE:
        return Said(Fraction(0), None, None, None, text)
    reader = _Reader(text, own_units, system)
    rest, exactly = _strip(_EXACT, rest)
    rest = _COMMENT.sub("", rest)
    if unknown := _SOME.fullmatch(rest):
        return Said(Fraction(0), Fraction(0), None, reader.unit(unknown[1]), text)
    rest, about = _strip_about(rest)
    said = reader.read(rest)
    _no_thousands(rest, said)
    if max(said.n or 0, said.high or 0) * GRAIN > MAX_COUNT:
        raise NotUnderstood(f"“{text}” is more than the books can hold: write it in a larger unit.")
    if exactly and (about or said.low is not None):
        raise NotUnderstood(f"“{text}” says exact and also about: write one or the other.")
    return _roughly(said) if about and said.low is None else said


class _Reader:
    """One amount being read; it keeps what was typed for the sentences."""

    def __init__(self, text: str, own_units: Collection[str], system: System) -> None:
        self.text = text
        self.own_units = own_units
        self.system: System = system

    def read(self, rest: str) -> Said:
        between = rest.removeprefix("between ")
        spread = rest if between == rest else between.replace(" and ", " to ")
        if not _MIXED.match(rest) and (ends := _RANGE.fullmatch(spread)):
            return self.between(*ends.groups())
        if likely := _LIKELY.fullmatch(rest):
            return self.likely(*likely.groups())
        if upto := _UP_TO.fullmatch(rest):
            return self.between("0", None, upto[1], upto[2])
        if more := _MORE.fullmatch(rest) or _AT_LEAST.fullmatch(rest):
            low = _figure(more[1], self.text)
            return Said(low, low, None, self.unit(more[2]), self.text)
        plain = _BARE.fullmatch(rest)
        if plain and not self.is_sum(plain[2]):
            return Said(_figure(plain[1], self.text), None, None, self.unit(plain[2]), self.text)
        return self.terms(rest)

    def is_sum(self, word: str | None) -> bool:
        """Whether another figure follows the unit; a unit of one's own may have figures in it."""
        if not word or not re.search(r"[0-9]", word):
            return False
        return canonical_unit(word, self.own_units, self.system) is None

    def between(self, first: str, first_unit: str | None, last: str, last_unit: str | None) -> Said:
        low, high = _figure(first, self.text), _figure(last, self.text)
        unit = self.unit(last_unit)
        if first_unit and self.unit(first_unit) != unit:
            raise NotUnderstood(
                f"“{self.text}” has two units: write both ends in one, like 3-4 lb."
            )
        if high <= low:
            raise NotUnderstood(f"“{self.text}” does not rise: write the smaller figure first.")
        return Said((low + high) / 2, low, high, unit, self.text)

    def likely(self, middle: str, first: str, last: str, unit: str | None) -> Said:
        n, low, high = (_figure(figure, self.text) for figure in (middle, first, last))
        if not low <= n <= high:
            raise NotUnderstood(f"“{self.text}”: {middle} does not lie between {first} and {last}.")
        return Said(n, low, high, self.unit(unit), self.text)

    def terms(self, rest: str) -> Said:
        """A sum, in the unit that was said first: 3 lb 4 oz, 34 qt + 1 pt."""
        terms = [_TERM.fullmatch(piece) for piece in _NEXT_TERM.split(rest)]
        if len(terms) < 2:
            raise self.unread(rest)
        total, unit = Fraction(0), ""
        for term in terms:
            if term is None:
                raise self.unread(rest)
            here = self.unit(term[2]) or ""
            unit = unit or here
            part = convert(_figure(term[1], self.text), here, unit)
            if part is None:
                raise NotUnderstood(f"“{self.text}” adds {unit} and {here}: write each by itself.")
            total += part
        return Said(total, None, None, unit, self.text)

    def unit(self, word: str | None) -> str | None:
        """The unit's one name; None where none was said."""
        if not word or not word.strip():
            return None
        name = canonical_unit(word.strip(" ,").removeprefix("of "), self.own_units, self.system)
        if name is not None:
            return name
        if both := two_ways(word):
            raise TwoWays(f"“{self.text}”: “{word.strip()}” may be {both}: write which.")
        if self.system == "imperial" and canonical_unit(word):
            raise NotUnderstood(
                f"“{self.text}”: “{word.strip()}” is not an imperial measure: write US {word.strip()},"
                " or ml."
            )
        raise NotUnderstood(
            f"“{self.text}”: “{word.strip()}” is not a unit known here: write one like lb, kg, qt,"
            " jar or bag, and the food apart."
        )

    def unread(self, rest: str) -> NotUnderstood:
        if re.match(r"-[0-9.]", rest):
            return NotUnderstood(f"“{self.text}” is below nought: write how much there is.")
        return NotUnderstood(
            f"“{self.text}” is not an amount that can be read: write one like 12 qt, 1 1/2 lb,"
            " 3-4 lb, about 60 or some."
        )


def _plain(text: str) -> str:
    """Small letters, single spaces, plain hyphens; ½ and number words as figures."""
    if len(text) > LONGEST:
        raise NotUnderstood(f"An amount of {len(text)} signs is too long: write at most {LONGEST}.")
    rest = re.sub(r"\s+", " ", "".join(map(_spelt, text)).lower()).strip()
    if not rest.isprintable():
        raise NotUnderstood("The amount has signs in it that cannot be printed: type it again.")
    if unclear := _COMMA_DECIMAL.search(rest):
        whole, places = unclear[1] or unclear[2], unclear[3]
        if unclear[1] or len(places) != 3 or len(whole) > 3:
            raise TwoWays(
                f"“{text.strip()}” could be read in two ways: write {whole}.{places} with a point, or"
                f" {(whole + places).lstrip('0') or 0} without the comma."
            )
    for words, part in _PARTS.items():
        rest = re.sub(rf"^{words} (?=[a-z])", f"{part} ", rest)
    first, _, tail = rest.partition(" ")
    if first in _WORDS and tail and not rest.startswith(("a few", "a lot")):
        return f"{_WORDS[first]} {tail}"
    return str(_WORDS[rest]) if rest in _WORDS and rest not in ("a", "an", "no") else rest


FINE = frozenset({"g", "ml"})
"""Measures of which nobody weighs or pours a thousandth part."""


def _no_thousands(rest: str, said: Said) -> None:
    """1.200 g may be twelve hundred; 1.250 kg is what a scale shows."""
    found = _THOUSANDS.search(rest)
    if found is None:
        return
    unit = UNITS.get(said.unit or "")
    counted = unit is None or unit.dimension in ("pieces", "counted")
    whole, places = found[1], found[2]
    if said.unit in FINE or (counted and places.endswith("0")):
        bare = places.rstrip("0")
        raise TwoWays(
            f"“{said.text.strip()}” could be read in two ways: write "
            f"{whole}{f'.{bare}' if bare else ''}{'' if places.endswith('0') else '0'}, "
            f"or {whole}{places} without the point."
        )


def _spelt(sign: str) -> str:
    if unicodedata.category(sign) == "Pd" or sign == "\u2212":
        return "-"
    part = unicodedata.normalize("NFKC", sign).replace("\u2044", "/")
    if sign == "\u2044" or (unicodedata.category(sign) == "No" and "/" in part):
        return part if sign == "\u2044" else f" {part}"
    return sign


def _figure(plain: str, text: str) -> Fraction:
    parts = re.split(r"[ -]", plain.replace(",", ""))
    if any(re.search(r"/0+$", part) for part in parts):
        raise NotUnderstood(f"“{text}” divides by nought: write it like 1/2.")
    if len(parts) > 1 and Fraction(parts[1]) >= 1:
        raise NotUnderstood(f"“{text}” has a whole number and a part of one or more: write 1 1/2.")
    return sum((Fraction(part) for part in parts), Fraction(0))


def _strip(pattern: re.Pattern[str], rest: str) -> tuple[str, bool]:
    bare = pattern.sub("", rest).strip()
    return (bare, True) if bare and bare != rest else (rest, False)


def _strip_about(rest: str) -> tuple[str, bool]:
    """Without the words before and after that say it is a guess."""
    bare = rest
    while found := _ABOUT.match(bare):
        bare = bare[found.end() :]
    bare = _ABOUT_AFTER.sub("", bare)
    return bare.strip(), bare != rest


def _roughly(said: Said) -> Said:
    """An estimate a little either way; a whole number of two or more stays whole at both ends."""
    n = said.n or Fraction(0)
    low, high = n * (1 - ABOUT), n * (1 + ABOUT)
    if n.denominator == 1 and n >= 2:
        low, high = Fraction(floor(low)), Fraction(ceil(high))
    return Said(n, low, high, said.unit, said.text)
