"""Expecting: something was ordered or promised. It is not stock until it is brought in.

Bringing it in with `--answers` names the order; what is still to come is listed here. Nothing is
planned with or offered on the strength of an order.
"""

from argparse import Namespace
from collections.abc import Sequence

from events import edtf
from events.kinds import Amount, Ordered
from events.lots.state import UNBOUNDED
from events.readings.expected import Expected, expected
from events.readings.lots import amount_json, measure
from service.console import amounts, names, times
from service.console.commands import Commands, deed
from service.console.desk import Desk, desk
from service.console.echo import BACK
from service.console.words import one_line, print_json, said_amount, wrap
from service.errors import WrongUse

WORDS = (
    'Say what is expected, as in girnel expect "50 kg" "wheat berries" --due 2026-12-01; '
    "girnel expect list shows what is."
)
OF_AN_ORDER = ("variety", "form", "supplier", "due", "price", "at", "by", "note")


def add(commands: Commands) -> None:
    says = "something was ordered or promised; it is no stock yet. expect list: what still is"
    parser = deed(commands, "expect", expect, says)
    parser.add_argument(
        "words", metavar="AMOUNT FOOD", nargs="*", help='"50 kg" "wheat berries"; or list'
    )
    parser.add_argument("--variety")
    parser.add_argument("--form", help="home-canned, frozen, dried, fresh …")
    parser.add_argument("--from", dest="supplier", metavar="SUPPLIER", help="who is to bring it")
    parser.add_argument("--due", metavar="DATE", help="when it is to come")
    parser.add_argument("--price")


async def expect(args: Namespace) -> int:
    if args.words == ["list"]:
        return await _list(args)
    if len(args.words) != 2:
        raise WrongUse(WORDS)
    async with desk(args, writing=True) as at:
        body = _ordered(at)
        entries, _ = await at.write([body])
        record = entries[0].record
        if args.json:
            print_json({"record": record.name, **_order_json(body, body.amount)})
            return 0
        came = f"girnel bring-in AMOUNT FOOD --answers {record.name}"
        print(one_line(f"{_said(body)}: expected, no stock yet. When it comes: {came}. {BACK}"))
    return 0


def _ordered(at: Desk) -> Ordered:
    args, book = at.args, at.book
    typed, food = args.words[0], names.known_food(book, args.words[1])
    form = names.word(args.form, "--form")
    amount, _ = amounts.coming(book, typed, food, form, None, None, None)
    due = None if args.due is None else times.day(args.due, at.clock, at.zone, ahead=True)
    return Ordered(
        food=food,
        amount=amount,
        variety=names.word(args.variety, "--variety"),
        form=form,
        supplier=names.word(args.supplier, "--from"),
        due=due,
        price=names.word(args.price, "--price"),
    )


def answered(at: Desk, typed: str | None) -> str | None:
    """The order that bringing in answers, by its record's name."""
    if typed is None:
        return None
    entry = names.record(at.book, typed, at.device)
    name = entry.record.name
    if not isinstance(entry.record.body, Ordered):
        raise WrongUse(f"{name} is no order: girnel expect list shows what is expected.")
    if not at.book.stands(name):
        raise WrongUse(f"The order {name} was taken back: girnel expect list shows what stands.")
    return name


# -- what is still expected ----------------------------------------------------------------------


async def _list(args: Namespace) -> int:
    wrong = [f"--{one}" for one in OF_AN_ORDER if getattr(args, one) is not None]
    if wrong:
        raise WrongUse(f"{wrong[0]} says more of an order: expect list takes --on and --json only.")
    async with desk(args, writing=False) as at:
        found = expected(at.look_at())
        if args.json:
            print_json([_expected_json(at, one) for one in found])
            return 0
        _tell(found)
    return 0


def _tell(found: Sequence[Expected]) -> None:
    if not found:
        print("Nothing is expected.")
    for one in found:
        part = ""
        if one.came:
            part = f", still to come of {said_amount(one.order.amount)}"
        rest = f"{_said(one.order, one.to_come)}{part}: expected, ordered {edtf.show(one.at)}"
        print(wrap(f"{rest} ({one.record})", "  "))


def _said(order: Ordered, amount: Amount | None = None) -> str:
    """An order in words: "50 kg wheat berries from the mill, due 1 Dec 2026"."""
    kind = f" ({', '.join(p for p in (order.variety, order.form) if p)})"
    said = f"{said_amount(amount or order.amount)} {order.food}"
    said += kind if order.variety or order.form else ""
    said += f" from {order.supplier}" if order.supplier else ""
    said += f" at {order.price}" if order.price else ""
    return said + (f", due {edtf.show(order.due)}" if order.due else "")


def _expected_json(at: Desk, one: Expected) -> dict[str, object]:
    return {
        "record": one.record,
        "ordered": one.at,
        **_order_json(one.order, one.to_come),
        "came": [at.code(lot) for lot in one.came],
    }


def _order_json(order: Ordered, to_come: Amount) -> dict[str, object]:
    return {
        "food": order.food,
        "variety": order.variety,
        "form": order.form,
        "amount": _amount_json(order.amount),
        "to_come": _amount_json(to_come),
        "supplier": order.supplier,
        "due": order.due,
        "price": order.price,
    }


def _amount_json(amount: Amount) -> dict[str, object]:
    if amount.n is None:
        return {"said": amount.said, "unit": amount.unit}
    low = amount.n if amount.low is None else amount.low
    high = amount.n if amount.low is None else (amount.high or UNBOUNDED)
    return amount_json(measure(amount.unit, amount.n, low, high))
