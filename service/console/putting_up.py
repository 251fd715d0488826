"""Putting up: a load in one go, what went in and what came out of it; and food packed anew.

A load is one deed: every draw and every jar by its size, with how it was done. `--again` says the
last load of that food once more, with a new date. Nothing is refused for how it was processed: it
is written as it happened, and where that is a doubt about the jars, the deed holds them.
"""

import re
from argparse import Namespace
from collections.abc import Sequence

from msgspec.structs import replace

from events import edtf
from events.kinds import Body, Draw, Held, PutUp, Repacked, Yield
from events.lots.places import levels, within
from events.lots.state import Lot, Parcel
from events.quantity import show
from service.console import amounts, batches, cautions, names
from service.console.commands import Commands, Parser, deed
from service.console.desk import Desk, desk
from service.console.echo import Told, tell
from service.console.words import said_amount
from service.errors import WrongUse

FORMS = {
    "home-canned": ("pressure canner", "pressure", "pressure canned", "pressure canning", "canner",
                    "boiling water", "boiling-water canner", "water bath", "steam canner",
                    "canned", "canning", "hot pack", "raw pack"),
    "frozen": ("frozen", "freezing", "freezer", "blanched and frozen"),
    "dried": ("dried", "drying", "drier", "dryer", "dehydrator", "dehydrated"),
    "freeze-dried": ("freeze-dried", "freeze drier", "freeze dryer", "freeze-drying"),
    "fermented": ("fermented", "fermenting", "crock"),
}  # fmt: skip
"""Methods in the trade's words, and the form that food has afterwards."""

NOTHING = frozenset({"nothing", "none", "no"})
FACTS = ("method", "pressure", "altitude", "recipe", "acid", "machine", "lid_box")


def add(commands: Commands) -> None:
    parser = deed(commands, "put-up", put_up, "a load was put up: what went in, jars by their size")
    parser.add_argument(
        "amounts", metavar="AMOUNT", nargs="*", help='what came of it, size by size: "7 qt" "9 pt"'
    )
    parser.add_argument("food", metavar="FOOD")
    _packing(parser)
    parser.add_argument("--variety")
    parser.add_argument(
        "--also", metavar="AMOUNT=FOOD", action="append", help="another food of the same load"
    )
    parser.add_argument("--method", help="pressure canner, boiling water, freezing, drying, crock")
    parser.add_argument("--minutes", help="how long it was processed")
    parser.add_argument("--pressure", help='as read: "11 lb"')
    parser.add_argument("--altitude", help='how high above the sea: "400 ft"')
    parser.add_argument("--recipe", help="which tested recipe")
    parser.add_argument("--acid", help='what was added, or "none"')
    parser.add_argument("--machine", help="which canner, drier or freezer")
    parser.add_argument("--trays", help="how many trays")
    parser.add_argument("--lid-box", help="the box that the lids came from")
    parser.add_argument(
        "--supply", metavar="NAME=TEXT", action="append", help="what else was used up"
    )
    parser.add_argument(
        "--again", action="store_true", help="as the last load of that food, save what is said"
    )
    parser = deed(commands, "repack", repack, "the same food was put in other packages, or joined")
    parser.add_argument(
        "amounts", metavar="AMOUNT", nargs="+", help='what came of it: "10 bags", "3 pt"'
    )
    _packing(parser)


def _packing(parser: Parser) -> None:
    parser.add_argument(
        "--of",
        metavar="LOT=AMOUNT",
        action="append",
        help='what went in, once for each: "carrots=5 lb in barn", "7K3QF=rest"',
    )
    parser.add_argument("--in", dest="store", metavar="STORE", help="where it was put")
    parser.add_argument("--form", help="home-canned, frozen, dried, jam …")
    parser.add_argument("--package", metavar="VESSEL", help="what it is packed in: jar, bag …")
    parser.add_argument("--holds", metavar="AMOUNT", help='how much one package holds: "2 lb"')
    parser.add_argument("--fill", help='how full they are: "3/4"')
    parser.add_argument("--label", help="what stands on it")
    parser.add_argument(
        "--remedy", metavar="RECORD", help="the hold that this sets right: what was not sealed"
    )


# -- the deeds ---------------------------------------------------------------------------------


async def put_up(args: Namespace) -> int:
    async with desk(args, writing=True) as at:
        body = _load(at)
        name = f"{at.device}:{at.next_seq}"
        lots = [batches.to_be(f"{name}:{i}", one) for i, one in enumerate(body.yields)]
        holds = batches.holds(at.book, lots, body)
        await _write(at, body, holds, "put up")
    return 0


async def repack(args: Namespace) -> int:
    async with desk(args, writing=True) as at:
        remedy = _remedy(at)
        draws = _draws(at, remedy)
        if not draws:
            raise WrongUse("Of what? Say what was packed anew: --of LOT=AMOUNT.")
        lots = [lot for draw in draws if (lot := at.book.lot(draw.lot)) is not None]
        first = lots[0]
        for lot in lots:
            if not names.same_food(at.book, lot.food, first.food):
                raise WrongUse(
                    f"{first.food} and {lot.food} are two foods: packed anew is one food. "
                    "What is made of several is girnel put-up."
                )
        form = names.word(args.form, "--form") or first.form or None
        alike = {lot.variety for lot in lots}
        variety = first.variety if len(alike) == 1 else ""
        yields = tuple(
            _yield(at, typed, first.food, form, variety or None) for typed in args.amounts
        )
        await _write(at, Repacked(yields=yields, draws=draws, remedy=remedy), [], "packed anew")
    return 0


async def _write(at: Desk, body: PutUp | Repacked, holds: Sequence[Held], did: str) -> None:
    """Write a making down, with the holds that it calls for, and tell it back."""
    bodies: list[Body] = [body, *holds]
    entries, raised = await at.write(bodies)
    record = entries[0].record
    when = f", {edtf.show(record.at)}" if at.args.on or at.args.at else ""
    drawn = [_went_in(draw) for draw in body.draws]
    made = [
        Told(
            f"{record.name}:{i}",
            f"{said_amount(one.amount, one.package)} {did}"
            f"{f' into {one.store}' if one.store else ''}{when}",
            None,
            record.name,
        )
        for i, one in enumerate(body.yields)
    ]
    lots = [lot for told in made if (lot := at.book.lot(told.lot)) is not None]
    held = [
        Told(hold.lot, f"held ({hold.reason})", None, entry.record.name)
        for hold, entry in zip(holds, entries[1:], strict=True)
    ]
    warns = [cautions.for_coming(lot) for lot in lots]
    warns += batches.warn_of(holds, lots[0], at.clock.now_ms())
    follow = _tomorrow(at, lots) if isinstance(body, PutUp) else []
    tell(at, entries, [*made, *held, *drawn], raised, cautions.all_of(warns), follow)


def _went_in(draw: Draw) -> Told:
    place = f" from {draw.store}" if draw.store else ""
    return Told(draw.lot, f"{said_amount(draw.amount)} went in{place}", draw.store)


def _tomorrow(at: Desk, lots: Sequence[Lot]) -> list[str]:
    """The look at the seals that jars want after a night."""
    jars = [lot for lot in lots if lot.form.casefold() in amounts.JARRED and lot.packed]
    looks = [
        f"girnel look {at.code(lot.name)} --seen {show(lot.on_hand)} --unsealed HOW-MANY"
        for lot in jars
    ]
    return (
        [f"When they have stood a night, look at every seal: {'; '.join(looks)}"] if looks else []
    )


# -- what came of it ----------------------------------------------------------------------------


def _load(at: Desk) -> PutUp:
    args = at.args
    last = batches.again(at.book, args.food) if args.again else None
    food = names.known_food(at.book, args.food)
    method = names.word(args.method, "--method") or (last.method if last else None)
    like = _like(at, last, food)
    form = names.word(args.form, "--form") or _form_of(method) or (like.form if like else None)
    variety = names.word(args.variety, "--variety") or (like.variety if like else None)
    yields = [_yield(at, typed, food, form, variety) for typed in args.amounts]
    yields += [_also(at, typed, form) for typed in args.also or ()]
    if like is not None and args.store is None:
        yields = [replace(one, store=like.store) for one in yields]
    if not yields and last is None:
        raise WrongUse(
            'What came of it? Say how much, size by size: girnel put-up "7 qt" "9 pt" FOOD.'
        )
    facts = {name: names.word(getattr(args, name), _option(name)) for name in FACTS}
    if last is not None:
        facts = {name: said or getattr(last, name) for name, said in facts.items()}
        yields = yields or [_kept(at, one) for one in last.yields]
    remedy = _remedy(at)
    draws = _draws(at, remedy) if args.of else _drawn_again(at, last)
    minutes, trays = _whole(args.minutes, "--minutes"), _whole(args.trays, "--trays")
    return PutUp(
        yields=tuple(yields),
        draws=draws,
        minutes=minutes if minutes is not None or last is None else last.minutes,
        trays=trays if trays is not None or last is None else last.trays,
        supplies=_supplies(args.supply) or (last.supplies if last else None),
        remedy=remedy,
        **facts,
    )


def _like(at: Desk, last: PutUp | None, food: str) -> Yield | None:
    """What the last load gave of that food."""
    made = last.yields if last else ()
    return next((one for one in made if names.same_food(at.book, one.food, food)), None)


def _kept(at: Desk, one: Yield) -> Yield:
    """A yield as last time, in the store that is said now, if one is."""
    return one if at.args.store is None else replace(one, store=at.store(at.args.store))


def _option(name: str) -> str:
    return f"--{name.replace('_', '-')}"


def _form_of(method: str | None) -> str | None:
    """The form that a method gives, where it is a known one."""
    said = " ".join((method or "").casefold().split())
    return next((form for form, known in FORMS.items() if said in known), None)


def _yield(at: Desk, typed: str, food: str, form: str | None, variety: str | None) -> Yield:
    args = at.args
    amount, package = amounts.coming(
        at.book, typed, food, form, args.package, args.holds, args.fill
    )
    if package is None and form is None and amount.unit in amounts.JAR_SIZES:
        raise WrongUse(
            f'"{typed}" may be jars or a measure: say how it was put up with --method '
            "(pressure canner, boiling water, freezing, drying) or --form."
        )
    return Yield(
        food=food,
        amount=amount,
        variety=variety,
        form=form,
        package=package,
        store=at.store(args.store),
        label=names.word(args.label, "--label"),
    )


def _also(at: Desk, typed: str, form: str | None) -> Yield:
    much, equals, food = typed.partition("=")
    if not equals or not food.strip():
        raise WrongUse(f'--also "{typed}" does not say what: write AMOUNT=FOOD, like "3 pt=juice".')
    return _yield(at, much, names.known_food(at.book, food), form, None)


def _whole(typed: str | None, option: str) -> int | None:
    if typed is None:
        return None
    found = re.fullmatch(r"(\d{1,6})(?:\s*min(?:utes)?)?", typed.strip())
    if found is None or not int(found[1]):
        raise WrongUse(f'{option} "{typed}" is no whole number: write it like 25.')
    return int(found[1])


def _supplies(typed: Sequence[str] | None) -> dict[str, str] | None:
    said: dict[str, str] = {}
    for one in typed or ():
        name, equals, text = one.partition("=")
        if not equals:
            raise WrongUse(f'--supply "{one}" does not say how much: write NAME=TEXT.')
        word, much = names.word(name, "--supply"), names.word(text, "--supply")
        said[word or ""] = much or ""
    return said or None


# -- what went in -------------------------------------------------------------------------------


def _remedy(at: Desk) -> str | None:
    typed = at.args.remedy
    return None if typed is None else names.mark(at.book, typed, at.device)


def _draws(at: Desk, remedy: str | None) -> tuple[Draw, ...]:
    typed = at.args.of or []
    if len(typed) == 1 and typed[0].strip().casefold() in NOTHING:
        draws: list[Draw] = []
    else:
        draws = [_draw(at, one, remedy) for one in typed]
    if remedy is not None and not any(draw.mark for draw in draws):
        raise WrongUse(
            f"--remedy {at.args.remedy} sets food under that hold right: none of what went in is "
            "under it. Say what went in with --of LOT=AMOUNT."
        )
    return tuple(draws)


def _draw(at: Desk, typed: str, remedy: str | None) -> Draw:
    what, equals, much = typed.rpartition("=")
    if not equals or not what.strip():
        raise WrongUse(f'--of "{typed}" does not say how much of what: write LOT=AMOUNT.')
    much, _, place = much.partition(" in ")
    store = at.store(place.strip() or None)
    lot = names.one_lot(at.book, what.strip(), store)
    mark = remedy if remedy is not None and remedy in names.marks(lot, aside=False) else None
    if amounts.is_rest(much):
        amount = amounts.rest(lot, store)
        return Draw(lot=lot.name, amount=amount, store=store, rest=True, mark=mark)
    amount = amounts.of_lot(at.book, lot, much)
    return Draw(lot=lot.name, amount=amount, store=store, mark=mark)


def _drawn_again(at: Desk, last: PutUp | None) -> tuple[Draw, ...]:
    """What went into the last load, where there is as much of it left."""
    if at.args.remedy is not None:
        return _draws(at, _remedy(at))
    for draw in last.draws if last else ():
        lot = at.book.lot(draw.lot)
        there = sum(p.high for p in lot.parcels if _near(p, draw.store)) if lot else 0
        if draw.rest or draw.amount.n is None or there < draw.amount.n:
            raise WrongUse(
                f"Into the last load went {said_amount(draw.amount)} of "
                f"{at.code(draw.lot)} ({names.title(at.book, draw.lot)}), and there is not as "
                "much of it left there: say what went in with --of LOT=AMOUNT, or --of nothing."
            )
    return last.draws if last else ()


def _near(parcel: Parcel, store: str) -> bool:
    return within(parcel.store, store) or parcel.store in levels(store)
