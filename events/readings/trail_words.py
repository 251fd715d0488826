"""A lot's trail in plain words: what came of it record by record, and whatever was said beside.

Not where a trail is found (`trail`). Everything that a person wrote down is told: a reason, a
finding, a note, the line of a sheet. An audit by somebody who was not there needs no more than this.
"""

from collections.abc import Iterable
from datetime import tzinfo

from msgspec.structs import replace

from events.book import Book
from events.edtf import show as show_date
from events.kinds import (
    Amount,
    Body,
    Checked,
    Gave,
    Held,
    Incident,
    LotSet,
    Moved,
    PutUp,
    Received,
    Repacked,
    SetAside,
    Spoiled,
    StoreCounted,
)
from events.lots.state import BALANCE, COMING
from events.quantity import show, show_amount
from events.readings.batch import sentences as batch_sentences
from events.readings.lineage import Link
from events.readings.lots import Measure, shown
from events.readings.trail import CameTo, Trail, TrailEntry
from events.readings.words import device_name, happened, moment, who

DONE = {
    "received": "brought in", "put_up": "put up", "repacked": "packed anew", "moved": "carried",
    "opened": "opened", "consumed": "took", "spoiled": "threw out", "gave": "gave away",
    "planted": "planted", "counted": "counted", "checked": "looked, saw", "held": "held",
    "released": "released", "set_aside": "set aside", "freed": "freed", "lot_set": "set down",
    "incident": "reported", "store_counted": "went through",
}  # fmt: skip

BESIDE = {
    "found": "{} more than was known", "missing": "{} missing", "shrunk": "{} shrunk",
    "doubt": "{} in doubt: where now?",
}  # fmt: skip
"""What a record came to beside what it said."""

TERMS = {
    "in": "in", "found": "found", "consumed": "eaten", "spoiled": "thrown out",
    "given": "given away", "planted": "planted", "drawn": "made into other food",
    "shrunk": "shrunk", "missing": "missing", "on_hand": "on hand",
}  # fmt: skip
"""The sides of the balance, as they are said."""

ORIGINS = {
    "harvest": "from the harvest", "bought": "bought", "gift": "a gift", "exchange": "swapped in",
    "found": "found",
}  # fmt: skip


def sentences(book: Book, found: Trail, zone: tzinfo) -> list[str]:
    """A line for each record, oldest first, in plain words."""
    return [_sentence(book, found, entry, zone) for entry in found.entries]


def how_put_up(found: Trail, zone: tzinfo) -> list[str]:
    """How the lot was put up, what shares its load, and its seals; nothing for what came in."""
    return [] if found.batch is None else batch_sentences(found.batch, found.lot, zone)


def kin(found: Trail) -> list[str]:
    """Which lots it was made from, and which were made of it; no line where there is none."""
    return [
        f"{word}: {'; '.join(_link(one) for one in links)}"
        for word, links in (("Made from", found.parents), ("Went into", found.children))
        if links
    ]


def _link(link: Link) -> str:
    left = link.on_hand
    if not left.unit:
        return f"{link.lot}, of which nothing is known here"
    is_gone = left.n == 0 and left.high == 0
    return f"{link.lot} {link.food}, {'none' if is_gone else shown(left)} left".replace("  ", " ")


def balance(found: Trail) -> str:
    """The balance of a lot: "12 in = 3 eaten + 1 thrown out + 8 on hand (jar)"."""
    into = [term for term in BALANCE if term in COMING and term != "re_estimated"]
    out = [*(term for term in BALANCE if term not in COMING), "on_hand"]
    sides = [
        " + ".join(
            f"{show(found.balance[term])} {TERMS[term]}"
            for term in terms
            if found.balance[term] or term == always
        )
        for terms, always in ((into, "in"), (out, "on_hand"))
    ]
    off = found.balance["re_estimated"]
    if off:
        sides[0] += f" {'+' if off > 0 else '-'} {show(abs(off))} as the estimate was put right"
    return f"{sides[0]} = {sides[1]} ({found.unit})"


# -- one record ------------------------------------------------------------------------------------


def _sentence(book: Book, found: Trail, entry: TrailEntry, zone: tzinfo) -> str:
    done = f"{happened(entry.at, entry.offset, zone)} {who(entry.by)} {_did(found, entry)}"
    if entry.before is not None and entry.after is not None:
        done += f", {show(entry.before)} -> {show(entry.after)}"
    if entry.store:
        done += f", {entry.store}"
    done += "".join(f" ({note})" for note in _notes(entry, found.names_recipients))
    if entry.record.note:
        done += f" “{entry.record.note}”"
    done += f"; said on {device_name(book, entry.device)}{_other_time(entry, zone)}"
    if entry.heard is not None:
        done += f", heard {moment(entry.heard, zone, entry.place)}"
    if entry.record.source:
        done += f"; from {entry.record.source}"
    if not entry.counts:
        done += f"; does not count, {_why_not(book, entry)}"
    return done


def _other_time(entry: TrailEntry, zone: tzinfo) -> str:
    """The time that the record itself gives, where it counts at another."""
    record = entry.record
    if (record.at, record.offset) == (entry.at, entry.offset):
        return ""
    return f" as {happened(record.at, record.offset, zone)}"


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


def _together(came_to: Iterable[CameTo]) -> list[CameTo]:
    """What a record came to, each thing once: food under a mark and food beside it are one there."""
    found: dict[tuple[str, str, str, bool], CameTo] = {}
    for one in came_to:
        key = (one.term, one.store, one.to, one.amount.n < 0)
        other = found.get(key)
        found[key] = one if other is None else replace(one, amount=other.amount.plus(one.amount))
    return list(found.values())


def _notes(entry: TrailEntry, names_recipients: bool) -> list[str]:
    """What was said beside the amount, and what the record came to beside what it said."""
    body = entry.record.body
    notes = _said_beside(body) if names_recipients or not isinstance(body, Gave) else []
    for one in _together(entry.came_to):
        amount = one.amount
        if one.term == "missing" and amount.n < 0:
            notes.append(f"{shown(_turned(amount))} turned up")
        elif one.term == "re_estimated" and amount.n:
            more = "more" if amount.n > 0 else "less"
            notes.append(
                f"{shown(amount if amount.n > 0 else _turned(amount))} {more} than estimated"
            )
        elif one.term in BESIDE and (amount.n or amount.high):
            notes.append(BESIDE[one.term].format(shown(amount)))
        elif one.term == "moved" and not isinstance(body, Moved):
            notes.append(f"{shown(amount)} had come from {one.store or 'elsewhere'}, unsaid")
    return notes


def _turned(amount: Measure) -> Measure:
    """An amount below nought, said as one above."""
    return Measure(amount.unit, -amount.n, -amount.n, -amount.n)


def _said_beside(body: Body) -> list[str]:
    """Why, from whom, for whom, until when."""
    match body:
        case Spoiled(cause=cause):
            return [cause] if cause else []
        case Gave(to=to):
            return [f"to {to}"] if to else []
        case SetAside(purpose=purpose):
            return [purpose] if purpose else []
        case Held():
            ends = f"until {show_date(body.until)}" if body.until else ""
            since = f"in doubt since {show_date(body.since)}" if body.since else ""
            return [said for said in (body.reason, body.programme, ends, since) if said]
        case Checked():
            parts = (("sound", body.sound), ("not good", body.wrong))
            return [
                *([body.finding] if body.finding else []),
                *(f"{_amount(amount)} {word}" for word, amount in parts if amount is not None),
            ]
        case Received():
            return _came_in(body)
        case _:
            return []


def _amount(amount: Amount) -> str:
    """As it was typed, where it has no amount in the lot's unit."""
    if amount.n is None:
        return amount.said or "some"
    return show_amount(amount.n, amount.unit, amount.low, amount.high)


def _came_in(body: Received) -> list[str]:
    """Where it came from, and what stood on it: what a notice about food goes by."""
    origin = ORIGINS.get(body.origin or "", "")
    supplier = f"from {body.supplier}" if body.supplier else ""
    printed = f"printed {body.printed_kind or ''}: {body.printed}" if body.printed else ""
    return [
        said
        for said in (
            " ".join(word for word in (origin, supplier) if word),
            printed.replace(" :", ":"),
            f"of {body.owner}" if body.owner else "",
            f"labelled {body.label}" if body.label else "",
            f"{_amount(body.papers)} by its papers" if body.papers else "",
        )
        if said
    ]


def _why_not(book: Book, entry: TrailEntry) -> str:
    for name in entry.voided_by:
        void = book.entry(name)
        if void is not None:
            why = f": “{void.record.note}”" if void.record.note else ""
            return f"taken back by {who(void.record.by)}{why}"
    return "it is a double of another record"
