"""Food that was only packed anew keeps the age, and the path, of the food that it came from.

So long as its form is the same: what is dried, canned or frozen out of it is put up, and starts
anew. Of several lots joined the oldest says how old all of it is, and the one that had used most
of its life says how long it keeps. Where a lot stood before is read off its own story.
"""

from collections.abc import Iterator
from typing import NamedTuple

from events.book import Book
from events.dates import Printed
from events.edtf import span
from events.kinds import Repacked
from events.lots.state import Line, Lot
from events.readings.stamped import maker_of
from events.readings.starting import ageless, said_apart, started

MOST = 32
"""Paths that are looked at where many lots were joined again and again."""


class Stood(NamedTuple):
    """So long in one store."""

    store: str
    since: int
    until: int


class Before(NamedTuple):
    """How food may have lived before it was packed anew, oldest stay first."""

    lot: str
    """whose age it is"""
    start: tuple[int, int]
    offset: int | None
    stays: tuple[Stood, ...]


def packed_from(book: Book, lot: Lot) -> list[Lot]:
    """The lots that it was packed anew from, in the same form; none where it was made otherwise."""
    if lot.maker is None or not isinstance(lot.maker.body, Repacked) or lot.identity is None:
        return []
    if said_apart(lot):
        return []
    parents = (book.lot(name) for name in lot.identity.parents)
    return [
        one for one in parents
        if one is not None and one.identity is not None and alike(one.form, lot.form)
    ]  # fmt: skip


def alike(form: str, other: str) -> bool:
    """Whether two forms as typed are one; where one was not said it is as the other."""
    one, two = (" ".join(said.casefold().split()) for said in (form, other))
    return one == two or not one or not two


def sources(book: Book, lot: Lot) -> Iterator[Lot]:
    """The lots whose age it may have: itself, or where all that it was packed from began."""
    seen = {lot.name}
    waiting = [lot]
    while waiting:
        one = waiting.pop()
        parents = [parent for parent in packed_from(book, one) if parent.name not in seen]
        seen.update(parent.name for parent in parents)
        waiting += parents
        if not parents:
            yield one


def keeping_start(book: Book, lot: Lot) -> tuple[int, int]:
    """(earliest, latest) moment at which its keeping starts, Unix milliseconds.

    The day it was put up or picked where that was said, the end of curing where that was; else the
    moment it was brought in. Of what was packed anew that of the oldest in it.
    """
    return min(
        (started(one, maker_of(one))[0] for one in sources(book, lot)),
        key=lambda start: (start[1], start[0]),
    )


def of_no_age(book: Book, lot: Lot) -> bool:
    """Whether nobody knows how old its food is, or some of what was packed into it."""
    if lot.maker is None or not isinstance(lot.maker.body, Repacked):
        return ageless(lot)
    return any(ageless(one) for one in sources(book, lot))


def use_by(book: Book, lot: Lot) -> Printed | None:
    """What a maker printed: a use-by goes on to what is packed anew, other dates do not."""
    own = maker_of(lot)
    if own is not None or not packed_from(book, lot):
        return own
    printed = (maker_of(one) for one in sources(book, lot))
    dated = [one for one in printed if one is not None and one.at and one.kind == "use by"]
    return min(dated, key=lambda one: span(one.at or "", 0)[1] or 0, default=None)


def befores(book: Book, lot: Lot) -> list[Before]:
    """Every way in which what was packed into a lot may have lived till then."""
    found: list[Before] = []
    for parent in packed_from(book, lot):
        _trace(book, lot, parent, frozenset({lot.name}), (), found)
    return found


def _trace(
    book: Book, made: Lot, parent: Lot, seen: frozenset[str], after: tuple[Stood, ...],
    found: list[Before],
) -> None:  # fmt: skip
    """Back from where a making drew on a lot to where its food began."""
    if parent.name in seen or len(found) >= MOST:
        return
    name = made.maker.name if made.maker else ""
    line = next((one for one in parent.lines if one.record.name == name), None)
    drawn = [] if line is None else [p.store for p in line.postings if p.term == "drawn"]
    for store in dict.fromkeys(drawn):
        stays = (*_stood(parent, store, made.made_place), *after)
        further = packed_from(book, parent)
        for one in further:
            _trace(book, parent, one, seen | {parent.name}, stays, found)
        if not further:
            start, offset = started(parent, maker_of(parent))
            found.append(Before(parent.name, start, offset, stays))


def _stood(lot: Lot, store: str, until: int) -> list[Stood]:
    """Where food that stood there at last had stood in that lot: back along what was carried."""
    stays: list[Stood] = []
    lines = [line for line in lot.lines if line.place <= until]
    for line in reversed(lines):
        came = _from(line, store)
        if came is not None and came != store:
            stays.append(Stood(store, line.place, until))
            store, until = came, line.place
    stays.append(Stood(store, lot.made_place, until))
    return stays[::-1]


def _from(line: Line, store: str) -> str | None:
    """Where a line carried food from to that store."""
    return next(
        (one.store for one in line.postings if one.term == "moved" and one.to == store), None
    )
