"""How fast a food uses up its keeping life at a temperature, by the published tables.

At a temperature all rows count that begin at or below it: what keeps no longer in the cold keeps
no longer in the warm. The shortest decides, and no warmer day is taken to be kinder than a colder
one (both ends of a life only fall with warmth). A single printed temperature reaches half a degree
either way. Above all that is printed a Q10 that was printed for the food is gone by, never further
than to what is printed for the next warmer band; without one the rate stays, and the direction is
said. A row for a kind of place prints no degrees and stays. Below all that is printed the coldest
row stays, uncorrected. Where no temperature is known
the rows for that kind of store decide (`life`). Temperatures are taken to a tenth of a degree.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Literal, NamedTuple, TypeAlias

from msgspec.structs import replace

from events.keeping.bands import COOLNESS, NARROW, fits, words_of
from events.keeping.curve import TENTH, tenth_of
from events.keeping.life import PRODUCE, Answer, Life, Lives, Question
from events.keeping.models import between, q10_factors
from events.tables import Keeping
from events.tables.storing import Q10

End: TypeAlias = Literal["low", "high"]

WHOLE = 10**18
"""Parts of a whole life."""

OPEN = 10**9
"""Days of a life whose high end is open."""

COLDEST = -(10**9)


def rate_of(days: int | None) -> int:
    """Parts of a life used in one day; a life with an open end uses none by it."""
    return 0 if not days else (2 * WHOLE + days) // (2 * days)


class Row(NamedTuple):
    """A row, or two neighbours of a series, between two temperatures; open ends are far away."""

    begins: int
    ends: int
    top: int | None
    """the highest temperature that it is printed for; None: for a kind of place"""
    life: Callable[[int], tuple[int, int]] | None
    """(low, high) in days at a temperature within, where it is not the same at all of them"""
    low: int
    high: int
    row: Keeping

    def at(self, milli: int) -> tuple[int, int]:
        """(low, high) in days at a temperature within."""
        return (self.low, self.high) if self.life is None else self.life(milli)


class Step(NamedTuple):
    """All that begins at or below a temperature, made ready once."""

    begins: int
    active: tuple[Row, ...]
    shortest: Row | None
    """of those that are the same all along"""
    banded: Row | None
    """the same, of those that print degrees"""
    sloping: tuple[Row, ...]
    most: int
    """days: no warmer day is kinder by its high end than what begins here or below"""
    ends: int | None
    """where the last of those that print degrees ends; None: none does"""
    top: int


class Found(NamedTuple):
    """Which row decides at a temperature, and what it comes to."""

    low: int
    high: int
    row: Row
    active: tuple[Row, ...]
    said: str


class Rates:
    """One food's lives in one kind of store at any temperature; every answer is kept."""

    def __init__(self, lives: Lives, question: Question) -> None:
        self.lives = lives
        self.question = question
        self.assumed = lives.of(question)
        numbered = _numbered(lives, question)
        self.rows = _rows(lives, numbered)
        self.steps = _steps(self.rows)
        self.clauses = tuple(lives.clauses(question, numbered)) if numbered else ()
        self.q10 = _q10_of(lives, question)
        self.answers: dict[int | None, Answer] = {None: self.assumed}
        self.by: dict[End, PerDay] = {"low": PerDay(self, 0), "high": PerDay(self, 1)}
        """parts of a life used in a day, by the low end of what is printed and by the high one"""

    def at(self, milli: int | None) -> Answer:
        """The life at a temperature; None: as the kind of store is assumed to be."""
        tenth = tenth_of(milli)
        answer = self.answers.get(tenth)
        if answer is None:
            answer = self.answers[tenth] = self._at((tenth or 0) * TENTH)
        return answer

    def parts(self, tenth: int | None) -> tuple[int, int]:
        """Parts of a life used in a day at so many tenths of a degree, by its low and high ends.

        Where nothing is published for a day, as the kind of store is assumed to be, else none.
        """
        if tenth is not None and self.steps:
            low, high = self._found(tenth * TENTH)[:2]
            return rate_of(low), rate_of(None if high >= OPEN else high)
        life = self.assumed
        if isinstance(life, Life):
            return rate_of(life.low_days), rate_of(life.high_days)
        return 0, 0

    def _at(self, milli: int) -> Answer:
        if not self.steps:
            return self.assumed
        low, high, row, active, said = self._found(milli)
        fitting = tuple(dict.fromkeys((row.row, *(one.row for one in active))))
        return Life(
            low_days=low,
            high_days=None if high >= OPEN else high,
            row=row.row,
            source=self.lives.tables.sources[row.row.source_id],
            derived=self.lives.derived(row.row),
            fitting=fitting,
            assumed="",
            said=(*self.clauses, said) if said else self.clauses,
        )

    def _found(self, milli: int) -> Found:
        step = self.steps[max(0, bisect_right(self.steps, milli, key=_begins) - 1)]
        if milli < step.begins:
            low, high, row = _shortest(step, step.begins)
            said = f"colder than {_printed(row.row)}: as there"
            return Found(low, high, row, step.active, said)
        low, high, row = _shortest(step, milli)
        if step.ends is None or step.ends >= milli:
            return Found(low, min(high, step.most), row, step.active, _beyond(row, milli))
        return self._warmer(milli, step)

    def _warmer(self, milli: int, step: Step) -> Found:
        """Above every band that begins below: by a printed Q10, up to the next band.

        A row for a kind of place, which prints no degrees, stays as it is printed.
        """
        least, most = q10_factors(self.q10, step.top, milli)
        if most == 1.0:
            low, high, row = _shortest(step, milli)
            return Found(low, min(high, step.most), row, step.active, _beyond(row, milli))
        low, high, row = _shortest(step, milli, banded=True)
        high = min(high, step.most)
        short, long = max(1, round(low / most)), high if high >= OPEN else round(high / least)
        at = self.steps.index(step) + 1
        if at < len(self.steps):
            warmer = self.steps[at]
            next_low, next_high, _ = _shortest(warmer, warmer.begins)
            short, long = max(short, min(low, next_low)), max(long, min(high, next_high))
        source = self.lives.tables.sources[self.q10[0].source_id]
        said = f"warmer than {_printed(row.row)}: by the Q10 of {source.publisher}"
        long = max(short, long)
        place_low, place_high, place = _shortest(step, milli)
        if (place_low, place_high) < (short, long):
            return Found(place_low, min(place_high, long), place, step.active, "")
        return Found(short, long, row, step.active, said)


class PerDay(dict[int | None, int]):
    """`Rates.parts` by one end, by tenths of a degree; each is reckoned when it is first asked for."""

    def __init__(self, rates: Rates, end: int) -> None:
        self.rates = rates
        self.end = end

    def __missing__(self, tenth: int | None) -> int:
        parts = self.rates.parts(tenth)
        for used in self.rates.by.values():
            used[tenth] = parts[used.end]
        return parts[self.end]


def _begins(step: Step) -> int:
    return step.begins


def _steps(rows: list[Row]) -> list[Step]:
    """One for each temperature at which rows begin, coldest first."""
    found: list[Step] = []
    most = OPEN
    for begins in dict.fromkeys(row.begins for row in rows):
        active = tuple(row for row in rows if row.begins <= begins)
        printed = [row for row in active if row.top is not None]
        step = Step(
            begins=begins,
            active=active,
            shortest=_least(active),
            banded=_least(printed),
            sloping=tuple(row for row in active if row.life is not None),
            most=OPEN,
            ends=max((row.ends for row in printed), default=None),
            top=max((row.top or 0 for row in printed), default=0),
        )
        most = min(most, _shortest(step, begins)[1])
        found.append(step._replace(most=most))
    return found


def _least(rows: Iterable[Row]) -> Row | None:
    level = (row for row in rows if row.life is None)
    return min(level, key=lambda row: (row.low, row.high), default=None)


def _shortest(step: Step, milli: int, *, banded: bool = False) -> tuple[int, int, Row]:
    """The row with the shortest life there, beyond its end as at it; `banded`: with degrees."""
    best = step.banded if banded else step.shortest
    if best is not None and not step.sloping:
        return best.low, best.high, best
    rows = step.sloping if best is None else (best, *step.sloping)
    return min(((*row.at(min(milli, row.ends)), row) for row in rows), key=lambda found: found[:2])


def _beyond(row: Row, milli: int) -> str:
    if milli <= row.ends or row.top is None:
        return ""
    return f"warmer than {_printed(row.row)}: less, by how much is not published"


def _printed(row: Keeping) -> str:
    digits = any(sign.isdigit() for sign in row.temp_as_printed)
    return row.temp_as_printed if digits else "what is printed"


# -- which rows --------------------------------------------------------------------------------


def _numbered(lives: Lives, question: Question) -> list[Keeping]:
    """Of one variety and of the chosen source, as `life` chooses."""
    if question.kind == "ground":
        return []
    rows = [row for row in lives.candidates(question) if _for_the_place(row, question.kind)]
    return lives.numbered(question, rows)


def _rows(lives: Lives, numbered: list[Keeping]) -> list[Row]:
    """By where they begin."""
    found = [_row(lives, row) for row in numbered]
    series: dict[str, list[Keeping]] = {}
    for row in numbered:
        if row.series and _temperature(row) is not None and row.life_high_days:
            series.setdefault(row.series, []).append(row)
    for points in series.values():
        points.sort(key=lambda row: _temperature(row) or 0)
        for left, right in pairwise(points):
            if interpolated(left, right):
                found.append(_pair(lives, left, right))
    return sorted(found, key=lambda row: row.begins)


def interpolated(left: Keeping, right: Keeping) -> bool:
    """Whether lives between two points of a series may be read off between them."""
    alike = (left.basis, left.form, left.variety) == (right.basis, right.form, right.variety)
    longer = (left.life_high_days or 0) >= (right.life_high_days or 0)
    return alike and longer and "change together" not in left.note + right.note


def _for_the_place(row: Keeping, kind: str | None) -> bool:
    """Rows that print degrees are for any place; those in words for the places that they mean."""
    if kind != "refrigerator" and "refrigerat" in row.packaging + row.note:
        return False
    if row.temp_low_milli is None and row.temp_high_milli is None:
        return fits(row, kind)
    return row.form == "frozen" or kind != "freezer"


def _temperature(row: Keeping) -> int | None:
    """The one temperature that a row is printed for."""
    low, high = row.temp_low_milli, row.temp_high_milli
    return (low + high) // 2 if low is not None and high is not None else None


def _row(lives: Lives, row: Keeping) -> Row:
    low, high = lives.ends(row)
    top = OPEN if high is None else high
    begins, ends, printed_top = _band(row)
    return Row(begins, ends, printed_top, None, low, top, row)


def _band(row: Keeping) -> tuple[int, int, int | None]:
    """Where it begins, where it ends, and the highest temperature printed."""
    low, high = row.temp_low_milli, row.temp_high_milli
    if low is None and high is None:
        meant = COOLNESS.get(words_of(row))
        return (meant.low, meant.high, meant.high) if meant else (COLDEST, -COLDEST, None)
    if low is not None and high is not None and high - low < NARROW:
        spare = (NARROW - (high - low)) // 2
        return low - spare, high + spare, high
    top = -COLDEST if high is None else high
    return (COLDEST if low is None else low), top, top


def _pair(lives: Lives, left: Keeping, right: Keeping) -> Row:
    low_at, high_at = _temperature(left) or 0, _temperature(right) or 0
    (low, high), (next_low, next_high) = lives.ends(left), lives.ends(right)

    def life(milli: int) -> tuple[int, int]:
        return (
            between(low_at, low, high_at, next_low, milli),
            between(low_at, high or 0, high_at, next_high or 0, milli),
        )

    row = replace(left, temp_as_printed=f"{left.temp_as_printed} to {right.temp_as_printed}")
    return Row(low_at, high_at, high_at, life, low, high or OPEN, row)


def _q10_of(lives: Lives, question: Question) -> list[Q10]:
    """The bands printed for the food, before those for its class."""
    named = lives.named(question.names)
    form = lives.form(question)
    if named is None:
        return []
    foods, groups = set(named.foods), {*named.foods, *named.groups}
    classes = set(foods) if form == "fresh" else set()
    if form == "fresh" and groups & PRODUCE:
        classes.add("fresh-produce")
    if form == "dried" and "fruit" in groups:
        classes.add("dried-fruit")
    found = [band for band in lives.tables.q10 if band.foods in classes]
    return sorted(found, key=lambda band: band.foods not in foods)
