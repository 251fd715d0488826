"""The looks: what is on hand, whether there is any, where a lot went, what does not add up, the week.

They read and write nothing. What they say is worked out in `events/readings` and the digest; here
it is only laid out, for people or as JSON.
"""

from argparse import Namespace
from typing import TYPE_CHECKING

from events import edtf
from events.lots.places import within
from events.lots.state import BALANCE, COMING
from events.quantity import show
from events.readings import on_hand as standing
from events.readings.lots import codes_of, shown
from service.console import names, times
from service.console.commands import Commands, look
from service.console.desk import desk
from service.console.words import bold, columns, print_json, width, wrap

if TYPE_CHECKING:
    from events.readings.trail import Trail


def add(commands: Commands) -> None:
    parser = look(commands, "on-hand", on_hand, "what there is, where")
    parser.add_argument(
        "--in", dest="store", metavar="STORE", help="in this store and its parts only"
    )
    parser = look(commands, "have", have, "do we have any? one answer over all stores")
    parser.add_argument("words", metavar="FOOD", nargs="+")
    parser = look(commands, "trail", trail, "where a lot came from and went, record by record")
    parser.add_argument("lot", metavar="LOT")
    look(commands, "concerns", concerns, "what does not add up, and what to do about it")
    look(commands, "digest", digest, "the week's work list")


# -- on hand -----------------------------------------------------------------------------------


async def on_hand(args: Namespace) -> int:
    async with desk(args, writing=False) as at:
        book = at.look_at()
        store = names.store(book, args.store)
        rows = [row for row in standing.parcels(book) if within(row.store, store)]
        if args.json:
            print_json(standing.to_json(rows))
            return 0
        if not rows:
            print(wrap(f"Nothing is on hand{f' in {store}' if store else ''}."))
        for total in standing.totals(book, store):
            print(wrap(f"{bold(total.food)}: {standing.total_told(total)}", "  "))
            mine = [row for row in rows if names.same_food(book, row.food, total.food)]
            print(columns([_row(row) for row in mine], indent="  "))
    return 0


def _row(row: standing.Row) -> tuple[str, ...]:
    kind = ", ".join(part for part in (row.variety, row.form) if part)
    made = edtf.show(row.made) if row.made else "no date"
    said = [
        ("open", row.opened),
        ("held", row.held),
        ("set aside", row.set_aside),
        ("in doubt: where now?", row.in_doubt),
        (f"of {row.owner}", bool(row.owner)),
    ]
    notes = ", ".join(word for word, so in said if so)
    return row.lot, row.store or "somewhere", shown(row.amount), made, kind, notes


async def have(args: Namespace) -> int:
    from events.readings import have as having

    async with desk(args, writing=False) as at:
        book = at.look_at()
        answer = having.answer(book, " ".join(args.words))
        if args.json:
            print_json(having.to_json(answer))
        else:
            for line in having.sentences(answer, at.tz):
                print(wrap(line, "      "))
    return 0


# -- trail -------------------------------------------------------------------------------------


async def trail(args: Namespace) -> int:
    from events.readings import trail as trails

    async with desk(args, writing=False) as at:
        book = at.look_at()
        found = trails.trail(book, names.one_lot(book, args.lot).name)
        if args.json:
            print_json(trails.to_json(found))
            return 0
        also = f", also {', '.join(found.also)}" if found.also else ""
        print(bold(wrap(f"{found.lot} {names.title(book, found.name)} ({found.name}{also})", "  ")))
        for entry, line in zip(found.entries, trails.sentences(book, found, at.tz), strict=True):
            print(wrap(f"{entry.name}  {line}", "    "))
        print(wrap(balance(found), "  "))
    return 0


def balance(found: "Trail") -> str:
    """The balance of a lot: "12 in = 3 consumed + 1 spoiled + 8 on hand (jar)"."""
    into = [term for term in BALANCE if term in COMING]
    out = [*(term for term in BALANCE if term not in COMING), "on_hand"]
    sides = []
    for terms, always in ((into, "in"), (out, "on_hand")):
        said = [
            f"{show(found.balance[term])} {term.replace('_', ' ')}"
            for term in terms
            if found.balance[term] or term == always
        ]
        sides.append(" + ".join(said))
    return f"{sides[0]} = {sides[1]} ({found.unit})"


# -- what does not add up ----------------------------------------------------------------------


async def concerns(args: Namespace) -> int:
    from events.readings import concerns as sentences

    async with desk(args, writing=False) as at:
        book = at.look_at()
        codes = codes_of(book)
        raised = [
            (i, names.concern_id(one), one, sentences.sentence(book, one, codes, at.tz))
            for i, one in enumerate(book.concerns(), 1)
        ]
        if args.json:
            print_json(
                [
                    {
                        "number": i,
                        "id": short,
                        "kind": one.kind,
                        "lot": codes.get(one.lot),
                        "store": one.store,
                        "rests_on": list(one.rests_on),
                        "says": says,
                    }
                    for i, short, one, says in raised
                ]
            )
            return 0
        if not raised:
            print("Everything adds up.")
            return 0
        for i, short, _, says in raised:
            print(wrap(f"{i:>2}  {short}  {says}", "    "))
        print(wrap('Looked into one? girnel settle NUMBER --decision "what you found"'))
    return 0


async def digest(args: Namespace) -> int:
    import msgspec

    from events import tables
    from service.digests import compose, render

    async with desk(args, writing=False) as at:
        now = at.moment()
        known = tables.load()
        today = None if args.on is None else times.last_day(args.on, at.clock, at.zone)
        week = compose.compose(at.look_at(), known, now, at.zone, at.ledger.household.name, today)
        if args.json:
            print_json(msgspec.to_builtins(week))
        else:
            print(render.text(week, min(width(), render.WIDTH)), end="")
    return 0
