"""Last week in figures: eaten, put up and brought in, lost and why.

A count that misses a food and a take that found more of it, in one place between two counts, are
mostly one thing told twice (somebody took it and logged another lot); they are set off against
each other before either is shown. No figure is guessed, and nothing is added up across units.
"""

from collections.abc import Iterator
from typing import NamedTuple

from events.book import Book
from events.kinds import Body, Counted, PutUp, Received, Spoiled
from events.lots.state import Line, Lot, Posting
from service.digests.digest import Item
from service.digests.words import listed, of_food

MOST = 4
"""Foods named in one line."""

LOOKED_BACK = 400 * 86_400_000
"""Milliseconds: what was found or missing longer ago is not set off against this week's."""

FOREVER = 2**62
"""Before the first and after the last moment of any log, in milliseconds."""


class Told(NamedTuple):
    """What one record came to in one lot."""

    lot: Lot
    line: Line
    posting: Posting


class Sum:
    """So much, with its range, in grains."""

    def __init__(self) -> None:
        self.n = self.low = self.high = 0

    def add(self, posting: Posting) -> None:
        self.n += posting.n
        self.low += posting.low
        self.high += posting.high


def told(book: Book, start: int, end: int) -> Iterator[Told]:
    """Every posting of a record that counts after `start`, at the latest at `end` (Unix ms)."""
    for lot in book.since(start):
        for line in lot.lines if lot.last_place > start else ():
            if start < line.place <= end:
                for posting in line.postings:
                    yield Told(lot, line, posting)


def figures(book: Book, start: int, end: int) -> list[Item]:
    """The figures of a week, a line each; one without any is not there."""
    sums: dict[str, dict[tuple[str, str, str], Sum]] = {}
    for one in told(book, start, end):
        about = _heading(one)
        if about is None or not (one.posting.n or one.posting.high):
            continue
        heading, detail = about
        amounts = sums.setdefault(heading, {})
        about_food = (one.lot.food, detail, one.lot.unit)
        amounts.setdefault(about_food, Sum()).add(one.posting)
    told_of = {heading: _listed(amounts) for heading, amounts in sums.items()}
    items = [
        Item(text=f"{heading}: {told_of[heading]}")
        for heading in ("eaten", "put up", "brought in", "lost")
        if heading in told_of
    ]
    others = [
        f"{heading} {told_of[heading]}"
        for heading in ("given", "planted", "shrunk")
        if heading in told_of
    ]
    others += _not_found(book, start, end)
    return [*items, Item(text=f"also: {'; '.join(others)}")] if others else items


def _heading(one: Told) -> tuple[str, str] | None:
    """(under which heading, said behind the food)."""
    body = one.line.record.body
    match one.posting.term:
        case "consumed":
            return "eaten", ""
        case "in" if isinstance(body, PutUp):
            return "put up", ""
        case "in" if isinstance(body, Received):
            return "brought in", ""
        case "spoiled":
            return "lost", why_lost(body)
        case "given":
            return "given", ""
        case "planted":
            return "planted", ""
        case "shrunk" if one.posting.n > 0:
            return "shrunk", ""
    return None


def why_lost(body: Body) -> str:
    """Why food was thrown out, in brackets."""
    cause = body.cause if isinstance(body, Spoiled) else None
    return " (another cause)" if cause == "other" else f" ({cause or 'no cause said'})"


def _listed(amounts: dict[tuple[str, str, str], Sum]) -> str:
    words = [
        f"{of_food(total.n, total.low, total.high, unit, food)}{detail}"
        for (food, detail, unit), total in sorted(amounts.items())
    ]
    return listed(words, MOST, "foods")


# -- found and missing -----------------------------------------------------------------------------


class Between(NamedTuple):
    """One food of one unit in one place."""

    food: str
    unit: str
    place: str


def _not_found(book: Book, start: int, end: int) -> list[str]:
    found, missing = set_off(book, start, end)
    said = []
    for words, amounts in (("counts miss", missing), ("found", found)):
        if amounts:
            told_of = [
                of_food(n, n, n, about.unit, about.food)
                + (f" in {about.place}" if about.place else "")
                for about, n in sorted(amounts.items())
            ]
            said.append(f"{words} {listed(told_of, MOST, 'foods')}")
    return said


def set_off(book: Book, start: int, end: int) -> tuple[dict[Between, int], dict[Between, int]]:
    """(found, missing) in the week, grains, after setting one off against the other.

    A stretch ends with each whole count of the food there, that count within. What a count misses
    is lowered by all that the stretch found, and the other way round. A stretch is looked back on
    for `LOOKED_BACK`, no longer.
    """
    foods = {
        one.lot.food
        for one in told(book, start, end)
        if one.posting.term in {"found", "missing"} and one.posting.n
    }
    events: dict[Between, list[tuple[int, str, str, int]]] = {}
    for one in told(book, start - LOOKED_BACK, end) if foods else ():
        term, n = one.posting.term, one.posting.n
        if one.lot.food not in foods:
            continue
        counts = isinstance(one.line.record.body, Counted) and not one.line.record.body.part
        if term not in {"found", "missing"} and not counts:
            continue
        about = Between(one.lot.food, one.lot.unit, one.posting.store.partition("/")[0])
        deed = one.line.record.deed_name if counts else ""
        amount = n if term in {"found", "missing"} else 0
        events.setdefault(about, []).append((one.line.place, deed, term, amount))
    found: dict[Between, int] = {}
    missing: dict[Between, int] = {}
    for about, happened in events.items():
        more, less = _stretches(sorted(happened), start)
        if more:
            found[about] = more
        if less:
            missing[about] = less
    return found, missing


def _stretches(happened: list[tuple[int, str, str, int]], start: int) -> tuple[int, int]:
    """(found, missing) left of the stretches that reach past `start`."""
    found = missing = 0
    stretch: list[tuple[int, str, int]] = []
    counting = ""
    for moment, deed, term, n in happened:
        if counting and deed != counting:
            more, less = _left(stretch, start)
            found, missing, stretch = found + more, missing + less, []
        counting = deed
        stretch.append((moment, term, n))
    more, less = _left(stretch, start)
    return found + more, missing + less


def _left(stretch: list[tuple[int, str, int]], start: int) -> tuple[int, int]:
    """(found, missing) of one stretch, set off, and of that what the week itself added."""

    def total(term: str, after: int) -> int:
        return sum(n for moment, said, n in stretch if said == term and moment > after)

    net = total("found", -FOREVER) - total("missing", -FOREVER)
    return (
        min(total("found", start), max(0, net)),
        min(total("missing", start), max(0, -net)),
    )
