"""Where a lot went: every record about it, what each came to, and what it came from and became.

Records that were taken back are listed too, and marked as not counting. For a recall every parent
counts as a whole: whatever was made with some of it, however little, could hold it.
"""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

from msgspec import Struct

from events.book import Book
from events.kinds import (
    Amount,
    Draw,
    LotSet,
    Voided,
    Yield,
)
from events.lots.state import BALANCE, Line, Lot, Posting
from events.lots.steps import parts
from events.lots.things import lot_thing
from events.quantity import decimal
from events.readings.batch import Batch, batch
from events.readings.batch import to_json as batch_json
from events.readings.lineage import Link, link_json, link_to, reached
from events.readings.lots import (
    Measure,
    amount_json,
    code_of,
    codes_of,
    measure,
    names_recipients,
    redated,
)
from events.record import Entry, Record


class CameTo(Struct, frozen=True):
    """One thing that a record came to."""

    term: str
    amount: Measure
    store: str
    to: str


class TrailEntry(Struct, frozen=True, kw_only=True):
    """One record about the lot. Amounts in grains of the lot's unit."""

    name: str
    at: str
    """EDTF, as said, or as it was redated"""
    offset: int
    place: int
    """the moment it counts under, Unix ms"""
    kind: str
    by: str | None
    device: str
    amount: Measure | None
    """as said by the record; None where it names no amount in the lot's unit"""
    said: str | None
    """as typed"""
    store: str | None
    before: int | None
    """the lot on hand before and after; None where the record does not count"""
    after: int | None
    heard: int | None
    """when the log heard of it, Unix ms"""
    came_to: tuple[CameTo, ...]
    counts: bool
    voided_by: tuple[str, ...]
    record: Record


class Trail(Struct, frozen=True, kw_only=True):
    """A lot's whole story."""

    lot: str
    """its short code"""
    name: str
    also: tuple[str, ...]
    """other names of it: doubles that were voided as the same"""
    food: str
    unit: str
    entries: tuple[TrailEntry, ...]
    balance: dict[str, int]
    """the ten terms and `on_hand`, grains"""
    parents: tuple[Link, ...]
    children: tuple[Link, ...]
    came_from: tuple[Link, ...]
    """every lot that could be in this one"""
    could_be_in: tuple[Link, ...]
    """every lot that could hold some of this one"""
    batch: Batch | None = None
    """how it was put up; None for what came in as it is"""
    names_recipients: bool = True
    """False: the names of those who got some of it were taken out"""


def trail(book: Book, lot_name: str) -> Trail:
    """The trail of a lot, doubles resolved. Raises KeyError for a lot of which nothing is known."""
    lot = book.lot(lot_name)
    if lot is None:
        raise KeyError(lot_name)
    codes = codes_of(book)

    def links(names: Iterable[str]) -> tuple[Link, ...]:
        return tuple(link_to(book, name, codes) for name in names)

    balance: dict[str, int] = {term: lot.totals.get(term, 0) for term in BALANCE}
    balance["on_hand"] = lot.on_hand
    return Trail(
        lot=code_of(lot.name, codes),
        name=lot.name,
        also=tuple(sorted(lot.names - {lot.name})),
        food=lot.food,
        unit=lot.unit,
        entries=tuple(_entries(book, lot)),
        balance=balance,
        parents=links(book.parents(lot.name)),
        children=links(book.children(lot.name)),
        came_from=links(reached(lot.name, book.parents)),
        could_be_in=links(reached(lot.name, book.children)),
        batch=batch(book, lot, codes),
        names_recipients=names_recipients(lot),
    )


# -- entries ---------------------------------------------------------------------------------------


def _entries(book: Book, lot: Lot) -> list[TrailEntry]:
    """Lines of the fold in their order, those taken back at the place they would have."""
    lines: dict[str, list[Line]] = {}
    for line in lot.lines:
        lines.setdefault(line.record.name, []).append(line)
    found = [_from_lines(book, lot, mine) for mine in lines.values()]
    about = {e.record.name: e for name in lot.names for e in book.entries_about(lot_thing(name))}
    back = [_taken_back(book, lot, entry) for name, entry in about.items() if name not in lines]
    for gone in sorted(back, key=lambda entry: (entry.place, entry.name)):
        later = (i for i, entry in enumerate(found) if entry.place > gone.place)
        found.insert(next(later, len(found)), gone)
    return found


def _voids(book: Book, record: str) -> tuple[str, ...]:
    """The voids of a record that stand."""
    return tuple(
        entry.record.name
        for entry in book.naming(record)
        if isinstance(entry.record.body, Voided)
        and entry.record.body.record == record
        and book.stands(entry.record.name)
    )


def _taken_back(book: Book, lot: Lot, entry: Entry) -> TrailEntry:
    """A record that does not count."""
    record = entry.record
    amount, said, store = _said(record, lot)
    return TrailEntry(
        name=record.name,
        at=record.at,
        offset=record.offset,
        place=book.place(record.name),
        kind=kind_of(record),
        by=record.by,
        device=record.device,
        amount=amount,
        said=said,
        store=store,
        before=None,
        after=None,
        heard=entry.received,
        came_to=(),
        counts=False,
        voided_by=_voids(book, record.name),
        record=record,
    )


def _from_lines(book: Book, lot: Lot, lines: Sequence[Line]) -> TrailEntry:
    """One record, though a making may draw on the lot twice."""
    record = lines[0].record
    entry = book.entry(record.name)
    amount, said, store = _said(record, lot)
    at, offset = redated(book, record.name) or (record.at, record.offset)
    return TrailEntry(
        name=record.name,
        at=at,
        offset=offset,
        place=lines[0].place,
        kind=kind_of(record),
        by=record.by,
        device=record.device,
        amount=amount,
        said=said,
        store=store,
        before=lines[0].before,
        after=lines[-1].after,
        heard=None if entry is None else entry.received,
        came_to=tuple(_came_to(lot, posting) for line in lines for posting in line.postings),
        counts=True,
        voided_by=(),
        record=record,
    )


def kind_of(record: Record) -> str:
    """The kind's tag: "consumed", "put_up"."""
    return str(record.body.__struct_config__.tag)


def _came_to(lot: Lot, posting: Posting) -> CameTo:
    amount = measure(lot.unit, posting.n, posting.low, posting.high)
    return CameTo(posting.term, amount, posting.store, posting.to)


def _said(record: Record, lot: Lot) -> tuple[Measure | None, str | None, str | None]:
    """(amount, text as typed, store) that a record says of this lot; draws of one are summed."""
    total: Measure | None = None
    said: str | None = None
    store: str | None = getattr(record.body, "store", None)
    for name, part, _ in parts(record):
        if name not in lot.names or isinstance(part, LotSet):
            continue
        store = getattr(part, "store", None) if store is None else store
        amount = getattr(part, "amount", None) or getattr(part, "seen", None)
        if not isinstance(amount, Amount):
            continue
        said = said or amount.said
        if amount.n is None or amount.unit != (lot.unit or amount.unit):
            continue
        low = amount.n if amount.low is None else amount.low
        high = amount.n if amount.low is None else amount.high
        one = Measure(amount.unit, amount.n, low, high)
        total = one if total is None or not isinstance(part, Draw | Yield) else total.plus(one)
    return total, said, store


# -- for programs ----------------------------------------------------------------------------------


def instant(ms: int) -> str:
    """A millisecond in UTC, ISO 8601."""
    return datetime.fromtimestamp(ms // 1000, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def to_json(found: Trail) -> dict[str, object]:
    """The trail as plain data."""
    return {
        "lot": found.lot,
        "name": found.name,
        "also": list(found.also),
        "food": found.food,
        "unit": found.unit,
        "entries": [_entry_json(entry) for entry in found.entries],
        "balance": {term: decimal(n) for term, n in found.balance.items()},
        "batch": None if found.batch is None else batch_json(found.batch),
        "parents": [link_json(link) for link in found.parents],
        "children": [link_json(link) for link in found.children],
        "could_be_in": {
            "from": [link_json(link) for link in found.came_from],
            "into": [link_json(link) for link in found.could_be_in],
        },
    }


def _entry_json(entry: TrailEntry) -> dict[str, object]:
    return {
        "name": entry.name,
        "at": entry.at,
        "kind": entry.kind,
        "by": entry.by,
        "device": entry.device,
        "amount": None if entry.amount is None else amount_json(entry.amount),
        "said": entry.said,
        "note": entry.record.note,
        "source": entry.record.source,
        "at_first": entry.record.at if entry.record.at != entry.at else None,
        "store": entry.store,
        "before": None if entry.before is None else decimal(entry.before),
        "after": None if entry.after is None else decimal(entry.after),
        "heard": None if entry.heard is None else instant(entry.heard),
        "counts": entry.counts,
        "voided_by": list(entry.voided_by),
        "came_to": [
            {"term": one.term, "amount": amount_json(one.amount), "store": one.store,
             "to": one.to or None}
            for one in entry.came_to
        ],
    }  # fmt: skip
