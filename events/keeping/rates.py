"""How fast a food uses up its keeping life at a temperature, by the published tables.

At a temperature all rows count that begin at or below it: what keeps no longer in the cold keeps
no longer in the warm. The shortest decides, and no warmer day is taken to be kinder than a colder
one (both ends of a life only fall with warmth). A single printed temperature reaches half a degree
either way. Above all that is printed a Q10 that was printed for the food is gone by, never further
than to what is printed for the next warmer band; without one the rate stays, and the direction is
said. Below all that is printed the coldest row stays, uncorrected. Where no temperature is known
the rows for that kind of store decide (`life`). Temperatures are taken to a tenth of a degree.
"""

from collections.abc import Callable
from itertools import pairwise
from typing import NamedTuple

from msgspec.structs import replace

from events.keeping.bands import COOLNESS, NARROW, fits, words_of
from events.keeping.curve import TENTH, tenth_of
from events.keeping.life import Answer, Life, Lives, Question
from events.keeping.models import between, q10_factors
from events.tables import Keeping
from events.tables.storing import Q10

WHOLE = 10**18
"""Parts of a whole life."""

OPEN = 10**9
"""Days of a life whose high end is open."""

COLDEST = -(10**9)
PRODUCE = frozenset({"fruit", "vegetable", "root-crop", "potato"})


def rate_of(days: int | None) -> int:
    """Parts of a life used in one day; a life with an open end uses none by it."""
    return 0 if not days else (2 * WHOLE + days) // (2 * days)


class Row(NamedTuple):
    """A row, or two neighbours of a series, between two temperatures; open ends are far away."""

    begins: int
    ends: int
    top: int | None
    """the highest temperature that it is printed for; None: for a kind of place"""
    life: Callable[[int], tuple[int, int]]
    """(low, high) in days at a temperature within"""
    row: Keeping


class Rates:
    """One food's lives in one kind of store at any temperature; every answer is kept."""

    def __init__(self, lives: Lives, question: Question) -> None:
        self.lives = lives
        self.question = question
        self.assumed = lives.of(question)
        numbered = _numbered(lives, question)
        self.rows = _rows(lives, numbered)
        self.clauses = tuple(lives.clauses(question, numbered)) if numbered else ()
        self.q10 = _q10_of(lives, question)
        self.answers: dict[int | None, Answer] = {None: self.assumed}
        self._parts: dict[int | None, tuple[int, int]] = {}

    def at(self, milli: int | None) -> Answer:
        """The life at a temperature; None: as the kind of store is assumed to be."""
        return self._of(tenth_of(milli))

    def _of(self, tenth: int | None) -> Answer:
        answer = self.answers.get(tenth)
        if answer is None:
            answer = self.answers[tenth] = self._at((tenth or 0) * TENTH)
        return answer

    def parts(self, tenth: int | None) -> tuple[int, int]:
        """Parts of a life used in a day at so many tenths of a degree, by its low and high ends.

        Where nothing is published for a day, as the kind of store is assumed to be, else none.
        """
        found = self._parts.get(tenth)
        if found is None:
            life = self._of(tenth)
            if not isinstance(life, Life):
                life = self.assumed
            found = (0, 0)
            if isinstance(life, Life):
                found = rate_of(life.low_days), rate_of(life.high_days)
            self._parts[tenth] = found
        return found

    def _at(self, milli: int) -> Answer:
        if not self.rows:
            return self.assumed
        active = [row for row in self.rows if row.begins <= milli]
        if not active:
            first = self.rows[0].begins
            active = [row for row in self.rows if row.begins == first]
            low, high, row = _shortest(active, first)
            return self._life(low, high, row, active, f"colder than {_printed(row.row)}: as there")
        low, high, row = _shortest(active, milli)
        marks = {one.begins for one in active}
        high = min(high, *(_shortest(active, mark)[1] for mark in marks if mark > COLDEST), high)
        banded = [one for one in active if one.top is not None]
        if not banded or any(one.ends >= milli for one in banded):
            return self._life(low, high, row, active, _beyond(row, milli))
        top = max(one.top or 0 for one in banded)
        return self._warmer(milli, top, (low, high, row), active)

    def _warmer(
        self, milli: int, top: int, base: tuple[int, int, Row], active: list[Row]
    ) -> Answer:
        """Above every band that begins below: by a printed Q10, up to the next band."""
        low, high, row = base
        least, most = q10_factors(self.q10, top, milli)
        if most == 1.0:
            return self._life(low, high, row, active, _beyond(row, milli))
        short, long = max(1, round(low / most)), high if high >= OPEN else round(high / least)
        warmer = [one for one in self.rows if one.begins > milli]
        if warmer:
            mark = warmer[0].begins
            next_low, next_high, _ = _shortest(
                [one for one in self.rows if one.begins <= mark], mark
            )
            short, long = max(short, min(low, next_low)), max(long, min(high, next_high))
        source = self.lives.tables.sources[self.q10[0].source_id]
        said = f"warmer than {_printed(row.row)}: by the Q10 of {source.publisher}"
        return self._life(short, max(short, long), row, active, said)

    def _life(self, low: int, high: int, row: Row, active: list[Row], said: str) -> Life:
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


def _shortest(active: list[Row], milli: int) -> tuple[int, int, Row]:
    return min(
        ((*one.life(min(milli, one.ends)), one) for one in active if one.begins <= milli),
        key=lambda found: (found[0], found[1]),
    )


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
    return Row(begins, ends, printed_top, lambda _: (low, top), row)


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
    return Row(low_at, high_at, high_at, life, row)


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
