"""The looks: what is on hand, whether there is any, where a lot went, what does not add up, the week.

They read and write nothing. What they say is worked out in `events/readings` and the digest; here
it is only laid out, for people or as JSON.
"""

from argparse import Namespace

from events import edtf
from events.lots.places import within
from events.readings import on_hand as standing
from events.readings.finding import Foods
from events.readings.lots import shown
from service.console import names
from service.console.commands import Commands, look
from service.console.desk import desk
from service.console.words import bold, columns, print_json, wrap
from service.looks import stock


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


# -- on hand -----------------------------------------------------------------------------------


async def on_hand(args: Namespace) -> int:
    async with desk(args, writing=False) as at:
        asked = at.asked()
        if args.json:
            print_json(stock.on_hand(asked, args.store))
            return 0
        book, store = asked.book, names.store(asked.book, args.store)
        shut = stock.shut(asked)
        rows = [row for row in standing.parcels(book, shut) if within(row.store, store)]
        if not rows:
            print(wrap(f"Nothing is on hand{f' in {store}' if store else ''}."))
        foods, mine = Foods(book), dict[str, list[tuple[str, ...]]]()
        for row in rows:
            mine.setdefault(foods.canonical(row.food), []).append(_row(row))
        for total in standing.totals(book, store, shut):
            print(wrap(f"{bold(total.food)}: {standing.total_told(total)}", "  "))
            print(columns(mine[foods.canonical(total.food)], indent="  "))
    return 0


def _row(row: standing.Row) -> tuple[str, ...]:
    kind = ", ".join(part for part in (row.variety, row.form) if part)
    made = edtf.show(row.made) if row.made else "no date"
    said = [
        (f"or in {row.or_in}?", bool(row.or_in)),
        ("open", row.opened),
        ("held", row.held),
        ("set aside", row.set_aside),
        ("in doubt: where now?", row.in_doubt),
        (f"of {row.owner}", bool(row.owner)),
    ]
    shut = [row.shut.words] if row.shut else []
    notes = ", ".join([*(word for word, so in said if so), *shut])
    return row.lot, row.store or "somewhere", shown(row.amount), made, kind, notes


async def have(args: Namespace) -> int:
    from events.readings import have as having

    async with desk(args, writing=False) as at:
        asked, food = at.asked(), " ".join(args.words)
        if args.json:
            print_json(stock.have(asked, food))
            return 0
        found = having.answer(asked.book, food, stock.shut(asked))
        for line in having.sentences(found, at.tz):
            print(wrap(line, "      "))
    return 0


# -- trail -------------------------------------------------------------------------------------


async def trail(args: Namespace) -> int:
    from events.readings import trail as trails
    from events.readings import trail_words as words

    async with desk(args, writing=False) as at:
        asked = at.asked()
        if args.json:
            print_json(stock.trail(asked, args.lot))
            return 0
        book = asked.book
        found = trails.trail(book, names.one_lot(book, args.lot).name)
        also = f", also {', '.join(found.also)}" if found.also else ""
        print(bold(wrap(f"{found.lot} {names.title(book, found.name)} ({found.name}{also})", "  ")))
        for line in (*words.how_put_up(found, at.tz), *words.kin(found)):
            print(wrap(line, "  "))
        for entry, line in zip(found.entries, words.sentences(book, found, at.tz), strict=True):
            print(wrap(f"{entry.name}  {line}", "    "))
        print(wrap(words.balance(found), "  "))
    return 0


# -- what does not add up ----------------------------------------------------------------------


async def concerns(args: Namespace) -> int:
    async with desk(args, writing=False) as at:
        raised = stock.concerns(at.asked())
        if args.json:
            print_json(raised)
            return 0
        if not raised:
            print("Everything adds up.")
            return 0
        for one in raised:
            print(wrap(f"{one['number']:>2}  {one['id']}  {one['says']}", "    "))
        print(wrap('Looked into one? girnel settle NUMBER --decision "what you found"'))
    return 0
