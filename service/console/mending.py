"""Mending: a deed taken back, facts about a lot learnt later, a concern settled.

Nothing is erased: what is taken back is kept and no longer counts, and can be brought back.
"""

from argparse import Namespace

from events.book import Book
from events.concerns import Concern
from events.kinds import Body, DeviceSet, DigestSent, LotSet, Redated, Settled, Voided
from events.lots.state import Lot
from events.readings import concerns as sentences
from events.readings.lots import codes_of
from events.readings.words import happened
from events.record import Entry, Record
from service.console import cautions, names, times
from service.console.commands import Commands, deed
from service.console.desk import Desk, desk
from service.console.echo import Told, raised_sentences, write
from service.console.words import print_json, wrap
from service.errors import NeedsChoice, WrongUse

FACTS = ("food", "variety", "form", "label", "altitude", "acid", "printed", "printed_kind", "owner",
         "sure", "made_at", "keeping_from", "size", "condition", "recipients")  # fmt: skip
"""What may be learnt of a lot later; never its amount, unit or store."""


DEEDS = {
    "received": "bring-in", "ordered": "expect", "put_up": "put-up", "repacked": "repack",
    "moved": "carry", "opened": "open", "consumed": "take",
    "spoiled": "toss", "gave": "give", "planted": "plant", "counted": "count",
    "store_counted": "count", "checked": "look", "held": "hold", "released": "release",
    "freed": "free", "set_aside": "set-aside", "lot_set": "amend", "settled": "settle",
    "voided": "undo", "store_set": "store", "food_set": "food", "member_set": "member",
    "vessels_changed": "jars", "measured": "reading",
}  # fmt: skip
"""Kinds, and the deeds that write them; a kind without a command is called by its own name."""


def add(commands: Commands) -> None:
    parser = deed(commands, "undo", undo, "take a deed back: this device's last, or the one named")
    parser.add_argument(
        "record", metavar="RECORD", nargs="?", help="its name, as the trail shows it"
    )
    parser.add_argument(
        "--same-as", metavar="RECORD", help="it says the same as this one: a double"
    )
    parser.add_argument("--only", action="store_true", help="this record alone, not its whole deed")
    parser = deed(commands, "amend", amend, "facts about a lot, learnt later")
    parser.add_argument("what", metavar="LOT")
    parser.add_argument(
        "facts",
        metavar="FACT=TEXT",
        nargs="+",
        help=f"one of {', '.join(FACTS)}; an empty text blanks",
    )
    parser = deed(commands, "settle", settle, "somebody looked at a concern and decided")
    parser.add_argument(
        "concern", metavar="CONCERN", help="its number or short name in girnel concerns"
    )
    parser.add_argument("--decision", metavar="TEXT", help="what was found or decided")


# -- undo --------------------------------------------------------------------------------------


async def undo(args: Namespace) -> int:
    async with desk(args, writing=True) as at:
        records = _meant(at)
        same_as = _double(at, records) if args.same_as is not None else None
        bodies = [Voided(record=record.name, same_as=same_as) for record in records]
        entries, raised = await at.write(bodies)
        back = f"Bring it back: girnel undo {entries[0].record.name}"
        what = _said(at, records)
        if args.json:
            print_json(
                {
                    "record": entries[0].record.name,
                    "records": [entry.record.name for entry in entries],
                    "took_back": [record.name for record in records],
                    "same_as": same_as,
                    "concerns": [{"id": names.concern_id(c), "kind": c.kind} for c in raised],
                }
            )
            return 0
        double = f" as a double of {same_as}" if same_as else ""
        print(wrap(f"Taken back{double}: {what}. {back}", "  "))
        for says in raised_sentences(at, raised):
            print(wrap(says, "  "))
    return 0


def _meant(at: Desk) -> list[Record]:
    """The records to take back, newest first."""
    if at.args.record is None:
        return _last_deed(at)
    record = names.record(at.book, at.args.record, at.device).record
    if at.args.record.strip().isdecimal() and _long_ago(at, record):
        when = happened(record.at, record.offset, at.tz)
        raise NeedsChoice(
            f"{at.args.record} is a record of {when} ({_said(at, [record])}): to take that back, girnel "
            f"undo {record.name}; the last deed, girnel undo."
        )
    if not at.book.stands(record.name):
        void = _void_of(at.book, record.name)
        back = f" To bring it back: girnel undo {void}" if void else ""
        raise WrongUse(f"{record.name} is taken back already.{back}")
    if isinstance(record.body, DeviceSet):
        raise WrongUse(f"{record.name} says which device this is: it cannot be taken back.")
    return [record] if at.args.only else _deed_of(at.book, record)


DAY_MS = 86_400_000


def _long_ago(at: Desk, record: Record) -> bool:
    """Whether a record was written more than a day ago: a bare number may be meant otherwise."""
    entry = at.book.entry(record.name)
    return entry is not None and entry.received < at.clock.now_ms() - DAY_MS


def _deed_of(book: Book, record: Record) -> list[Record]:
    """All standing records of the deed that a record is part of, newest first."""
    return [part for part in reversed(book.deed(record)) if book.stands(part.name)]


def _last_deed(at: Desk) -> list[Record]:
    for entry in at.book.newest_of(at.device):
        record = entry.record
        if isinstance(record.body, DeviceSet | DigestSent | Redated | Voided) or not at.book.stands(
            record.name
        ):
            continue
        deed = _deed_of(at.book, record)
        if not any(isinstance(part.body, DeviceSet) for part in deed):
            return deed
    raise WrongUse("Nothing that was logged on this device is left to take back.")


def _void_of(book: Book, name: str) -> str | None:
    """The newest void of a record that stands."""
    voids = [
        entry.record.name
        for entry in book.naming(name)
        if isinstance(entry.record.body, Voided)
        and entry.record.body.record == name
        and book.stands(entry.record.name)
    ]
    return voids[-1] if voids else None


def _double(at: Desk, records: list[Record]) -> str:
    """The record that the one taken back is a double of: another one that says the same."""
    other = names.record(at.book, at.args.same_as, at.device).record
    if len(records) != 1:
        raise WrongUse(
            f"That deed has {len(records)} records: name the one that is a double, with --only."
        )
    one = records[0]
    if other.name == one.name:
        raise WrongUse(f"{one.name} cannot be a double of itself: name the other record.")
    if type(other.body) is not type(one.body):
        raise WrongUse(
            f"{one.name} ({_deed(one)}) and {other.name} ({_deed(other)}) say different things: "
            "no double."
        )
    return other.name


def _deed(record: Record) -> str:
    """What people call the deed that wrote a record."""
    kind = str(record.body.__struct_config__.tag)
    return DEEDS.get(kind, kind.replace("_", " "))


def _said(at: Desk, records: list[Record]) -> str:
    """What was taken back, in words."""
    first = records[-1]
    lot = getattr(first.body, "lot", None) or f"{first.name}:0"
    found = at.book.lot(lot)
    about = f", {at.code(lot)} {found.food}" if found is not None and found.identity else ""
    more = f" and {len(records) - 1} more of that deed" if len(records) > 1 else ""
    return f"{_deed(first)}{about} ({first.name}){more}"


# -- amend and settle --------------------------------------------------------------------------


async def amend(args: Namespace) -> int:
    facts: dict[str, str] = {}
    for typed in args.facts:
        name, equals, text = typed.partition("=")
        name = name.strip().casefold().replace("-", "_")
        if not equals or name not in FACTS:
            raise WrongUse(
                f'"{typed}" is no fact about a lot: write FACT=TEXT with one of {", ".join(FACTS)}.'
            )
        if name in facts:
            raise WrongUse(f"{name} is given twice: say it once.")
        facts[name] = names.word(text, name) or "" if text.strip() else ""
    if facts.get("food") == "":
        raise WrongUse("A lot has a food: food= cannot be blanked.")
    async with desk(args, writing=True) as at:
        lot = names.one_lot(at.book, args.what)
        for fact in ("made_at", "keeping_from"):
            if facts.get(fact):
                facts[fact] = times.day(facts[fact], at.clock, at.zone)
        said = ", ".join(
            f"{name} is {text}" if text else f"{name} blanked" for name, text in facts.items()
        )
        warn = cautions.for_learnt(lot, facts)
        body = LotSet(lot=lot.name, facts=facts)
        told: list[tuple[Body, Told]] = [(body, Told(lot.name, said, ""))]
        if "acid" in facts:
            return await _acid(at, lot, facts["acid"], told, warn)
        return await write(at, told, warn)


async def _acid(
    at: Desk, lot: Lot, acid: str, told: list[tuple[Body, Told]], warn: "cautions.Warn"
) -> int:
    """Acid is a fact of the whole load; where it was left out, the load is held from its making."""
    from service.console import batches

    for one in batches.of_one_load(at.book, lot):
        if one.name != lot.name:
            did = f"put up with it, acid is {acid}" if acid else "put up with it, acid blanked"
            told.append((LotSet(lot=one.name, facts={"acid": acid}), Told(one.name, did, "")))
    holds = batches.learnt(at.book, lot, acid)
    told += [(hold, Told(hold.lot, f"held ({hold.reason})", None)) for hold in holds]
    warns = [warn, *([batches.warn_of_acid(lot, at.clock.now_ms())] if holds else [])]
    return await write(at, told, cautions.all_of(warns), batches.gone(at, holds))


def concern(book: Book, typed: str) -> Concern:
    """The concern that is meant, by its number in the list or its short name."""
    listed = book.concerns()
    text = typed.strip()
    if not listed:
        raise WrongUse("There is nothing to settle: no concern stands.")
    if text.isdecimal() and len(text) < 5:
        if not 1 <= int(text) <= len(listed):
            raise WrongUse(f"There is no concern {text}: girnel concerns lists 1 to {len(listed)}.")
        return listed[int(text) - 1]
    for one in listed:
        if names.concern_id(one) == text.upper():
            return one
    raise WrongUse(f'"{typed}" is no concern that stands: girnel concerns lists them.')


async def settle(args: Namespace) -> int:
    decision = names.word(args.decision, "--decision", most=4000)
    async with desk(args, writing=True) as at:
        one = concern(at.book, args.concern)
        says = sentences.sentence(at.book, one, codes_of(at.book), at.tz)
        kind, rests_on = one.key
        entries, _ = await at.write([Settled(concern=kind, rests_on=rests_on, decision=decision)])
        _tell_settled(args, one, says, entries)
    return 0


def _tell_settled(args: Namespace, one: Concern, says: str, entries: list[Entry]) -> None:
    if args.json:
        print_json(
            {"record": entries[0].record.name, "id": names.concern_id(one), "kind": one.kind}
        )
        return
    print(wrap(f"Settled ({names.concern_id(one)}): {says} Take it back: girnel undo", "  "))
