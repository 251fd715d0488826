"""Jars, lids and other vessels: what is at hand, and what became of empty ones.

A jar that food is put up in, eaten out of or given in needs no deed of its own; what people bought,
broke, counted, lent or got back empty does. Which are full, and what both come to, is worked out in
`events/readings/vessels`.
"""

import re
from argparse import Namespace
from typing import Literal, get_args

from events.kinds import GRAIN, VesselsChanged
from events.quantity import plural
from events.readings.vessel_names import ONE, is_lid, vessel_name
from events.readings.vessels import Row, to_json, vessels
from service.console import names
from service.console.amounts import VESSELS
from service.console.commands import Commands, deed
from service.console.desk import Desk, desk
from service.console.echo import BACK, raised_sentences
from service.console.words import columns, listed, one_line, print_json, wrap
from service.errors import WrongUse
from service.looks import stock

Change = Literal["bought", "broken", "counted", "lent", "back"]
CHANGES: dict[str, Change] = {change: change for change in get_args(Change)}
GOES_WITH: dict[str, Change] = {"code": "bought", "to": "lent", "whom": "back"}
"""An option, and the only thing that it goes with."""

HOW = 'write it like girnel jars counted 12 "qt jars"'
COUNTED = re.compile(r"([0-9]{1,3}(?:,[0-9]{3})+|[0-9]{1,9})(?: |(?=[a-z]))(doz(?:en)? )?(\w.*)")


def add(commands: Commands) -> None:
    parser = deed(commands, "jars", jars, "jars, lids and other vessels: at hand, full, on loan")
    parser.add_argument(
        "said",
        metavar="WHAT NUMBER VESSEL",
        nargs="*",
        help='counted 64 "qt jars"; also bought, broken, lent, back; nothing: what is at hand',
    )
    parser.add_argument("--code", metavar="CODE", help="of a box that was bought")
    parser.add_argument("--to", metavar="WHOM", help="to whom they were lent")
    parser.add_argument("--from", dest="whom", metavar="WHOM", help="from whom they came back")


async def jars(args: Namespace) -> int:
    if args.said in ([], ["list"]):
        return await _list(args)
    what, much = args.said[0].casefold(), " ".join(args.said[1:])
    if what not in CHANGES:
        known = listed(CHANGES, "or")
        raise WrongUse(f'"{args.said[0]}" is not what befalls a jar: {known}; {HOW}.')
    number, vessel = _counted(much)
    if number == 0 and what != "counted":
        raise WrongUse(f'"{much}" is none at all: say how many were {what}.')
    for option, change in GOES_WITH.items():
        if getattr(args, option) is not None and what != change:
            name = "from" if option == "whom" else option
            raise WrongUse(f"--{name} goes with {change} alone: leave it out.")
    body = VesselsChanged(
        vessel=vessel,
        count=number,
        change=CHANGES[what],
        code=names.word(args.code, "--code"),
        who=names.word(args.to, "--to", most=4000) or names.word(args.whom, "--from", most=4000),
    )
    async with desk(args, writing=True) as at:
        return await _write(at, body)


def _counted(typed: str) -> tuple[int, str]:
    """How many, of what."""
    text = " ".join(typed.casefold().split())
    found = COUNTED.fullmatch(text)
    if found is None:
        raise WrongUse(f'"{typed}" does not say how many of what: {HOW}.')
    number = int(found[1].replace(",", "")) * (12 if found[2] else 1)
    vessel = vessel_name(found[3])
    if not vessel.isprintable() or len(vessel) > 200:
        raise WrongUse(f'"{found[3]}" cannot be the name of a vessel: {HOW}.')
    if vessel.rpartition(" ")[2] not in VESSELS | set(ONE.values()):
        raise WrongUse(
            f'"{found[3]}" is no jar, lid or other vessel: name it last, like "pint jars",'
            ' "wide lids" or "buckets".'
        )
    return number, vessel


async def _write(at: Desk, body: VesselsChanged) -> int:
    entries, raised = await at.write([body])
    row = next((one for one in vessels(at.book) if one.vessel == body.vessel), None)
    if at.args.json:
        told = {"record": entries[0].record.name, "change": body.change, "number": body.count}
        print_json({**told, "vessel": body.vessel, "now": to_json([row])[0] if row else None})
        return 0
    who = f" {'from' if body.change == 'back' else 'to'} {body.who}" if body.who else ""
    box = f" (box {body.code})" if body.code else ""
    left = f": {standing(row)}" if row else ""
    print(one_line(f"{_so_many(body.count, body.vessel)} {body.change}{who}{box}{left}. {BACK}"))
    for says in raised_sentences(at, raised):
        print(wrap(says, "  "))
    return 0


def standing(row: Row) -> str:
    """What there is of one vessel, in a few words."""
    return ", ".join(
        [at_hand(row), *(part for part in (_full(row), _out(row)) if part), *notes(row)]
    )


def at_hand(row: Row) -> str:
    return f"{row.empty} at hand" if is_lid(row.vessel) else f"{row.empty} empty"


def _full(row: Row) -> str:
    return f"{row.full} full" if row.full else ""


def _out(row: Row) -> str:
    return f"{row.out} on loan" if row.out else ""


def notes(row: Row) -> list[str]:
    """What else there is to say of a vessel."""
    said = [f"{row.used} used"] if row.used else []
    said += [f"{row.short} more went than the log knows of: count them"] if row.short else []
    said += [] if row.known else ["never counted"]
    said += ["some full ones are estimated"] if row.about else []
    return said


def _so_many(number: int, vessel: str) -> str:
    return f"{number} {plural(vessel, number * GRAIN)}"


async def _list(args: Namespace) -> int:
    if any(getattr(args, word) is not None for word in ("at", "by", "note", *GOES_WITH)):
        raise WrongUse("To list the jars only --on DATE and --json go with it: leave the rest out.")
    async with desk(args, writing=False) as at:
        asked = at.asked()
        if args.json:
            print_json(stock.jars(asked))
            return 0
        rows = vessels(asked.book)
        if not rows:
            print(wrap(f"No jars are known of: {HOW}."))
            return 0
        print(columns([_cells(row) for row in rows]))
        for row in rows:
            if row.loans:
                said = listed(
                    f"{loan.who or 'nobody said to whom'} {loan.number}" for loan in row.loans
                )
                print(wrap(f"On loan: {plural(row.vessel, 2 * GRAIN)}: {said}", "  "))
        return 0


def _cells(row: Row) -> tuple[str, ...]:
    vessel = plural(row.vessel, 2 * GRAIN)
    return vessel, at_hand(row), _full(row), _out(row), ", ".join(notes(row))
