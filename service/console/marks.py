"""Marks on food: held (not to be eaten for now), set aside (kept back), and their ends.

A mark lies on the whole lot, or on so much of it in a store. It is named by its record; where a
lot has exactly one, the name may be left out.
"""

from argparse import Namespace

from msgspec import Struct

from events import edtf
from events.kinds import Amount, Body, Freed, Held, LotSet, Released, SetAside
from events.lots.state import Lot
from events.quantity import NotUnderstood
from service.console import amounts, cautions, names, times
from service.console.commands import Commands, Parser, Run, deed
from service.console.desk import Desk, desk
from service.console.echo import Told, write
from service.console.words import said_amount
from service.errors import WrongUse

KEEPS_AFTER = frozenset(
    {"curing", "cure", "conditioning", "crock", "fermenting", "fermentation", "drying"}
)
"""Programmes at whose end keeping starts. Pest treatment is none: grain has kept all the while."""


class Marked(Struct, frozen=True):
    """What a mark is laid on or lifted from: a lot, or so much of it in a store."""

    lot: Lot
    amount: Amount | None
    store: str

    @property
    def said(self) -> str:
        """So much: 2 jars, all of it."""
        return "all of it" if self.amount is None else said_amount(self.amount)

    @property
    def place(self) -> str:
        return f" in {self.store}" if self.store else ""


def add(commands: Commands) -> None:
    parser = _marking(commands, "set-aside", set_aside, "food is kept back, for seed or a feast")
    parser.add_argument("--for", dest="purpose", metavar="PURPOSE", help="what it is kept for")
    parser = _marking(commands, "free", free, "food is no longer kept back")
    parser.add_argument("--mark", metavar="RECORD", help="which setting aside ends")
    parser = _marking(commands, "hold", hold, "food is not to be eaten for now")
    parser.add_argument("--reason", help="why: waiting for a test, suspect seal …")
    parser.add_argument(
        "--programme", help="a course of steps that it goes through (curing, conditioning)"
    )
    parser.add_argument("--since", metavar="DATE", help="when the doubt reaches back to")
    parser.add_argument("--until", metavar="DATE", help="when it is to be looked at again")
    parser = _marking(commands, "release", release, "a hold ends")
    parser.add_argument("--mark", metavar="RECORD", help="which hold ends")


def _marking(commands: Commands, name: str, run: Run, says: str) -> Parser:
    parser = deed(commands, name, run, says)
    parser.add_argument("what", metavar="LOT", help="a lot's code, or a food")
    parser.add_argument("amount", metavar="AMOUNT", nargs="?", help="how much of it, else all")
    parser.add_argument(
        "--in", dest="store", metavar="STORE", help="where it stands, else everywhere"
    )
    return parser


def marked(at: Desk) -> Marked:
    """What is meant by a lot and perhaps an amount, in either order."""
    what, amount, store = at.args.what, at.args.amount, at.store(at.args.store)
    if amount is not None and not _names_lot(at, what) and _names_lot(at, amount):
        what, amount = amount, what
    lot = names.one_lot(at.book, what, store)
    if amount is None:
        return Marked(lot, None, store)
    if amounts.is_rest(amount):
        return Marked(lot, amounts.rest(lot, store), store)
    return Marked(lot, amounts.of_lot(at.book, lot, amount), store)


def _names_lot(at: Desk, typed: str) -> bool:
    """Whether a word is a lot's code or a food rather than an amount."""
    try:
        amounts.read(at.book, typed)
    except (WrongUse, NotUnderstood):
        return True
    return False


async def set_aside(args: Namespace) -> int:
    purpose = names.word(args.purpose, "--for")
    async with desk(args, writing=True) as at:
        on = marked(at)
        body = SetAside(lot=on.lot.name, amount=on.amount, store=on.store, purpose=purpose)
        did = f"{on.said}{on.place} set aside{f' for {purpose}' if purpose else ''}"
        return await write(at, [(body, Told(on.lot.name, did, on.store))])


async def free(args: Namespace) -> int:
    async with desk(args, writing=True) as at:
        on = marked(at)
        mark = names.one_mark(at.book, on.lot, args.mark, at.device, aside=True)
        body = Freed(lot=on.lot.name, mark=mark, amount=on.amount, store=on.store)
        did = f"{on.said}{on.place} no longer set aside"
        return await write(at, [(body, Told(on.lot.name, did, on.store))])


async def hold(args: Namespace) -> int:
    reason, programme = (
        names.word(args.reason, "--reason"),
        names.word(args.programme, "--programme"),
    )
    async with desk(args, writing=True) as at:
        on = marked(at)
        body = Held(
            lot=on.lot.name,
            amount=on.amount,
            store=on.store,
            programme=programme,
            reason=reason,
            since=_day(at, args.since),
            until=_day(at, args.until, ahead=True),
        )
        did = f"{on.said}{on.place} held{f' ({reason})' if reason else ''}"
        told: list[tuple[Body, Told]] = [(body, Told(on.lot.name, did, on.store))]
        return await write(at, told, cautions.for_hold(on.lot, body), _gone(at, on, body))


def _gone(at: Desk, on: Marked, held: Held) -> list[str]:
    """Who had of a lot that is doubted as a whole, before it was known; a step is no doubt."""
    if on.amount is not None or held.reason is None:
        return []
    from service.console import batches

    return batches.gone(at, [held])


async def release(args: Namespace) -> int:
    async with desk(args, writing=True) as at:
        on = marked(at)
        mark = names.one_mark(at.book, on.lot, args.mark, at.device, aside=False)
        body = Released(lot=on.lot.name, mark=mark, amount=on.amount, store=on.store)
        did = f"{on.said}{on.place} released"
        told: list[tuple[Body, Told]] = [(body, Told(on.lot.name, did, on.store))]
        return await write(at, [*told, *_starts(at, on, mark)])


def _starts(at: Desk, on: Marked, mark: str) -> list[tuple[Body, Told]]:
    """What was cured or fermented keeps from now, where nobody said another day."""
    entry = at.book.entry(mark)
    held = None if entry is None else entry.record.body
    if not isinstance(held, Held) or (held.programme or "").casefold() not in KEEPS_AFTER:
        return []
    made = None if on.lot.maker is None else on.lot.maker.body
    said = on.lot.facts.get("keeping_from") or getattr(made, "keeping_from", None)
    if on.amount is not None or said:
        return []
    today = times.deed(at.args, at.clock, at.zone).at or times.today(at.clock, at.zone).isoformat()
    day = today[:10]
    did = f"its keeping starts with the end of {held.programme}, {edtf.show(day)}"
    facts = {"keeping_from": day}
    form = _after(at, on.lot)
    if form:
        facts["form"], did = form, f"{did}; from here on it is {form}"
    return [(LotSet(lot=on.lot.name, facts=facts), Told(on.lot.name, did, None))]


def _after(at: Desk, lot: Lot) -> str:
    """The form of food that was called "curing" once it is cured, where the tables know it."""
    from events.keeping.life import STEPS, Lives
    from events.readings.lived import plainly
    from events.tables import load

    if " ".join(lot.form.casefold().split()) not in STEPS:
        return ""
    return Lives(load()).form(plainly(at.book, lot))


def _day(at: Desk, typed: str | None, *, ahead: bool = False) -> str | None:
    return None if typed is None else times.day(typed, at.clock, at.zone, ahead=ahead)
