"""The looks at stock against its marks: what to get, and what to carry to the working shelf.

They read and write nothing, and order nothing. What is low is worked out in `events/readings`;
here it is said, for people or as JSON.
"""

from argparse import Namespace
from collections.abc import Iterator, Sequence
from datetime import timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

from events import edtf
from events.quantity import grains, show_amount
from events.readings.lots import Measure, amount_json
from service.console import times
from service.console.commands import Commands, look
from service.console.desk import Desk, desk
from service.console.words import bold, listed, print_json, said_amount, wrap

if TYPE_CHECKING:
    from events.readings.carrying import Carry, Piece
    from events.readings.reorder import Need, Waiting

NO_MARKS = 'No food has a mark for this: girnel food set FOOD refill="10 lb" par="25 lb"'
NO_SHELF = 'No food has a shelf: girnel food set FOOD shelf=kitchen shelf_refill="4 jars" shelf_par="12 jars"'


def add(commands: Commands) -> None:
    look(commands, "reorder", reorder, "what to get: how much, by when, why")
    look(commands, "carrying", carrying, "what to carry from back stock, the oldest first")


# -- what to get -------------------------------------------------------------------------------


async def reorder(args: Namespace) -> int:
    from events.readings import reorder as reading

    async with desk(args, writing=False) as at:
        now = at.moment()
        found = reading.reorder(at.look_at(), now)
        if args.json:
            needs = [_need_json(at, need, now) for need in found.needs]
            print_json({"foods": needs, "not_understood": list(found.unread)})
            return 0
        for line in _to_get(at, found.needs, now):
            print(line)
        _say_unread(found.unread)
    return 0


def _to_get(at: Desk, needs: "Sequence[Need]", now: int) -> Iterator[str]:
    if not needs:
        yield wrap(NO_MARKS)
        return
    get = [need for need in needs if need.get]
    low = [need for need in needs if need.low_since is not None and not need.get]
    if get:
        yield bold(wrap("Get"))
    for need in get:
        packs = f" ({need.packs} of {_shown(need, need.marks.pack)})" if need.packs else ""
        yield wrap(f"{_shown(need, need.get)}{packs} {need.marks.food}: {_by(at, need, now)}",
                   "    ", "  ")  # fmt: skip
        yield wrap(_why(at, need), "      ", "    ")
    if low:
        yield bold(wrap("Low, nothing more to get"))
    for need in low:
        yield wrap(f"{need.marks.food}: {_why(at, need)}", "    ", "  ")
    fine = len(needs) - len(get) - len(low)
    if fine:
        yield wrap(
            f"{fine} {'food is' if fine == 1 else 'foods are'} above {'its' if fine == 1 else 'their'} mark."
        )


def _shown(need: "Need", n: Fraction | None) -> str:
    return show_amount(grains(n or Fraction(0)), need.marks.unit)


def _by(at: Desk, need: "Need", now: int) -> str:
    lead = need.marks.lead_days
    return f"now, here by {edtf.show(_here(at, need, now))} ({lead} days)" if lead else "now"


def _here(at: Desk, need: "Need", now: int) -> str:
    """The day on which it would be here if it were ordered today."""
    today = times.local(now, at.clock.offset(now, at.zone)).date()
    return (today + timedelta(days=need.marks.lead_days)).isoformat()


def _why(at: Desk, need: "Need") -> str:
    """What is there against the marks, since when it is low, and what is on its way."""
    marks = need.marks
    said = [f"{_shown(need, need.there)} there, low below {_shown(need, marks.refill)}"]
    if marks.refill is not None and need.there >= marks.refill:
        said.append(f"low until {_shown(need, marks.clear)} or more comes in")
    if need.low_since is not None:
        offset = at.clock.offset(need.low_since, at.zone)
        day = times.local(need.low_since, offset).date().isoformat()
        said.append(f"since {edtf.show(day)}")
    if marks.par is not None:
        said.append(f"up to {_shown(need, marks.par)}")
    said += [_expected(one) for one in need.waiting]
    if need.uncounted:
        said.append(f"what is kept in {listed(need.uncounted)} is not counted in")
    return "; ".join(said)


def _expected(one: "Waiting") -> str:
    due = f" by {edtf.show(one.due)}" if one.due else ""
    apart = "" if one.n is not None else ", in another unit and not taken off"
    return f"{said_amount(one.said)} expected{due} ({one.record}){apart}"


def _amount(n: Fraction | None, unit: str) -> dict[str, object] | None:
    return None if n is None else amount_json(Measure(unit, grains(n), grains(n), grains(n)))


def _need_json(at: Desk, need: "Need", now: int) -> dict[str, object]:
    marks = need.marks
    return {
        "food": marks.food,
        "low": need.low_since is not None,
        "get": _amount(need.get, marks.unit),
        "packs": need.packs,
        "here_by": _here(at, need, now) if need.get else None,
        "there": _amount(need.there, marks.unit),
        "refill": _amount(marks.refill, marks.unit),
        "clear": _amount(marks.clear, marks.unit),
        "par": _amount(marks.par, marks.unit),
        "not_counted": list(need.uncounted),
        "expected": [
            {"record": one.record, "due": one.due, "amount": _amount(one.n, marks.unit)}
            for one in need.waiting
        ],
        "why": _why(at, need),
    }


# -- what to carry -----------------------------------------------------------------------------


async def carrying(args: Namespace) -> int:
    from events.readings import carrying as reading
    from events.readings.stock_marks import all_marks

    async with desk(args, writing=False) as at:
        book = at.look_at()
        found = reading.carrying(book)
        if args.json:
            carries = [_carry_json(one) for one in found.carries]
            print_json({"foods": carries, "not_understood": list(found.unread)})
            return 0
        for one in found.carries:
            for line in _to_carry(one):
                print(line)
        if not found.carries:
            shelves = any(marks.shelf for marks in all_marks(book)[0])
            print(wrap("Every shelf is at its mark." if shelves else NO_SHELF))
        _say_unread(found.unread)
    return 0


def _to_carry(one: "Carry") -> Iterator[str]:
    marks, unit = one.marks, one.marks.unit
    there, wanted = show_amount(grains(one.there), unit), show_amount(grains(one.wanted), unit)
    yield bold(wrap(f"{marks.food} to {marks.shelf}: {wanted}"))
    low = show_amount(grains(marks.shelf_refill or Fraction(0)), unit)
    yield wrap(f"{there} there, low below {low}", "    ", "  ")
    for piece in one.pieces:
        made = f", of {edtf.show(piece.made)}" if piece.made else ""
        much = show_amount(piece.n, piece.unit)
        yield wrap(f"{much} {piece.lot}, {piece.store or 'somewhere'}{made}", "    ", "  ")
    if one.pieces:
        yield wrap(f"Carried? {'; '.join(_acts(one))}", "    ", "  ")
    if one.short:
        lack = show_amount(grains(one.short), unit)
        yield wrap(f"back stock lacks {lack}", "    ", "  ")


def _acts(one: "Carry") -> list[str]:
    """How to say that it was carried: in one go, or lot by lot."""
    first, to = one.pieces[0], _word(one.marks.shelf)
    if one.one_act:
        much = _typed(sum(piece.n for piece in one.pieces), first)
        food = _word(one.marks.food)
        return [f"girnel carry {much} {food}{_out_of(first)} --to {to} --oldest"]
    return [
        f"girnel carry {_typed(piece.n, piece)} {_word(piece.lot)}{_out_of(piece)} --to {to}"
        for piece in one.pieces
    ]


def _out_of(piece: "Piece") -> str:
    return f" --from {_word(piece.store)}" if piece.store else ""


def _word(text: str) -> str:
    return text if text.replace("-", "").replace("/", "").isalnum() else f'"{text}"'


def _typed(n: int, piece: "Piece") -> str:
    return f'"{show_amount(n, piece.unit)}"'


def _carry_json(one: "Carry") -> dict[str, object]:
    marks = one.marks
    return {
        "food": marks.food,
        "to": marks.shelf,
        "there": _amount(one.there, marks.unit),
        "wanted": _amount(one.wanted, marks.unit),
        "lacking": _amount(one.short, marks.unit),
        "pieces": [
            {
                "lot": piece.lot,
                "name": piece.name,
                "store": piece.store,
                "made": piece.made,
                "amount": amount_json(Measure(piece.unit, piece.n, piece.n, piece.n)),
            }
            for piece in one.pieces
        ],
    }


def _say_unread(unread: Sequence[str]) -> None:
    for sentence in unread:
        print(wrap(f"Not understood: {sentence}", "  "))
