"""Dates as people type them, and as makers print them, turned into EDTF where they have one meaning.

The rule: a date that can be read in two ways is listed, never guessed, and a printed code is not a
date until the household says how to read it. Whoever asks says what day it is; there is no clock
here. What was typed or printed is kept beside what was understood.
"""

import re
from collections.abc import Sequence
from datetime import date, timedelta
from typing import NamedTuple

from msgspec import Struct

from events import edtf
from events.kinds import DateKind
from events.quantity import NotUnderstood, TwoWays

_MONTH_NAMES = ("january", "february", "march", "april", "may", "june", "july", "august",
                "september", "october", "november", "december")  # fmt: skip
_SEASON_NAMES = {"spring": 21, "summer": 22, "autumn": 23, "fall": 23, "winter": 24}
_DAY_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_ABOUT = re.compile(r"^(?:about|around|approximately|approx\.?|roughly|circa|ca\.?|c\.|~) ?|~$")
_PERHAPS = re.compile(r"^(?:maybe|perhaps|probably|\?) ?| ?\?$")
_SINCE = re.compile(r"(?:from|since) (?!.* (?:to|until) )(.+)|(.+) (?:on|onwards)")
_UNTIL = re.compile(r"(until|up to|till|no later than|by|before) (.+)")
_CLOCK = re.compile(r"(.+?)[ ,t]+(?:at )?([0-9]{1,2})(?::([0-9]{2}))?(?::([0-9]{2}))? ?(am|pm)?")
_NUMBERS = re.compile(r"([0-9]{1,4})([/.-])([0-9]{1,2})\2([0-9]{1,4})")
_MONTH_YEAR = re.compile(r"([0-9]{1,2})[/.]([0-9]{4}|[0-9]{1,2})")
_AGO = re.compile(r"(a|[0-9]{1,3}) (day|week)s? ago")
_BETWEEN = re.compile(r" to | until | and | - |-|/")
_TOKEN = re.compile(r"[a-z]+|'?[0-9]+")
HOW_TO = "write it like 14 Aug 2026, 2026-08-14, Aug 2026 or 1-20 Aug 2026"
LONGEST = 200
EARLIEST, LATEST = edtf.day_ms("1900-01-01", 0), edtf.day_ms("2200-01-01", 0)


class _Parts(NamedTuple):
    """As much of a date as was said; `month` 21 to 24 is a season."""

    year: int | None = None
    month: int | None = None
    day: int | None = None

    def text(self) -> str:
        month = "" if self.month is None else f"-{self.month:02}"
        day = "" if self.day is None else f"-{self.day:02}"
        return f"{self.year or 0:04}{month}{day}"


def read(typed: str, today: date, *, day_first: bool | None = None, ahead: bool = False) -> str:
    """EDTF for what a person typed.

    `day_first`: whether 4/5/2026 is the 4th of May; None: it is not known, both are listed. A day or
    month without a year is the last one up to `today`; with `ahead`, the next one from `today`.

    Raises:
        TwoWays: it has several meanings, which are listed.
        NotUnderstood: one sentence with what was read.
    """
    return _Reader(typed, today, day_first, ahead).read()


class _Reader:
    """One date being read; it keeps what was typed for the sentences."""

    def __init__(self, typed: str, today: date, day_first: bool | None, ahead: bool) -> None:
        self.typed, self.today = typed, today
        self.day_first, self.ahead = day_first, ahead
        self.has_year = False  # a print has one: two figures of it are no day and month

    def read(self) -> str:
        asis = self.typed.strip()
        if len(asis) > LONGEST:
            raise NotUnderstood(f"A date of {len(asis)} signs is too long: {HOW_TO}.")
        if not asis:
            raise NotUnderstood(f"No date was given: {HOW_TO}.")
        if _is_edtf(asis):
            self.must_be_likely(asis)
            return asis
        text = re.sub(r"[\u2010-\u2015\u2212]", "-", re.sub(r"\s+", " ", asis.lower()))
        about, text = _stripped(_ABOUT, text)
        perhaps, text = _stripped(_PERHAPS, text)
        about_too, text = _stripped(_ABOUT, text)
        sure = {(False, False): "", (True, False): "~", (False, True): "?"}.get(
            (about or about_too, perhaps), "%"
        )
        found = self.interval(text)
        found = "/".join(end + sure if end.strip(".") else end for end in found.split("/"))
        self.must_be_likely(found)
        return found

    def must_be_likely(self, found: str) -> None:
        """A date that exists, in a year from which a household may have food."""
        try:
            ends = edtf.span(found, 0)
        except ValueError as error:
            said = "" if f"“{self.typed}”" in str(error) else f"“{self.typed}”: "
            raise NotUnderstood(f"{said}{error}") from None
        if any(end is not None and not EARLIEST <= end < LATEST for end in ends):
            raise NotUnderstood(
                f"“{self.typed}” is no year from 1900 to 2199: write the year in full."
            )

    def interval(self, text: str) -> str:
        if since := _SINCE.fullmatch(text):
            return f"{self.one(since[1] or since[2])}/.."
        if until := _UNTIL.fullmatch(text):
            last = self.one(until[2])
            if until[1] == "before":
                last = edtf.date_of((edtf.span(last, 0)[0] or 1) - 1, 0)
            return f"../{last}"
        single = self.maybe(text)
        if single is not None:
            return single
        bare = re.sub(r"^(?:between|from) ", "", text)
        for gap in _BETWEEN.finditer(bare):
            first, last = bare[: gap.start()].strip(), bare[gap.end() :].strip()
            end = self.maybe(last) if first and last else None
            start = None if end is None else self.start(first, end)
            if start is not None:
                return f"{start}/{end}"
        raise self.unread()

    def start(self, text: str, end: str) -> str | None:
        """The first date of an interval, which may leave to the last one what both share."""
        parts = _parts(_tokens(text))
        if parts is None or parts.year is not None:
            return self.maybe(text)
        last = [int(figure) for figure in re.findall(r"[0-9]+", end.partition("T")[0])]
        if parts.month is None:
            return None if len(last) < 3 else _Parts(last[0], last[1], parts.day).text()
        before = len(last) > 1 and parts.month > last[1]
        return parts._replace(year=last[0] - before).text()

    def one(self, text: str) -> str:
        found = self.maybe(text)
        if found is None:
            raise self.unread()
        return found

    def maybe(self, text: str) -> str | None:
        """A date, month, year, season or moment; None where it is none of them."""
        clock = _CLOCK.fullmatch(text)
        if clock and (clock[3] or clock[5]):
            day = self.maybe(clock[1])
            return None if day is None or len(day) != 10 else f"{day}T{self.clock(clock)}"
        if _is_edtf(text) and "/" not in text:
            return text
        return self.spoken(text) or self.numbers(text) or self.month_year(text) or self.words(text)

    def clock(self, said: re.Match[str]) -> str:
        hour = int(said[2])
        if said[5]:
            if not 1 <= hour <= 12:
                raise NotUnderstood(
                    f"“{self.typed}” has no such hour: write it like 18:04 or 6:04 pm."
                )
            hour = hour % 12 + (12 if said[5] == "pm" else 0)
        return f"{hour:02}:{said[3] or '00'}" + (f":{said[4]}" if said[4] else "")

    def spoken(self, text: str) -> str | None:
        """Today, yesterday, 3 days ago, or the last day of that name."""
        if text in ("today", "yesterday", "tomorrow", "the day before yesterday"):
            days = {"today": 0, "yesterday": 1, "tomorrow": -1}.get(text, 2)
            return self.back(days)
        if ago := _AGO.fullmatch(text):
            count = 1 if ago[1] == "a" else int(ago[1])
            return self.back(count * (7 if ago[2] == "week" else 1))
        named = [i for i, name in enumerate(_DAY_NAMES) if len(text) > 2 and name.startswith(text)]
        if len(named) != 1:
            return None
        days = (self.today.weekday() - named[0]) % 7
        if days == 0:
            raise self.either(self.back(0), self.back(-7 if self.ahead else 7))
        return self.back(days - 7 if self.ahead else days)

    def back(self, days: int) -> str:
        return (self.today - timedelta(days=days)).isoformat()

    def numbers(self, text: str) -> str | None:
        """Three figures: 14/8/2026, 8/14/26, 2026/8/14."""
        said = _NUMBERS.fullmatch(text)
        if said is None:
            return None
        first, middle, last = said[1], int(said[3]), said[4]
        if len(first) == 4 and len(last) <= 2:
            return _Parts(int(first), middle, int(last)).text()
        if len(first) > 2 or len(last) not in (2, 4):
            return None
        year = self.year(last)
        by_day, by_month = _Parts(year, middle, int(first)), _Parts(year, int(first), middle)
        possible = [way for way in (by_day, by_month) if _is_edtf(way.text())]
        if len(possible) == 2 and by_day != by_month:
            if self.day_first is None:
                raise self.either(by_day.text(), by_month.text())
            return (by_day if self.day_first else by_month).text()
        return possible[0].text() if possible else None

    def month_year(self, text: str) -> str | None:
        """8/2024 and 8/99, as a lid says month and year; 8/24 and 8/11 may be days and are listed."""
        said = _MONTH_YEAR.fullmatch(text)
        if said is None:
            return None
        first, last = int(said[1]), int(said[2])
        month = 1 <= first <= 12 and len(said[2]) > 1
        ways = [_Parts(self.year(said[2]), first).text()] if month else []
        if len(said[2]) < 4 and not (month and self.has_year):
            by_day = [] if self.day_first is False else self.this_year(_Parts(None, last, first))
            by_month = [] if self.day_first is True else self.this_year(_Parts(None, first, last))
            ways += by_month + [day for day in by_day if day not in by_month]
        if len(ways) > 1:
            raise self.either(*ways)
        return ways[0] if ways else None

    def this_year(self, parts: _Parts) -> list[str]:
        valid = parts.month in range(1, 13) and _is_edtf(parts._replace(year=2024).text())
        return [self.nearest(parts)] if valid else []

    def words(self, text: str) -> str | None:
        tokens = _tokens(text)
        parts = _parts(tokens)
        if parts is None or (parts.year is None and parts.month is None):
            return None
        if parts.year is not None:
            return parts._replace(year=self.year(str(parts.year).zfill(2))).text()
        day = self.nearest(parts)
        shape = "".join(map(_sort, tokens))
        if parts.day is not None and shape == "mn" and len(tokens[1]) == 2:
            year = self.year(tokens[1])
            if year <= self.today.year:
                raise self.either(day, _Parts(year, parts.month).text())
        return day

    def nearest(self, parts: _Parts) -> str:
        """The year that was not said: the last such day up to today, or the next with `ahead`."""
        for back in range(9):
            year = self.today.year + (back if self.ahead else -back)
            text = parts._replace(year=year).text()
            if not _is_edtf(text):
                continue
            first, last = edtf.span(text, 0)
            now = edtf.day_ms(self.today.isoformat(), 0)
            if (last or 0) >= now if self.ahead else (first or 0) <= now:
                return text
        raise self.unread()

    def year(self, figures: str) -> int:
        """Two figures are of this century up to ten years from today, else of the last."""
        if len(figures) != 2:
            return int(figures)
        century = self.today.year // 100 * 100
        year = century + int(figures)
        return year if year <= self.today.year + 10 else year - 100

    def either(self, *ways: str) -> TwoWays:
        shown = [f"{edtf.show(way)} (write {way})" for way in ways]
        listed = f"{', '.join(shown[:-1])} or {shown[-1]}"
        return TwoWays(f"“{self.typed}” may be {listed}.")

    def unread(self) -> NotUnderstood:
        return NotUnderstood(f"“{self.typed}” is not a date that can be read: {HOW_TO}.")


def _is_edtf(text: str) -> bool:
    try:
        edtf.span(text, 0)
    except ValueError:
        return False
    return True


def _stripped(pattern: re.Pattern[str], text: str) -> tuple[bool, str]:
    bare = pattern.sub("", text).strip()
    return bare != text, bare


def _tokens(text: str) -> list[str]:
    """Words and figures: 1st and "of" as people say them, commas and full stops left out."""
    plain = re.sub(r"(?<=[0-9])(?:st|nd|rd|th)\b|\b(?:of|the)\b|[.,]", " ", text)
    tokens = _TOKEN.findall(plain)
    return tokens if "".join(tokens) == plain.replace(" ", "") else []


def _parts(tokens: Sequence[str]) -> _Parts | None:
    """Day, month or season, and year by their usual places."""
    shape = "".join(_sort(token) for token in tokens)
    figures = {sign: int(token.lstrip("'")) for sign, token in zip(shape, tokens, strict=True)
               if token.lstrip("'").isdigit()}  # fmt: skip
    month = next((m for token in tokens if (m := _month(token)) is not None), None)
    if shape in ("n", "m", "s", "y", "my", "ym", "sy", "ys"):
        return _Parts(figures.get("y"), month, figures.get("n"))
    if shape in ("nm", "mn", "nmy", "mny", "ymn"):
        return _Parts(figures.get("y"), month, figures["n"])
    if shape in ("nmn", "mnn", "sn"):
        day = None if shape == "sn" else int(tokens[0] if shape == "nmn" else tokens[1])
        return _Parts(int(tokens[-1]), month, day) if len(tokens[-1]) == 2 else None
    return None


def _sort(token: str) -> str:
    """What a token may be: m month, s season, n one or two figures, y a year, x neither."""
    if token.isdigit():
        return "y" if len(token) == 4 or (len(token) == 2 and int(token) > 31) else (
            "n" if len(token) <= 2 else "x"
        )  # fmt: skip
    if token.startswith("'"):
        return "y" if len(token) == 3 else "x"
    month = _month(token)
    return "x" if month is None else "s" if month > 12 else "m"


def _month(token: str) -> int | None:
    if token in _SEASON_NAMES:
        return _SEASON_NAMES[token]
    named = [
        i for i, name in enumerate(_MONTH_NAMES, 1) if len(token) > 2 and name.startswith(token)
    ]
    return named[0] if len(named) == 1 else None


class Printed(Struct, frozen=True):
    """What a maker printed: kept as it stands, with its kind, and a date where it is one."""

    raw: str
    kind: DateKind
    at: str | None
    """EDTF, only where the print has one meaning"""
    question: str
    """what stands between the print and a date, in a sentence; "" where nothing does"""


_KINDS: tuple[tuple[str, DateKind], ...] = (
    (r"sell[ -]?by|display until", "sell by"),
    (r"bbe?|bbd|best[ -]?(?:by|before|if used by|before end|by end)(?: end)?", "best by"),
    (r"use[ -]?by|expir(?:y|es)|exp", "use by"),
    (r"pack(?:ed|aged)?(?: on)?|pkd|prod(?:uced)?(?: on)?|made(?: on)?", "packed"),
)


def printed(raw: str, today: date, *, day_first: bool | None = None) -> Printed:
    """A maker's print: "BB 04/05/26", "sell by 3 Nov", "0195". Never raises.

    These are the maker's dates about quality; what they mean for a food is not decided here.
    """
    text = raw.strip()
    kind: DateKind = "unknown"
    for words, name in _KINDS:
        if label := re.match(rf"(?:{words})(?![a-z])[ :.]*", text, re.IGNORECASE):
            kind, text = name, text[label.end() :]
            break
    if _looks_coded(text):
        question = f"“{raw}” is a maker's code: it is no date until somebody says how to read it."
        return Printed(raw, "code" if kind == "unknown" else kind, None, question)
    try:
        reader = _Reader(text, today, day_first, ahead=False)
        reader.has_year = True
        at = reader.read()
    except NotUnderstood as error:
        return Printed(raw, kind, None, str(error))
    if not re.search(r"[0-9]{4}|[0-9]{2}$", text):
        return Printed(
            raw, kind, None, f"“{raw}” has no year printed: write the date with its year."
        )
    return Printed(raw, kind, at, "")


def _looks_coded(text: str) -> bool:
    """Figures, and neither a mark between two of them nor a month by name."""
    if not re.search(r"[0-9]", text) or re.search(r"[0-9] ?[/.-] ?[0-9]", text):
        return False
    return not any(_month(word) for word in re.findall(r"[a-z]+", text.lower()))


def code_dates(code: str, layout: str, today: date) -> list[str]:
    """The dates that a maker's code may mean, newest first, once the household says its `layout`.

    `layout` has a letter for each sign: D for the day of the year, Y for the last figure or figures
    of the year, x for what says nothing. "0195" by "YDDD": day 195 of a year ending in 0; of the
    last twenty years each that fits is listed, since no decade is printed.

    Raises:
        NotUnderstood: the layout does not fit the code.
    """
    signs = list(zip(layout, code, strict=False))
    day, year = ("".join(s for sort, s in signs if sort == letter) for letter in "DY")
    if len(layout) != len(code) or set(layout) - set("DYx") or not re.fullmatch(r"[0-9]{3}", day):
        raise NotUnderstood(
            f"“{code}” cannot be read as {layout}: write the layout like YDDD or DDDYx."
        )
    if not re.fullmatch(r"[0-9]{1,2}|[0-9]{4}", year):
        raise NotUnderstood(
            f"“{code}” has no year in {layout}: write the layout like YDDD or DDDYx."
        )
    found = []
    for candidate in range(today.year, today.year - 20, -1):
        if f"{candidate:04}".endswith(year) and 1 <= int(day) <= 337 + edtf.days_in(candidate, 2):
            start = edtf.day_number(candidate, 1, 1) + int(day) - 1
            found.append(edtf.date_of(start * edtf.DAY, 0))
    return [text for text in found if text <= today.isoformat()]
