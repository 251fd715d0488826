"""Where a lot went: every record about it, what each came to, and what it came from and became.

Records that were taken back are listed too, and marked as not counting. For a recall every parent
counts as a whole: whatever was made with some of it, however little, could hold it.
"""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, tzinfo

from msgspec import Struct

from events.book import Book
from events.edtf import show as show_date
from events.kinds import (
    Amount,
    Draw,
    Gave,
    Incident,
    LotSet,
    Moved,
    PutUp,
    Repacked,
    Spoiled,
    StoreCounted,
    Voided,
    Yield,
)
from events.lots.state import BALANCE, Line, Lot, Posting
from events.lots.steps import parts
from events.lots.things import lot_thing
from events.quantity import decimal, show
from events.readings.batch import Batch, batch
from events.readings.batch import sentences as batch_sentences
from events.readings.batch import to_json as batch_json
from events.readings.lineage import Link, link_json, link_to, reached
from events.readings.lots import (
    Measure,
    amount_json,
    code_of,
    codes_of,
    measure,
    redated,
    shown,
)
from events.readings.words import device_name, happened, moment, who
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


# -- in words --------------------------------------------------------------------------------------

DONE = {
    "received": "brought in", "put_up": "put up", "repacked": "packed anew", "moved": "carried",
    "opened": "opened", "consumed": "took", "spoiled": "threw out", "gave": "gave away",
    "planted": "planted", "counted": "counted", "checked": "looked, saw", "held": "held",
    "released": "released", "set_aside": "set aside", "freed": "freed", "lot_set": "set down",
    "incident": "reported", "store_counted": "went through",
}  # fmt: skip

BESIDE = {
    "found": "{} more than was known", "missing": "{} missing", "shrunk": "{} shrunk",
    "re_estimated": "estimate put right by {}", "doubt": "{} in doubt: where now?",
}  # fmt: skip
"""What a record came to beside what it said."""


def sentences(book: Book, found: Trail, zone: tzinfo) -> list[str]:
    """A line for each record, oldest first, in plain words."""
    return [_sentence(book, found, entry, zone) for entry in found.entries]


def how_put_up(found: Trail, zone: tzinfo) -> list[str]:
    """How the lot was put up, what shares its load, and its seals; nothing for what came in."""
    return [] if found.batch is None else batch_sentences(found.batch, found.lot, zone)


def _sentence(book: Book, found: Trail, entry: TrailEntry, zone: tzinfo) -> str:
    done = f"{happened(entry.at, entry.offset, zone)} {who(entry.by)} {_did(found, entry)}"
    if entry.before is not None and entry.after is not None:
        done += f", {show(entry.before)} -> {show(entry.after)}"
    if entry.store:
        done += f", {entry.store}"
    done += "".join(f" ({note})" for note in _notes(entry))
    done += f"; said on {device_name(book, entry.device)}"
    if entry.heard is not None:
        done += f", heard {moment(entry.heard, zone, entry.place)}"
    if not entry.counts:
        done += f"; does not count, {_why_not(book, entry)}"
    return done


def _did(found: Trail, entry: TrailEntry) -> str:
    body = entry.record.body
    done = DONE.get(entry.kind, entry.kind)
    if isinstance(body, PutUp | Repacked) and entry.name != found.name.rpartition(":")[0]:
        done = "used"
    if isinstance(body, LotSet):
        facts = ", ".join(f"{fact}: {text or 'blank'}" for fact, text in body.facts.items())
        return f"{done} {facts}"
    if isinstance(body, Incident):
        return f"{done} {body.what} in {body.store or 'the whole household'} ({_bounds(body)})"
    if isinstance(body, StoreCounted):
        return f"{done} {body.store or 'the whole household'}"
    if entry.amount is None:
        return f"{done} {entry.said or 'the lot'}"
    told = f"{done} {shown(entry.amount)}"
    return f"{told} to {body.to or 'the household at large'}" if isinstance(body, Moved) else told


def _bounds(body: Incident) -> str:
    """When it befell the store, as said."""
    if body.end is None or body.end == body.start:
        return show_date(body.start)
    return f"{show_date(body.start)} to {show_date(body.end)}"


def _notes(entry: TrailEntry) -> list[str]:
    """What it came to beside what it said, and the reason given."""
    body = entry.record.body
    notes: list[str] = [body.cause] if isinstance(body, Spoiled) and body.cause else []
    notes += [f"to {body.to}"] if isinstance(body, Gave) and body.to else []
    for one in entry.came_to:
        amount = one.amount
        if one.term == "missing" and amount.n < 0:
            notes.append(
                f"{shown(Measure(amount.unit, -amount.n, -amount.n, -amount.n))} turned up"
            )
        elif one.term in BESIDE and (amount.n or amount.high):
            notes.append(BESIDE[one.term].format(shown(amount)))
        elif one.term == "moved" and not isinstance(body, Moved):
            notes.append(f"{shown(amount)} had come from {one.store or 'elsewhere'}, unsaid")
    return notes


def _why_not(book: Book, entry: TrailEntry) -> str:
    for name in entry.voided_by:
        void = book.entry(name)
        if void is not None:
            return f"taken back by {who(void.record.by)}"
    return "it is a double of another record"


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
