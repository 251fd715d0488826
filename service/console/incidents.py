"""What befell a store between two moments, either of them rough: the power went, frost, heat, flood.

All that stood or may have stood there is held, until somebody has looked at it. Which food that is,
the fold works out from the whole log, also from what is heard of later; here it is told, with how
to look, and the usual caution. Nothing here finds food sound.
"""

import re
from argparse import Namespace

from msgspec import Struct

from events import edtf
from events.kinds import Incident
from events.lots.state import Lot, Parcel
from events.readings.lots import Measure, amount_json, measure, shown
from service.console import cautions, names, times
from service.console.commands import Commands, deed
from service.console.desk import Desk, desk
from service.console.echo import BACK, raised_sentences
from service.console.words import columns, listed, one_line, print_json, wrap
from service.errors import WrongUse

CLOCK = r"(?:at )?[0-9]{1,2}(?::[0-9]{2})?(?: ?[ap]m)?"
EXACT = r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(?::[0-9]{2})?"
WHEN = 'write --on yesterday, or --from "yesterday 15:00" --to "yesterday 21:00"'


class Under(Struct, frozen=True):
    """So much of a lot in a store that an incident holds."""

    lot: Lot
    store: str
    amount: Measure


def add(commands: Commands) -> None:
    says = "something befell a store: what stood there is held until somebody looks"
    parser = deed(commands, "incident", incident, says)
    parser.add_argument("what", metavar="WHAT", nargs="+",
                        help="power cut, frost, heat, flood, door open, mice …")  # fmt: skip
    parser.add_argument("--in", dest="store", metavar="STORE", required=True, help="which store")
    parser.add_argument("--from", dest="start", metavar="MOMENT",
                        help='when it began, as near as is known: "yesterday 15:00"')  # fmt: skip
    parser.add_argument("--to", dest="end", metavar="MOMENT",
                        help="when it was over; left out: it goes on")  # fmt: skip


async def incident(args: Namespace) -> int:
    what = names.word(" ".join(args.what), "What befell it")
    async with desk(args, writing=True) as at:
        store = at.store(args.store)
        start, end = bounds(at)
        body = Incident(store=store, what=what or "", start=start, end=end)
        entries, raised = await at.write([body])
        mark = entries[0].record.name
        held = under(at, mark)
        warned = cautions.said(at.book, cautions.for_incident([one.lot for one in held], body))
        follow = how_to_look(at, held, mark)
        if args.json:
            print_json(
                {
                    "record": mark,
                    "what": body.what,
                    "store": store,
                    "start": start,
                    "end": end,
                    "held": [_as_json(at, one) for one in held],
                    "concerns": [{"id": names.concern_id(c), "kind": c.kind} for c in raised],
                    "follow": follow,
                    "cautions": list(warned),
                }
            )
            return 0
        back = "" if at.more else f" {BACK}"
        print(one_line(f"{body.what} in {store}, {_when(at, start, end)}: {_many(held)}.{back}"))
        print(columns([_row(at, one) for one in held], indent="  "), end="\n" if held else "")
        for says in [*raised_sentences(at, raised), *follow]:
            print(wrap(says, "  "))
        for caution in warned:
            print(wrap(f"Caution: {caution}", "  "))
    return 0


# -- when it befell ----------------------------------------------------------------------------


def bounds(at: Desk) -> tuple[str, str | None]:
    """When it began and when it was over, in EDTF; None: it is not, or --on and --at say all."""
    args = at.args
    said = args.on if args.on is not None else args.at
    if args.start is None and args.end is None:
        if said is None:
            raise WrongUse(f"It is not said when it befell the store: {WHEN}.")
        start = times.deed(args, at.clock, at.zone).at
        return start or "", None
    if said is not None:
        raise WrongUse("--from and --to say when it befell the store: leave out --on and --at.")
    if args.start is None:
        raise WrongUse(f"--to says when it was over, and not when it began: {WHEN}.")
    start = _moment(at, args.start)
    if args.end is None:
        return start, None
    if _bare(args.end) and not _bare(args.start) and not _today(at, start):
        raise WrongUse(
            f'--to "{args.end}" does not say which day, and --from is another one than today: '
            "write the day too."
        )
    end = _moment(at, args.end)
    first, last = edtf.span(start, 0)[0], edtf.span(end, 0)[1]
    if first is not None and last is not None and last < first:
        raise WrongUse(f'--to "{args.end}" lies before --from "{args.start}": write both again.')
    return start, end


def _moment(at: Desk, typed: str) -> str:
    """A rough moment that has come: a day, a part of one, a time of the household's clock."""
    found = times.day(typed, at.clock, at.zone)
    if re.fullmatch(EXACT, found):
        found = times.instant(found, at.clock, at.zone)
    times.has_come(found, typed, at.clock, at.zone)
    return found


def _bare(typed: str) -> bool:
    return re.fullmatch(CLOCK, " ".join(typed.casefold().split())) is not None


def _today(at: Desk, start: str) -> bool:
    return start.startswith(times.today(at.clock, at.zone).isoformat()) and "/" not in start


def _when(at: Desk, start: str, end: str | None) -> str:
    if end is None and at.args.start is None:
        return _point(start)
    if end is None:
        return f"from {_point(start)} on"
    last = _point(end)
    if "/" not in start + end and start[:10] == end[:10]:
        last = last.partition(", ")[2] or last
    return _point(start) if start == end else f"from {_point(start)} to {last}"


def _point(said: str) -> str:
    first, slash, last = said.partition("/")
    return f"between {edtf.show(first)} and {edtf.show(last)}" if slash else edtf.show(said)


# -- what it holds -----------------------------------------------------------------------------


def under(at: Desk, mark: str) -> list[Under]:
    """What lies under an incident's mark, by food and store."""
    found = []
    for lot in at.book.lots.values():
        stores: dict[str, list[Parcel]] = {}
        for parcel in lot.parcels:
            if parcel.high and any(name == mark for name, _ in parcel.holds):
                stores.setdefault(parcel.store, []).append(parcel)
        for store, there in sorted(stores.items()):
            ends = (sum(getattr(p, end) for p in there) for end in ("n", "low", "high"))
            found.append(Under(lot, store, measure(lot.unit, *ends)))
    return sorted(found, key=lambda one: (one.lot.food.casefold(), one.store, one.lot.name))


def _many(held: list[Under]) -> str:
    if not held:
        return "nothing that the log knows stood there"
    return f"{listed(sorted({one.lot.food for one in held}))} held by it"


def _row(at: Desk, one: Under) -> tuple[str, ...]:
    lot = one.lot
    kind = ", ".join(part for part in (lot.food, lot.variety, lot.form) if part)
    return at.code(lot.name), kind, shown(one.amount), one.store or "somewhere"


def _as_json(at: Desk, one: Under) -> dict[str, object]:
    return {
        "lot": at.code(one.lot.name),
        "name": one.lot.name,
        "food": one.lot.food,
        "store": one.store,
        "amount": amount_json(one.amount),
    }


def how_to_look(at: Desk, held: list[Under], mark: str) -> list[str]:
    """The look that ends the hold for what was found sound, and what becomes of the rest."""
    if not held:
        return []
    code, store = (at.code(held[0].lot.name), held[0].store) if len(held) == 1 else ("LOT", "STORE")
    place = f" --in {store}" if store else ""
    look = f"girnel look {code}{place} --sound HOW-MANY --for {mark}"
    toss = f"girnel toss HOW-MANY {code}{place} --mark {mark} --cause CAUSE"
    return [
        f"Look at each, when you can. What was found sound is held no more: {look}",
        f"What was not: {toss}",
    ]
