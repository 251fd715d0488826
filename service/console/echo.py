"""A deed told back in one line: the lot's code, what is left, how to take it back.

Beside it, each in a line: the concerns that it raised, and the usual caution with its source where
a thing can hurt someone. With `--json` the same as one object.
"""

from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from events import edtf
from events.concerns import Concern
from events.kinds import Body
from events.lots.places import within
from events.lots.state import Lot
from events.readings import concerns as sentences
from events.readings.lots import Measure, amount_json, codes_of, measure, shown
from events.record import Entry
from service.console import cautions, names, times
from service.console.desk import Desk
from service.console.words import one_line, print_json, wrap

BACK = "Take back: girnel undo"


class Told(Struct, frozen=True):
    """What a deed did to one lot, in words: "1 jar taken from kitchen"."""

    lot: str
    did: str
    store: str | None
    """where what is left is told of; None: that goes without saying"""
    record: str = ""


async def write(
    desk: Desk,
    told: Sequence[tuple[Body, Told]],
    warn: "cautions.Warn | None" = None,
    follow: Sequence[str] = (),
) -> int:
    """Write a deed about lots down and tell it back."""
    entries, raised = await desk.write([body for body, _ in told])
    lines = [
        Told(line.lot, line.did, line.store, entry.record.name)
        for (_, line), entry in zip(told, entries, strict=True)
    ]
    tell(desk, entries, lines, raised, warn, follow)
    return 0


def tell(
    desk: Desk,
    entries: Sequence[Entry],
    lines: Sequence[Told],
    raised: Sequence[Concern],
    warn: "cautions.Warn | None" = None,
    follow: Sequence[str] = (),
) -> None:
    """Say what was written: one line a lot, the concerns raised, what is to follow, cautions."""
    said = cautions.said(desk.book, warn)
    if desk.args.json:
        print_json({**_object(desk, entries, lines, raised, said), "follow": list(follow)})
        return
    day = _another_day(desk, entries)
    unknown = {concern.lot for concern in raised if concern.kind == "other-unit"}
    for i, line in enumerate(lines):
        when = day if i == 0 and day not in line.did else ""
        back = f" {BACK}" if i == len(lines) - 1 and not desk.more else ""
        print(one_line(f"{_line(desk, line, when, unreckoned=line.lot in unknown)}{back}"))
    for says in raised_sentences(desk, raised):
        print(wrap(says, "  "))
    for says in follow:
        print(wrap(says, "  "))
    for caution in said:
        print(wrap(f"Caution: {caution}", "  "))


def raised_sentences(desk: Desk, raised: Sequence[Concern]) -> list[str]:
    codes = codes_of(desk.book)
    return [
        f"Does not add up ({names.concern_id(concern)}): "
        f"{sentences.sentence(desk.book, concern, codes, desk.tz)}"
        for concern in raised
    ]


def _line(desk: Desk, line: Told, when: str, *, unreckoned: bool) -> str:
    """`unreckoned`: it was said in a unit of no known worth in the lot's own."""
    lot = desk.book.lot(line.lot)
    did = f"{line.did}{when}"
    if lot is None or lot.identity is None:
        return f"{desk.code(line.lot)}: {did}."
    what_is_left = "" if line.store is None else f", {left(lot, line.store)}"
    if what_is_left and unreckoned:
        what_is_left = f", not taken off its {shown(on_hand(lot, ''))}"
    return f"{desk.code(lot.name)} {lot.food}: {did}{what_is_left}."


def _another_day(desk: Desk, entries: Sequence[Entry]) -> str:
    """When it was, where that is said to be another day than today: a year misread is seen."""
    at = entries[0].record.at if entries and (desk.args.on or desk.args.at) else ""
    today = times.today(desk.clock, desk.zone).isoformat()
    return "" if not at or at[:10] == today else f", {edtf.show(at)}"


def left(lot: Lot, store: str) -> str:
    """What is left of a lot, there and in all."""
    there, in_all = on_hand(lot, store), on_hand(lot, "")
    if _none(in_all):
        return "none left"
    if not store or there == in_all:
        return f"{shown(in_all)} left in all"
    return f"{'none' if _none(there) else shown(there)} left there, {shown(in_all)} in all"


def _none(amount: Measure) -> bool:
    return amount.n == 0 and amount.high == 0


def on_hand(lot: Lot, store: str) -> Measure:
    """What is known of a lot in a store and its parts."""
    parcels = [parcel for parcel in lot.parcels if within(parcel.store, store)]
    return measure(
        lot.unit,
        sum(parcel.n for parcel in parcels),
        sum(parcel.low for parcel in parcels),
        sum(parcel.high for parcel in parcels),
    )


def _object(
    desk: Desk,
    entries: Sequence[Entry],
    lines: Sequence[Told],
    raised: Sequence[Concern],
    said: Sequence[str],
) -> dict[str, Any]:
    told = [_lot(desk, line) for line in lines]
    codes = codes_of(desk.book)
    return {
        **(told[0] if told else {}),
        "record": entries[0].record.name,
        "deed": entries[0].record.deed_name,
        "records": [entry.record.name for entry in entries],
        "lots": told,
        "concerns": [
            {
                "id": names.concern_id(concern),
                "kind": concern.kind,
                "says": sentences.sentence(desk.book, concern, codes, desk.tz),
            }
            for concern in raised
        ],
        "cautions": list(said),
    }


def _lot(desk: Desk, line: Told) -> dict[str, Any]:
    lot = desk.book.lot(line.lot)
    if lot is None:
        return {"lot": desk.code(line.lot), "name": line.lot, "record": line.record}
    return {
        "lot": desk.code(lot.name),
        "name": lot.name,
        "record": line.record,
        "food": lot.food,
        "store": line.store or "",
        "there": amount_json(on_hand(lot, line.store or "")),
        "in_all": amount_json(on_hand(lot, "")),
    }
