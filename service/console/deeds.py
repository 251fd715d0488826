"""What is done with food that is there: carried, dug, opened, taken, tossed, given, planted.

A taker or opener may name a food: the device picks the lot that is first to use there and the
record says so. The other deeds want the lot, unless there is only one. Nobody is refused for
taking more than the log knows; that becomes something to look at.
"""

from argparse import Namespace
from collections.abc import Callable
from typing import get_args

from msgspec import Struct, convert

from events.kinds import Amount, Body, Cause, Consumed, Gave, Moved, Opened, Planted, Spoiled
from events.lots.places import within
from events.lots.state import Lot
from service.console import amounts, cautions, jars, names, neighbours, picking
from service.console.commands import Commands, deed, out
from service.console.desk import Desk, desk
from service.console.echo import Told, write
from service.console.words import listed, said_amount
from service.errors import NeedsChoice, WrongUse


class Share(Struct, frozen=True):
    """So much of a lot, out of a store, as one record says it."""

    lot: Lot
    amount: Amount
    rest: bool = False
    picked: bool = False


def add(commands: Commands) -> None:
    parser = deed(commands, "carry", carry, "food was carried to another store")
    out(parser, "--from")
    parser.add_argument("--to", required=True, metavar="STORE", help="where it stands now")
    parser.add_argument("--opened", action="store_true", help="it was an opened one")
    parser.add_argument("--oldest", action="store_true", help="of a food's lots, the oldest first")
    parser = deed(commands, "dig", dig, "food was dug from a bed and stands in a store now")
    out(parser, "--from")
    parser.add_argument("--to", required=True, metavar="STORE", help="where it stands now")
    parser.add_argument(
        "--beside", metavar="AMOUNT", help='how much of the rows: "8 ft", "12 plants"'
    )
    parser = deed(commands, "open", open_, "packages were opened")
    parser.add_argument("amount", metavar="AMOUNT")
    parser.add_argument("what", metavar="LOT", help="a lot's code, or a food")
    parser.add_argument("--in", dest="store", metavar="STORE")
    parser = deed(commands, "take", take, "food was eaten or cooked with")
    out(parser)
    parser.add_argument("--opened", action="store_true", help="it was an opened one")
    parser = deed(commands, "toss", toss, "food was thrown out, composted or fed to animals")
    out(parser)
    parser.add_argument("--opened", action="store_true", help="it was an opened one")
    parser.add_argument("--cause", choices=get_args(Cause), help="why")
    parser.add_argument("--beside", metavar="AMOUNT", help='in a bed, how much of the rows: "8 ft"')
    parser = deed(commands, "give", give, "food was given, traded or sold")
    out(parser)
    parser.add_argument("--opened", action="store_true", help="it was an opened one")
    parser.add_argument("--to", metavar="WHOM", help="who got it")
    parser.add_argument("--price")
    parser = deed(commands, "plant", plant, "food was used as seed stock")
    out(parser)


# -- how much of which lot ---------------------------------------------------------------------


def named(at: Desk, store: str) -> list[Share]:
    """So much of the one lot that is meant."""
    lot = names.one_lot(at.book, at.args.what, store)
    return [_share(at, lot, store)]


def _share(at: Desk, lot: Lot, store: str) -> Share:
    rest = amounts.is_rest(at.args.amount)
    amount = amounts.rest(lot, store) if rest else amounts.of_lot(at.book, lot, at.args.amount)
    beside = getattr(at.args, "beside", None)
    if beside is not None:
        amount = amounts.beside(at.book, amount, beside)
    return Share(lot, amount, rest=rest)


def picked(at: Desk, store: str) -> list[Share]:
    """So much of the lot that is meant, or of a food's lots, first to use first."""
    what = names.lot_or_food(at.book, at.args.what)
    if isinstance(what, Lot):
        return [_share(at, what, store)]
    order = picking.first_to_use(at.book, what, store, at.args.what)
    if amounts.is_rest(at.args.amount):
        return [
            Share(share.lot, amounts.rest(share.lot, store), rest=True, picked=True)
            for share in order
        ]
    return _spread(at, order, is_picked=True)


def oldest(at: Desk, store: str) -> list[Share]:
    """So much of a food, of its oldest lots first."""
    what = names.lot_or_food(at.book, at.args.what)
    if isinstance(what, Lot):
        return [_share(at, what, store)]
    order = picking.oldest_first(at.book, what, store, at.args.what)
    if amounts.is_rest(at.args.amount):
        raise WrongUse("With --oldest say how much is carried, or carry the rest lot by lot.")
    return _spread(at, order, is_picked=False)


EVERYTHING = frozenset({"everything", "all food", "all the food"})
"""What is carried where a whole store is emptied into another."""


def everything(at: Desk, store: str) -> list[Share]:
    """All that stands in a store, lot by lot, whatever marks lie on it."""
    if not store:
        raise WrongUse("Everything out of which store? Say it with --from.")
    if not amounts.is_rest(at.args.amount) or at.args.oldest or at.args.opened or at.args.mark:
        raise WrongUse(
            "Everything is carried as it stands: girnel carry all everything --from STORE --to STORE."
        )
    lots = [lot for lot in at.book.lots.values() if any(
        parcel.high and within(parcel.store, store) for parcel in lot.parcels)]  # fmt: skip
    if not lots:
        raise WrongUse(f"The log knows of nothing in {store}.")
    ranked = sorted(lots, key=lambda lot: (lot.food.casefold(), lot.made_place, lot.name))
    return [Share(lot, amounts.rest(lot, store), rest=True) for lot in ranked]


def on_the_shelf(at: Desk) -> str:
    """The store that a food is taken from where nobody says it: its shelf, if that has so much."""
    what = names.lot_or_food(at.book, at.args.what)
    if isinstance(what, Lot):
        return ""
    shelf = at.book.settings.foods.get(what, {}).get("shelf", "")
    if not shelf:
        return ""
    lots = [lot for lot in names.had(at.book, what, at.args.what) if not picking.owner(lot)]
    there = [lot for lot in lots if any(
        picking.free(parcel) and within(parcel.store, shelf) for parcel in lot.parcels)]  # fmt: skip
    if not there or amounts.is_rest(at.args.amount):
        return shelf if there else ""
    wanted = amounts.of_lot(at.book, there[0], at.args.amount).n
    n = sum(p.n for lot in there for p in lot.parcels if picking.free(p) and within(p.store, shelf))
    return shelf if wanted is not None and wanted <= n else ""


def dug_already(at: Desk) -> str:
    """Of food that partly stands in the ground: the store where most of what was dug stands.

    Nobody eats out of the ground without digging.
    """
    what = names.lot_or_food(at.book, at.args.what)
    lots = [what] if isinstance(what, Lot) else names.had(at.book, what, at.args.what)
    kind_of = at.book.settings.kind_of
    stands: dict[str, int] = {}
    in_ground = False
    for parcel in (p for lot in lots for p in lot.parcels if picking.not_held(p)):
        if kind_of(parcel.store) == "ground":
            in_ground = True
        else:
            stands[parcel.store] = stands.get(parcel.store, 0) + parcel.n
    return max(stands, key=lambda store: (stands[store], store)) if in_ground and stands else ""


def _spread(at: Desk, order: list[picking.Share], *, is_picked: bool) -> list[Share]:
    """An amount over lots of one unit in their order; the last takes what is still wanted."""
    first = order[0].lot
    whole = amounts.of_lot(at.book, first, at.args.amount)
    if whole.n is None or whole.low is not None:
        return [Share(first, whole, picked=is_picked)]
    alike = [share for share in order if _alike(share.lot, first)]
    wanted, shares = whole.n, []
    for i, share in enumerate(alike):
        last = i == len(alike) - 1
        n = wanted if last else min(wanted, share.n)
        if n:
            shares.append(Share(share.lot, amounts.part(whole, n), picked=is_picked))
        wanted -= n
        if not wanted:
            break
    return shares


def _alike(lot: Lot, first: Lot) -> bool:
    made, other = lot.identity, first.identity
    return (
        made is not None
        and other is not None
        and (made.unit, made.package)
        == (
            other.unit,
            other.package,
        )
    )


# -- the deeds ---------------------------------------------------------------------------------


def _told(did: str, share: Share, store: str, left_in: str | None = None) -> Told:
    place = f" {store}" if store else " the household"
    did += ", picked as first to use" if share.picked else ""
    return Told(share.lot.name, did.format(amount=said_amount(share.amount), place=place),
                store if left_in is None else left_in)  # fmt: skip


def _mark(at: Desk) -> str | None:
    return None if at.args.mark is None else names.mark(at.book, at.args.mark, at.device)


def _opened(args: Namespace) -> bool | None:
    return True if args.opened else None


async def _out(
    args: Namespace,
    did: str,
    shares_of: Callable[[Desk, str], list[Share]],
    body: Callable[[Desk, Share, str], Body],
    warn: "Callable[[Desk, Lot, Body], cautions.Warn | None] | None" = None,
    follow: "Callable[[Desk, Lot, Body], list[str]] | None" = None,
) -> int:
    """Write a deed that lowers lots in a store."""
    async with desk(args, writing=True) as at:
        store = at.store(args.store)
        if args.store is None and shares_of is picked:
            store = on_the_shelf(at) or dug_already(at)
        shares = shares_of(at, store)
        told = [(body(at, share, store), _told(did, share, store)) for share in shares]
        first = shares[0].lot, told[0][0]
        more = follow(at, *first) if follow else ()
        return await write(at, told, warn(at, *first) if warn else None, more)


async def carry(args: Namespace) -> int:
    async with desk(args, writing=True) as at:
        store, to = at.store(args.store), at.store(args.to)
        if store == to:
            raise WrongUse(f"--from and --to are both {store}: nothing is carried.")
        shares = _carried(at, store)
        did = f"{{amount}} carried{f' from {store}' if store else ''} to {to}"
        told: list[tuple[Body, Told]] = [
            (
                Moved(lot=share.lot.name, amount=share.amount, store=store, to=to, rest=share.rest,
                      mark=_mark(at), opened=_opened(args)),
                _told(did, share, store, to),
            )
            for share in shares
        ]  # fmt: skip
        follow = neighbours.said(at, [share.lot for share in shares], to)
        return await write(at, told, None, follow)


def _carried(at: Desk, store: str) -> list[Share]:
    if " ".join(at.args.what.casefold().split()) in EVERYTHING:
        return everything(at, store)
    return oldest(at, store) if at.args.oldest else named(at, store)


async def dig(args: Namespace) -> int:
    async with desk(args, writing=True) as at:
        to = at.store(args.to)
        bed = at.store(args.store) if args.store is not None else _bed(at)
        kinds = at.book.settings.kind_of
        if kinds(bed) != "ground":
            raise WrongUse(
                f"{bed or 'The household'} is no bed: digging is out of a store of kind ground. "
                "From any other store it is girnel carry."
            )
        if kinds(to) == "ground":
            raise WrongUse(f"{to} is a bed too: --to says where it stands now that it is dug.")
        (share,) = named(at, bed)
        body = Moved(lot=share.lot.name, amount=share.amount, store=bed, to=to, rest=share.rest,
                     mark=_mark(at))  # fmt: skip
        told = _told(f"{{amount}} dug from {bed} to {to}", share, bed)
        return await write(at, [(body, told)], None, neighbours.said(at, [share.lot], to))


def _bed(at: Desk) -> str:
    """The one bed in which the food stands."""
    what = names.lot_or_food(at.book, at.args.what)
    lots = [what] if isinstance(what, Lot) else names.had(at.book, what, at.args.what)
    kinds = at.book.settings.kind_of
    beds = sorted(
        {p.store for lot in lots for p in lot.parcels if p.high and kinds(p.store) == "ground"}
    )
    if not beds:
        raise WrongUse(f"The log knows no {at.args.what} in any bed: say which with --from.")
    if len(beds) > 1:
        raise NeedsChoice(f"{at.args.what} stands in {listed(beds)}: say which with --from.")
    return beds[0]


async def open_(args: Namespace) -> int:
    def body(at: Desk, share: Share, store: str) -> Body:
        if not share.lot.packed:
            raise WrongUse(
                f"{share.lot.food} of that lot is not kept in packages: there is nothing to open."
            )
        return Opened(lot=share.lot.name, amount=share.amount, store=store, picked=share.picked)

    return await _out(
        args, "{amount} opened in{place}", picked, body, jars.warn_of_eating, jars.before_eating
    )


async def take(args: Namespace) -> int:
    def body(at: Desk, share: Share, store: str) -> Body:
        return Consumed(lot=share.lot.name, amount=share.amount, store=store, rest=share.rest,
                        mark=_mark(at), opened=_opened(args), picked=share.picked)  # fmt: skip

    return await _out(
        args, "{amount} taken from{place}", picked, body, jars.warn_of_eating, jars.before_eating
    )


async def toss(args: Namespace) -> int:
    cause = convert(args.cause, Cause | None)

    def body(at: Desk, share: Share, store: str) -> Body:
        return Spoiled(lot=share.lot.name, amount=share.amount, store=store, cause=cause,
                       rest=share.rest, mark=_mark(at), opened=_opened(args))  # fmt: skip

    did = "{amount} thrown out of{place}" + (f" ({cause})" if cause else "")
    return await _out(args, did, named, body, _warn_of_loss, _beside)


def _warn_of_loss(_: Desk, lot: Lot, loss: Body) -> "cautions.Warn | None":
    return cautions.for_loss(lot, loss)


def _beside(at: Desk, lot: Lot, loss: Body) -> list[str]:
    """What a failed seal asks of the rest of its lot."""
    if not isinstance(loss, Spoiled) or loss.cause != "seal failed":
        return []
    from service.console import batches

    return batches.rest_to_look_at(at, lot, loss)


async def give(args: Namespace) -> int:
    to = names.word(args.to, "--to", most=4000)
    price = names.word(args.price, "--price")

    def body(at: Desk, share: Share, store: str) -> Body:
        return Gave(lot=share.lot.name, amount=share.amount, store=store, to=to, price=price,
                    rest=share.rest, mark=_mark(at), opened=_opened(args))  # fmt: skip

    return await _out(args, "{amount} given away from{place}", named, body)


async def plant(args: Namespace) -> int:
    def body(at: Desk, share: Share, store: str) -> Body:
        return Planted(lot=share.lot.name, amount=share.amount, store=store, rest=share.rest,
                       mark=_mark(at))  # fmt: skip

    return await _out(args, "{amount} planted from{place}", named, body)
