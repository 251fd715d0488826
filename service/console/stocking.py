"""The looks at stock against its marks: what to get, and what to carry to the working shelf.

They read and write nothing, and order nothing. What is low is worked out in `events/readings`;
here it is said, for people or as JSON.
"""

from argparse import Namespace
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from events import edtf
from events.quantity import grains, show_amount
from service.console.commands import Commands, look
from service.console.desk import desk
from service.console.words import bold, print_json, wrap

if TYPE_CHECKING:
    from events.readings.carrying import Carry, Piece
    from events.readings.reorder import Need
    from service.looks.asked import Asked

NO_MARKS = 'No food has a mark for this: girnel food set FOOD refill="10 lb" par="25 lb"'
NO_SHELF = 'No food has a shelf: girnel food set FOOD shelf=kitchen shelf_refill="4 jars" shelf_par="12 jars"'


def add(commands: Commands) -> None:
    look(commands, "reorder", reorder, "what to get: how much, by when, why")
    look(commands, "carrying", carrying, "what to carry from back stock, the oldest first")


# -- what to get -------------------------------------------------------------------------------


async def reorder(args: Namespace) -> int:
    from events.readings import reorder as reading
    from service.looks import stocking as looked

    async with desk(args, writing=False) as at:
        asked = at.asked()
        if args.json:
            print_json(looked.reorder(asked))
            return 0
        found = reading.reorder(asked.book, asked.now)
        for line in _to_get(asked, found.needs):
            print(line)
        _say_unread(found.unread)
    return 0


def _to_get(asked: "Asked", needs: "Sequence[Need]") -> Iterator[str]:
    from service.looks.stocking import shown, why

    if not needs:
        yield wrap(NO_MARKS)
        return
    get = [need for need in needs if need.get]
    low = [need for need in needs if need.low_since is not None and not need.get]
    if get:
        yield bold(wrap("Get"))
    for need in get:
        packs = f" ({need.packs} of {shown(need, need.marks.pack)})" if need.packs else ""
        yield wrap(f"{shown(need, need.get)}{packs} {need.marks.food}: {_by(asked, need)}",
                   "    ", "  ")  # fmt: skip
        yield wrap(why(asked, need), "      ", "    ")
    if low:
        yield bold(wrap("Low, nothing more to get"))
    for need in low:
        yield wrap(f"{need.marks.food}: {why(asked, need)}", "    ", "  ")
    fine = len(needs) - len(get) - len(low)
    if fine:
        yield wrap(
            f"{fine} {'food is' if fine == 1 else 'foods are'} above {'its' if fine == 1 else 'their'} mark."
        )


def _by(asked: "Asked", need: "Need") -> str:
    from service.looks.stocking import here_by

    lead = need.marks.lead_days
    return f"now, here by {edtf.show(here_by(asked, need))} ({lead} days)" if lead else "now"


# -- what to carry -----------------------------------------------------------------------------


async def carrying(args: Namespace) -> int:
    from events.readings import carrying as reading
    from events.readings.stock_marks import all_marks
    from service.looks import stocking as looked

    async with desk(args, writing=False) as at:
        asked = at.asked()
        if args.json:
            print_json(looked.carrying(asked))
            return 0
        book = asked.book
        found = reading.carrying(book)
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


def _say_unread(unread: Sequence[str]) -> None:
    for sentence in unread:
        print(wrap(f"Not understood: {sentence}", "  "))
