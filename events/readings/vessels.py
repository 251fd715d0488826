"""Jars, lids and other vessels: how many stand full, are empty at hand, or are out on loan.

What people said of the vessels is put together with what became of the food in them: a jar goes
where the deed that took its last part sent it, fractions when they make one. Vessels are counted
whole and likely; no lot is changed by them. Left out: jars that were bought full (a shop's jar is
not one to put food up in) and what belongs to somebody else.
"""

import re
from collections.abc import Iterable, Iterator
from typing import Literal, NamedTuple, TypeAlias

from msgspec import Struct

from events.book import Book
from events.kinds import GRAIN, PutUp, Received, Repacked, Spoiled
from events.lots.state import BALANCE, COMING, Line, Lot, Posting
from events.lots.things import LOADS
from events.projections.vessels import StampKey
from events.quantity import UNITS
from events.readings.lots import recipient
from events.readings.rows import owner_of
from events.readings.vessel_names import SIZES, is_lid, package_name, reused, vessel_name

SEALED = frozenset({
    "home-canned", "home canned", "home-bottled", "bottled", "jarred", "canned", "pickled", "jam",
    "jelly", "preserves",
})  # fmt: skip
"""Forms that are put up under a new lid each: they are for one use."""

ANY_LID = "lid"
"""A lid of which nobody said the kind."""

What: TypeAlias = Literal[
    "bought", "broken", "counted", "lent", "back",
    "came full", "emptied", "given", "gone", "filled", "used",
]  # fmt: skip
"""What people say of vessels, then what becomes of food in them; "gone": the vessel too."""


class Change(NamedTuple):
    """So many vessels, in their place among all that happened to them."""

    place: int
    key: StampKey
    rank: int
    """in one record vessels are emptied before they are filled"""
    what: What
    number: int
    who: str


class Loan(Struct, frozen=True):
    """So many vessels out with somebody; `who` is empty where nobody said."""

    who: str
    number: int


class Row(Struct, frozen=True, kw_only=True):
    """What there is of one vessel, in whole ones."""

    vessel: str
    """"qt jar", "regular lid" """
    empty: int
    """at hand, with nothing in them; never below nought"""
    full: int
    """with some of a lot in them"""
    loans: tuple[Loan, ...]
    used: int
    """used for good, since the log knows of any"""
    short: int
    """how many more went than the log knows of, since they were last counted"""
    known: bool
    """they were once counted or bought; else `empty` is only what was emptied since"""
    about: bool
    """some of the lots in them are estimates"""

    @property
    def out(self) -> int:
        """Out on loan, also as gifts with food in them."""
        return sum(loan.number for loan in self.loans)


class _Tally:
    """One vessel's numbers while its changes are gone through."""

    def __init__(self) -> None:
        self.empty = self.full = self.used = self.short = 0
        self.known = False
        self.loans: list[Loan] = []

    def take(self, change: Change) -> None:
        number = change.number
        match change.what:
            case "counted":
                self.empty, self.short, self.known = number, 0, True
            case "bought":
                self.known = True
                self.put(number)
            case "broken":
                self.put(-number)
            case "lent":
                self.put(-number)
                self.loans.append(Loan(change.who, number))
            case "back":
                self.put(number)
                self.came_back(number, change.who)
            case "used":
                self.put(-number)
                self.used += number
            case _:
                self.food(change.what, number, change.who)

    def food(self, what: What, number: int, who: str) -> None:
        """Food came into vessels, or went out of them."""
        match what:
            case "filled":
                self.full += number
                self.put(-number)
            case "came full":
                self.full += number
            case "emptied":
                self.full -= number
                self.put(number)
            case "given":
                self.full -= number
                self.loans.append(Loan(who, number))
            case _:
                self.full -= number

    def put(self, number: int) -> None:
        self.empty += number
        if self.empty < 0:
            self.short -= self.empty if self.known else 0
            self.empty = 0

    def came_back(self, number: int, who: str) -> None:
        """From whom it is said first, then from whom was not; nobody said from whom: oldest first."""
        name = who.casefold()
        order = [loan for loan in self.loans if loan.who.casefold() == name]
        if name:
            order += [loan for loan in self.loans if not loan.who]
        else:
            order += [loan for loan in self.loans if loan.who]
        left = {id(loan): loan.number for loan in self.loans}
        for loan in order:
            went = min(number, left[id(loan)])
            left[id(loan)] -= went
            number -= went
        self.loans = [Loan(loan.who, left[id(loan)]) for loan in self.loans if left[id(loan)]]

    def by_whom(self) -> tuple[Loan, ...]:
        """The loans, one for each; spelled as first said, those that nobody said to whom last."""
        sums: dict[str, Loan] = {}
        for loan in self.loans:
            had = sums.get(loan.who.casefold(), Loan(loan.who, 0))
            sums[loan.who.casefold()] = Loan(had.who, had.number + loan.number)
        names = sorted(sums, key=lambda name: (not name, name))
        return tuple(sums[name] for name in names if sums[name].number)


def vessels(book: Book) -> list[Row]:
    """Every vessel that was spoken of or holds food: jars by size, then others, lids last."""
    changes: dict[str, list[Change]] = {}
    about: set[str] = set()
    for raw, lines in book.vessels.lines.items():
        changes.setdefault(vessel_name(raw), []).extend(
            Change(line.place, line.key, 0, line.change, line.number, line.who) for line in lines
        )
    spoken = frozenset(changes)
    for lot in book.every_lot():
        stands_in = _vessel_of(lot, spoken)
        if stands_in is not None:
            changes.setdefault(stands_in, []).extend(_of_lot(book, lot))
            about |= {stands_in} if any(not parcel.exact for parcel in lot.parcels) else set()
    for name, change in _supplies(book, spoken):
        changes.setdefault(name, []).append(change)
    rows = [_row(name, mine, name in about) for name, mine in changes.items()]
    return sorted((row for row in rows if row is not None), key=_by_size)


def _row(name: str, changes: list[Change], about: bool) -> Row | None:
    """None where the food in it came and went, and nobody spoke of it."""
    tally = _Tally()
    for change in sorted(changes):
        tally.take(change)
    loans = tally.by_whom()
    if not (tally.known or tally.full or tally.empty or loans or tally.used):
        return None
    return Row(vessel=name, empty=tally.empty, full=tally.full, loans=loans, used=tally.used,
               short=tally.short, known=tally.known, about=about)  # fmt: skip


def _by_size(row: Row) -> tuple[object, ...]:
    size, _, vessel = row.vessel.rpartition(" ")
    jar = size in SIZES and vessel == "jar"
    return (not jar, is_lid(row.vessel), -UNITS[size].size if jar else 0, row.vessel)


# -- food in vessels -----------------------------------------------------------------------------


def _vessel_of(lot: Lot, spoken: frozenset[str]) -> str | None:
    """What a lot stands in, where that is used again or was spoken of."""
    made = lot.maker.body if lot.maker else None
    if lot.identity is None or lot.identity.package is None or owner_of(lot):
        return None
    if isinstance(made, Received) and made.origin == "bought":
        return None
    name = package_name(lot.identity.package)
    return name if reused(name) or name in spoken else None


def _of_lot(book: Book, lot: Lot) -> Iterator[Change]:
    """What a lot's lines come to in whole vessels: one is in use while anything is left for it."""
    package = lot.identity.package if lot.identity else None
    again = package is not None and reused(package_name(package))
    for line in lot.lines:
        running = line.before
        key = book.order(line.record)
        for posting in line.postings:
            signed = _signed(posting)
            number = _whole(running + signed) - _whole(running)
            running += signed
            if number:
                what = _filled(line, posting) if number > 0 else _left(line, posting, again)
                who = getattr(line.record.body, "to", None) if what == "given" else None
                who = recipient(lot, who)
                rank = 1 if what == "filled" else 0
                yield Change(line.place, key, rank, what, abs(number), who)


def _signed(posting: Posting) -> int:
    """What a posting adds to what is on hand, in grains."""
    if posting.term not in BALANCE:
        return 0
    return posting.n if posting.term in COMING else -posting.n


def _whole(n: int) -> int:
    """So many grains of packages stand in so many packages."""
    return -(-n // GRAIN)


def _filled(line: Line, posting: Posting) -> What:
    made = isinstance(line.record.body, PutUp | Repacked)
    return "filled" if made and posting.term == "in" else "came full"


def _left(line: Line, posting: Posting, again: bool) -> What:
    body = line.record.body
    if not again or posting.term in ("missing", "re_estimated"):
        return "gone"
    if posting.term == "given":
        return "given"
    if isinstance(body, Spoiled) and body.cause in ("broken", "not found"):
        return "gone"
    return "emptied"


# -- lids and other supplies ---------------------------------------------------------------------


def _boxes(book: Book) -> dict[str, str]:
    """What is in a box, by its code in small letters; of two with one code the later."""
    found: dict[str, tuple[int, StampKey, str]] = {}
    for raw, lines in book.vessels.lines.items():
        for line in lines:
            box = (line.place, line.key, vessel_name(raw))
            code = line.code.casefold()
            if code and (code not in found or box > found[code]):
                found[code] = box
    return {code: name for code, (_, _, name) in found.items()}


def _supplies(book: Book, spoken: frozenset[str]) -> Iterator[tuple[str, Change]]:
    """What each putting up used for good: what it says, else a lid for each sealed jar."""
    boxes = _boxes(book)
    lids = [name for name in spoken if is_lid(name)]
    for entry in book.entries_about(LOADS):
        record = entry.record
        body = record.body
        if not isinstance(body, PutUp) or not book.stands(record.name):
            continue
        said = dict(_said(body.supplies or {}, spoken))
        box = " ".join((body.lid_box or "").casefold().split()).removeprefix("box ")
        if not any(is_lid(name) for name in said) and (box or lids):
            kind = vessel_name(box) if vessel_name(box) in lids else ANY_LID
            name = boxes.get(box) or (lids[0] if len(lids) == 1 and not box else kind)
            said[name] = said.get(name, 0) + _jars(body, all_of_them=bool(box))
        for name, number in said.items():
            if number:
                key, place = book.order(record), book.place(record.name)
                yield name, Change(place, key, 1, "used", number, "")


def _said(supplies: dict[str, str], spoken: Iterable[str]) -> Iterator[tuple[str, int]]:
    """Supplies that are counted: lids, and what was spoken of as a vessel."""
    for raw, much in supplies.items():
        name = vessel_name(raw)
        found = re.match(r"\d{1,9}\b(?![./])", much.strip())
        if found and (is_lid(name) or name in spoken):
            yield name, int(found[0])


def _jars(body: PutUp, *, all_of_them: bool) -> int:
    """Jars that a load filled: those put up under a lid, or all where a box of lids is named."""
    return sum(
        _whole(made.amount.n or 0)
        for made in body.yields
        if made.package is not None
        and made.package.vessel.casefold() in ("jar", "jars")
        and (all_of_them or (made.form or "").casefold() in SEALED)
    )


# -- for programs --------------------------------------------------------------------------------


def to_json(rows: Iterable[Row]) -> list[dict[str, object]]:
    """The rows as plain data for programs."""
    return [
        {
            "vessel": row.vessel,
            "empty": row.empty,
            "full": row.full,
            "on_loan": row.out,
            "loans": [{"who": loan.who or None, "number": loan.number} for loan in row.loans],
            "used": row.used,
            "short": row.short,
            "counted": row.known,
            "estimate": row.about,
        }
        for row in rows
    ]
