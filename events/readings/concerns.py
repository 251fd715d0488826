"""What does not add up, in plain sentences: what, where, by whose records, and what to do.

A sentence accuses nobody and settles nothing. The deeds it names are those that people have:
look, count, bring in, redate, undo, settle. It never says that food is safe.
"""

from collections.abc import Mapping
from datetime import tzinfo
from typing import Literal, TypeAlias, assert_never

from msgspec import Struct

from events.book import Book
from events.concerns import Concern
from events.kinds import Amount, Checked, Counted, Held, Incident, SetAside
from events.lots.steps import parts
from events.quantity import show_amount
from events.readings.went import how, picked_short
from events.readings.words import device_name, happened, store_name, who
from events.record import Record

OfAmount: TypeAlias = Literal[
    "more-than-known", "picked-short", "carried-unsaid", "moved-short", "count-differs",
    "estimate-off", "other-unit", "maybe-double",
]  # fmt: skip
OfOrder: TypeAlias = Literal[
    "unknown-lot", "making-taken-back", "unknown-mark", "before-or-after-count", "explains-nothing",
    "reserve-short", "held-used", "used-before-hold", "may-have-stood",
]  # fmt: skip
OfRecords: TypeAlias = Literal[
    "clock-off", "same-source", "void-ring", "unknown-record", "unread-record", "same-name",
    "gap-in-device",
]  # fmt: skip


class Told(Struct, frozen=True):
    """The parts that sentences are made of."""

    concern: Concern
    lot: str
    """ "green beans (7K3QF)" """
    much: str
    place: str
    other: str
    whose: str
    """the first record: "the cook, Tue 18 Aug 2026 18:04, on hall" """
    second: str
    mark: str
    about: str
    """the food of the second record, and a comma: "eggs (7K3QF), "; empty where it is of none"""
    step: bool
    """the mark is a step of making that is not over, and nobody doubted the food"""
    went: str
    """how the food of the first record went: "used", "given to aunt", "planted" """
    ask: str
    """whom to tell that it was held"""


def sentence(book: Book, concern: Concern, codes: Mapping[str, str], zone: tzinfo) -> str:
    """One concern in plain words. `codes`: short code by lot name; `zone`: for clock times."""
    told = _told(book, concern, codes, zone)
    kind = concern.kind
    match kind:
        case (
            "more-than-known" | "picked-short" | "carried-unsaid" | "moved-short"
            | "count-differs" | "estimate-off" | "other-unit" | "maybe-double"
        ):  # fmt: skip
            return _of_amount(kind, told, book)
        case (
            "unknown-lot" | "making-taken-back" | "unknown-mark" | "before-or-after-count"
            | "explains-nothing" | "reserve-short" | "held-used" | "used-before-hold"
            | "may-have-stood"
        ):  # fmt: skip
            return _of_order(kind, told)
        case (
            "clock-off" | "same-source" | "void-ring" | "unknown-record" | "unread-record"
            | "same-name" | "gap-in-device"
        ):  # fmt: skip
            return _of_records(kind, told, book)
        case _:
            assert_never(kind)


def _told(book: Book, concern: Concern, codes: Mapping[str, str], zone: tzinfo) -> Told:
    rests = concern.rests_on
    if concern.kind == "before-or-after-count":  # one a deed: its names may come in any order
        rests = tuple(sorted(rests, key=lambda name: _is_count(book, name)))
        second = rests[-1]
    else:
        second = rests[1] if len(rests) > 1 else ""
    went, ask = how(book, rests[0]) if rests else ("used", "")
    return Told(
        concern=concern,
        lot=_lot(book, concern.lot, codes),
        much=show_amount(abs(concern.n), concern.unit) if concern.unit else str(concern.n),
        place=store_name(concern.store),
        other=store_name(concern.other_store),
        whose=_whose(book, rests[0], zone) if rests else "",
        second=_whose(book, second, zone) if second else "",
        mark=_mark(book, concern.mark, zone),
        about=_about(book, second, codes),
        step=_is_step(book, concern.mark),
        went=went,
        ask=ask,
    )


def _is_count(book: Book, name: str) -> bool:
    entry = book.entry(name)
    return entry is not None and isinstance(entry.record.body, Counted)


def _lot(book: Book, name: str, codes: Mapping[str, str]) -> str:
    """A lot in a sentence: its food and its code."""
    lot = book.lot(name) if name else None
    code = codes.get(name, name)
    return f"{lot.food} ({code})" if lot is not None and lot.food else f"lot {code}"


def _about(book: Book, name: str, codes: Mapping[str, str]) -> str:
    """The food that a record is about, a comma behind each: "eggs (7K3QF), "."""
    entry = book.entry(name) if name else None
    lots = {} if entry is None else dict.fromkeys(lot for lot, _, _ in parts(entry.record))
    return "".join(f"{_lot(book, lot, codes)}, " for lot in lots)


def _is_step(book: Book, mark: str) -> bool:
    entry = book.entry(mark) if mark else None
    body = None if entry is None else entry.record.body
    return isinstance(body, Held) and body.programme is not None and body.reason is None


def _whose(book: Book, name: str, zone: tzinfo) -> str:
    """Whose a record is, when it happened, and on which device it was written."""
    entry = book.entry(name)
    if entry is None:
        return f"record {name}, not known here"
    record = entry.record
    when = happened(record.at, record.offset, zone)
    return f"{who(record.by)}, {when}, on {device_name(book, record.device)}"


def _mark(book: Book, name: str, zone: tzinfo) -> str:
    """Why food was marked, by whom and when."""
    entry = book.entry(name) if name else None
    if entry is None:
        return name
    body = entry.record.body
    why = ""
    if isinstance(body, Held):
        why = body.reason or body.programme or ""
    elif isinstance(body, SetAside):
        why = body.purpose or ""
    elif isinstance(body, Incident):
        why = f"{body.what}, {store_name(body.store)}"
    return f"{f'{why}; ' if why else ''}{_whose(book, name, zone)}"


def _of_amount(kind: OfAmount, told: Told, book: Book) -> str:
    lot, much, place = told.lot, told.much, told.place
    match kind:
        case "more-than-known":
            return (
                f"{lot}: {much} more gone or seen in {place} than was ever logged "
                f"({told.whose}). It is booked as found: bring in what was forgotten, "
                "or undo that record."
            )
        case "picked-short":
            return (
                f"{lot}: {much} taken in {place} that this lot did not have ({told.whose}). "
                f"{picked_short(book, told.concern, place)}"
            )
        case "carried-unsaid":
            return (
                f"{lot}: {much} in {place}, logged in {told.other} ({told.whose}). "
                "It is booked as carried: look in both places if that is not so."
            )
        case "moved-short":
            source = store_name(told.concern.detail)
            other = source if told.other == place else told.other
            return (
                f"{lot}: {much} more carried to {place} than stood in {source} ({told.whose}). "
                f"Moved twice? Count it in {place} or in {other}."
            )
        case "count-differs":
            found = told.concern.n > 0
            gap = f"{much} more than the log" if found else f"{much} less than the log"
            ask = "what was not brought in" if found else "what went unlogged"
            return (
                f"{lot}: a count in {place} found {gap} ({told.whose}). The count holds, and the "
                f"difference is not taken for use: log {ask} if you know, or settle it."
            )
        case "estimate-off":
            side = "more" if told.concern.n > 0 else "less"
            return (
                f"{lot}: a count in {place} came out {much} {side} than the estimate allowed "
                f"({told.whose}). Look once more, or settle it."
            )
        case "other-unit":
            return (
                f"{lot}: {_as_said(book, told.concern)} in {place}: no known amount in the lot's own "
                f"unit ({told.whose}). No sum changed: count the lot there, or say what one of "
                "them comes to."
            )
        case "maybe-double":
            return (
                f"{lot}: {much} that two people wrote down alike: {told.second}; and {told.whose}. "
                "Plans count one of them. Undo one as the same as the other, or settle it if "
                "both were made."
            )
        case _:
            assert_never(kind)


def _as_said(book: Book, concern: Concern) -> str:
    """The amount as it was typed."""
    entry = book.entry(concern.rests_on[0])
    for amount in _amounts(entry.record) if entry is not None else ():
        if amount.said:
            bare = not any(sign.isalpha() for sign in amount.said)
            return f"{amount.said} {amount.said_unit}" if bare and amount.said_unit else amount.said
    return "some"


def _amounts(record: Record) -> list[Amount]:
    body = record.body
    said = [getattr(body, "amount", None)]
    if isinstance(body, Checked):
        said += [body.seen, body.sound, body.wrong]
    said += [draw.amount for draw in getattr(body, "draws", ())]
    return [amount for amount in said if isinstance(amount, Amount)]


def _records(count: int) -> str:
    return "1 record stands" if count == 1 else f"{count} records stand"


def _of_order(kind: OfOrder, told: Told) -> str:
    lot, much, place = told.lot, told.much, told.place
    more = len(told.concern.rests_on) - 1
    others = f" and {more} more" if more else ""
    match kind:
        case "unknown-lot":
            return (
                f"{lot}: nobody has brought it in, as far as is known here ({told.whose}{others}). "
                "Its records wait: it may still be on its way from another device; else bring "
                "it in, or undo them."
            )
        case "making-taken-back":
            return (
                f"{lot}: its bringing-in was taken back, yet {_records(more)} on it "
                f"({told.whose}). Undo those too, or bring it back."
            )
        case "unknown-mark":
            return (
                f"{lot}: a hold or reserve is spoken of in {place} that does not lie on it "
                f"({told.whose}). Nothing was released: say which one was meant, or undo this."
            )
        case "before-or-after-count":
            return (
                f"{lot}: before or after the count in {place}? {much} went by a record whose time "
                f"overlaps that count's ({told.whose}; the count: {told.second}). Say when it "
                f"happened, or count {place} again."
            )
        case "explains-nothing":
            return (
                f"{lot}: this was said to explain a count that does not stand, is not known here "
                f"or is of another lot ({told.whose}). It counts at its own time: say which "
                "count was meant, or settle it."
            )
        case "reserve-short":
            return (
                f"{lot}: {much} set aside went another way in {place} ({told.whose}). "
                f"Set aside: {told.mark}. See what is left, and set other food aside if it "
                "still matters."
            )
        case "held-used":
            return _held_used(told)
        case "used-before-hold":
            return (
                f"{lot}: {much if told.concern.n else 'some'} {told.went} before the hold was known "
                f"({told.whose}). Held: {told.mark}. {told.ask}"
            )
        case "may-have-stood":
            return (
                f"{lot}: {much} of it may have stood in {place} when that was struck "
                f"({told.whose}), for the log knows no place for it. Say where it stood, or hold it."
            )
        case _:
            assert_never(kind)


def _held_used(told: Told) -> str:
    """Food that was used while it was held; a step of making that is not over is no doubt."""
    used = f"{told.lot}: {told.much} {told.went}"
    if told.step:
        return (
            f"{used} in {told.place} before its step was over ({told.whose}). "
            f"The step: {told.mark}. Look how far it is, and release it when it is done; "
            "until then the digest does not offer it."
        )
    tell = f"{told.ask} " if told.went.startswith("given") else ""
    return (
        f"{used} in {told.place} while held ({told.whose}). Held: "
        f"{told.mark}. {tell}Eat no more of it, and of what was made with it, until the hold "
        "is answered; take advice where it was eaten."
    )


def _of_records(kind: OfRecords, told: Told, book: Book) -> str:
    rests = told.concern.rests_on
    match kind:
        case "clock-off":
            return (
                f"A device's clock was wild: {told.about}{told.second}, was given another time "
                f"({rests[0]}). Set that device's clock right, and say when it happened if it "
                "matters."
            )
        case "same-source":
            source = f" ({told.concern.detail})" if told.concern.detail else ""
            return (
                f"One line or row{source} was entered twice: {told.whose}; and before that "
                f"{told.second}. It counts once. Undo the second, or enter it afresh if both "
                "are right."
            )
        case "void-ring":
            return (
                f"Takings-back or redatings hang on each other, so none of them counts "
                f"({told.whose}). Undo the one that is wrong."
            )
        case "unknown-record":
            return (
                f"A record takes back, redates or settles another that is not known here, "
                f"{rests[-1]} ({told.whose}). It waits: that one may still be on its way from "
                "another device; else undo or settle it."
            )
        case "unread-record":
            return (
                f"Record {rests[0]} is of a kind that this program does not know "
                f"({told.concern.detail}). It is kept as it came and counts for nothing yet: "
                "bring this program up to date."
            )
        case "same-name":
            return (
                f"Two different facts came under one name, {rests[0]} ({told.whose}). The first "
                "stands, the other was put by. That device was set back from a backup: pair it "
                "anew."
            )
        case "gap-in-device":
            count = told.concern.n
            things = "1 thing" if count == 1 else f"{count} things"
            return (
                f"{device_name(book, told.concern.detail)} has logged {things} that did not arrive "
                f"(the first is {rests[0]}). Let it send; until then figures may change."
            )
        case _:
            assert_never(kind)
