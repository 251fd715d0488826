"""Bringing in: a lot comes from the garden, a shop, a neighbour, or the back of a shelf."""

from argparse import Namespace
from typing import get_args

from msgspec import convert
from msgspec.structs import replace

from events import edtf
from events.kinds import Amount, DateKind, Held, Origin, Package, Received
from events.lots.state import Lot
from events.quantity import canonical_unit
from service.console import amounts, cautions, expecting, names, neighbours, times
from service.console.commands import Commands, deed
from service.console.desk import Desk, desk
from service.console.echo import Told, tell
from service.console.words import said_amount
from service.errors import WrongUse


def add(commands: Commands) -> None:
    parser = deed(commands, "bring-in", bring_in, "food came in: a new lot")
    parser.add_argument("amount", metavar="AMOUNT", help='how much: "12 qt", "25 kg", "about 60"')
    parser.add_argument("food", metavar="FOOD")
    parser.add_argument("--in", dest="store", metavar="STORE", help="where it was put")
    parser.add_argument("--variety")
    parser.add_argument("--form", help="home-canned, frozen, dried, fresh …")
    parser.add_argument("--origin", choices=get_args(Origin), help="where it came from")
    parser.add_argument("--package", metavar="VESSEL", help="what it is packed in: jar, tin, bag …")
    parser.add_argument("--holds", metavar="AMOUNT", help='how much one package holds: "400 g"')
    parser.add_argument("--fill", help='how full they are: "3/4"')
    parser.add_argument("--papers", metavar="AMOUNT", help="the amount by its papers")
    parser.add_argument("--beside", metavar="AMOUNT", help='a second measure of it: "60 pieces"')
    parser.add_argument("--made", metavar="DATE", help="when it was put up or picked")
    parser.add_argument(
        "--keeping-from", metavar="DATE", help="when its keeping starts (after curing)"
    )
    parser.add_argument("--printed", metavar="TEXT", help="the maker's date or code, as printed")
    parser.add_argument("--printed-kind", choices=get_args(DateKind), help="what that date says")
    parser.add_argument("--supplier")
    parser.add_argument("--price")
    parser.add_argument("--owner", help="whose it is, where it is not the household's")
    parser.add_argument("--label", help="what stands on it")
    parser.add_argument("--answers", metavar="RECORD", help="the order that this answers")


async def bring_in(args: Namespace) -> int:
    async with desk(args, writing=True) as at:
        body = received(at)
        holds = _holds(at, body)
        entries, raised = await at.write([body, *holds])
        name = f"{entries[0].record.name}:0"
        lot = at.book.lot(name)
        where = f" into {body.store}" if body.store else ""
        when = f", {edtf.show(entries[0].record.at)}" if args.on or args.at else ""
        unsaid = ", fresh as no form was said" if body.form and not args.form else ""
        did = f"{said_amount(body.amount, body.package)} brought{where or ' in'}{when}{unsaid}"
        told = [
            Told(name, said, None, entry.record.name)
            for said, entry in zip(
                (did, *(f"held ({hold.reason})" for hold in holds)), entries, strict=True
            )
        ]
        warn = cautions.for_coming(lot) if lot else None
        tell(at, entries, told, raised, warn, _beside(at, lot, body.store))
    return 0


def _holds(at: Desk, body: Received) -> list[Held]:
    """The holds that jars call for by their size."""
    if body.package is None or (body.form or "").casefold() not in amounts.JARRED:
        return []
    from service.console import batches

    called = batches.holds(at.book, [batches.to_be("", body)])
    # its name is settled only where it is needed: several consoles may be writing
    return [replace(hold, lot=f"{at.device}:{at.next_seq}:0") for hold in called]


def _beside(at: Desk, lot: Lot | None, store: str) -> list[str]:
    """What its neighbours are to it, where it stands alone of its food there."""
    return [] if lot is None or not store else neighbours.came(at, lot, store)


def received(at: Desk) -> Received:
    """The record of what came in, as typed."""
    args, book = at.args, at.book
    food, form = names.known_food(book, args.food), names.word(args.form, "--form")
    amount, package = amounts.coming(
        book, args.amount, food, form, args.package, args.holds, args.fill
    )
    first, of, rest = args.food.strip().partition(" of ")
    if of and amount.unit == "piece" and canonical_unit(first) is not None:
        raise WrongUse(
            f'"{args.food}" begins with a measure: write the amount and the food apart, as in '
            f'bring-in "{args.amount} {first}" "{rest}".'
        )
    if args.beside is not None:
        amount = amounts.beside(book, amount, args.beside)
    if args.printed_kind is not None and args.printed is None:
        raise WrongUse("--printed-kind says what a printed date is: give it with --printed.")
    return Received(
        food=food,
        amount=amount,
        variety=names.word(args.variety, "--variety"),
        form=form or _fresh(at, food, names.word(args.variety, "--variety"), amount, package),
        package=package,
        papers=_papers(at, amount, package),
        store=at.store(args.store),
        origin=convert(args.origin, Origin | None),
        keeping_from=_day(at, args.keeping_from),
        printed=names.word(args.printed, "--printed"),
        printed_kind=convert(args.printed_kind, DateKind | None),
        supplier=names.word(args.supplier, "--supplier"),
        price=names.word(args.price, "--price"),
        owner=names.word(args.owner, "--owner"),
        answers=expecting.answered(at, args.answers),
        made_at=_day(at, args.made),
        label=names.word(args.label, "--label"),
    )


def _fresh(
    at: Desk, food: str, variety: str | None, amount: Amount, package: Package | None
) -> str | None:
    """Produce that comes in loose, by weight: it is fresh, and what a weighing misses has shrunk."""
    loose = package is None and amounts.is_mass(amount.unit)
    store = at.store(at.args.store)
    if not loose or (store and at.book.settings.kind_of(store) == "freezer"):
        return None
    from events import tables
    from events.keeping.life import Lives

    kinds = (f"{variety} {food}", food) if variety else (food,)
    names_too = (*kinds, *at.book.settings.other_names(food))
    return "fresh" if Lives(tables.load()).is_produce(names_too) else None


def _papers(at: Desk, amount: Amount, package: Package | None) -> Amount | None:
    if at.args.papers is None:
        return None
    return amounts.in_unit(at.book, at.args.papers, amount.unit, package)


def _day(at: Desk, typed: str | None) -> str | None:
    return None if typed is None else times.day(typed, at.clock, at.zone)
