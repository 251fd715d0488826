"""What if: a lot in another store, a machine that runs, a warmer winter. A look; nothing is written.

For a lot: how long it keeps in each store, and what must not be there. For a machine alone: where
it should stand and in which months it may run. Dates are about quality and are no word on a hold.
"""

from argparse import Namespace
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from events import edtf
from events.readings.harms import degrees
from events.readings.lots import codes_of
from service.console import names
from service.console.climate import MONTHS, shown_degrees
from service.console.commands import Commands, look
from service.console.desk import desk
from service.console.words import bold, listed, print_json, wrap

if TYPE_CHECKING:
    from events.readings.placing import Placement
    from events.readings.supposing import Loss, Month, Standing
    from service.looks.asked import Asked
    from service.looks.placing import Answer, Supposed, Typed

IN = "     "
MOST = 8
"""Lots told one by one; --json has all."""


def add(commands: Commands) -> None:
    parser = look(
        commands, "what-if", what_if, "how it would be: another store, a machine, a winter"
    )
    parser.add_argument("what", metavar="LOT", nargs="?", help="a lot's code, or a food")
    parser.add_argument(
        "--in", dest="store", metavar="STORE", help="in this store, beside where it is"
    )
    parser.add_argument("--machine", metavar="NAME", help="this machine runs")
    parser.add_argument(
        "--degrees", metavar="N", help='adding so much: "8 F"; else as it is set up'
    )
    parser.add_argument("--month", metavar="MONTH", action="append", default=[],
                        help="all of this month: 8, August; again for each")  # fmt: skip
    parser.add_argument("--winter", metavar="N", help="December to February warmer by: +3F, 2 C")


async def what_if(args: Namespace) -> int:
    from service.looks import placing as looked

    typed = _typed(args)
    what = looked.supposed(typed)
    async with desk(args, writing=False) as at:
        asked = at.asked()
        if args.json:
            print_json(looked.what_if(asked, typed))
            return 0
        found = looked.answer(asked, what)
        for line in _lines(asked, args, what, found):
            print(line)
        if found.practice:
            print(wrap(f"{_upper(found.practice)}: 7.5 F is reckoned with."))
    return 0


def _typed(args: Namespace) -> "Typed":
    from service.looks.placing import Typed

    return Typed(lot=args.what, store=args.store, machine=args.machine, degrees=args.degrees,
                 months=tuple(args.month), winter=args.winter)  # fmt: skip


def _lines(asked: "Asked", args: Namespace, what: "Supposed", found: "Answer") -> Iterator[str]:
    from service.looks import placing as looked

    if args.what is not None:
        lot = names.one_lot(asked.book, args.what)
        plain, would = looked.of_lot(asked, lot, args.store, found.supposed)
        yield bold(wrap(f"{codes_of(asked.book).get(lot.name, lot.name)} {lot.food}"))
        yield from _stores(asked, plain, would)
        return
    assert found.supposed is not None
    if found.machine is not None and not what.months:
        adds = shown_degrees(found.supposed.degrees)
        yield bold(wrap(f"The {found.machine.name}, adding {adds} all of a month"))
        yield from _year(asked, looked.year(asked, found.supposed))
        return
    yield from _losses(asked, looked.of_all(asked, found.supposed))
    if unknown := looked.not_judged(asked, found.supposed):
        why = "how far it goes with the outdoors" if found.supposed.winter else "how warm it is"
        yield wrap(
            f"Not judged, for nobody said {why}: {listed(unknown)}. To say it: girnel store set "
            f'{unknown[0]} climate="outdoors 1/2", or twelve monthly means.'
        )
    for note in looked.notes(asked, found.supposed):
        yield wrap(note)


# -- a lot -------------------------------------------------------------------------------------


def _stores(
    asked: "Asked", plain: "Sequence[Placement]", would: "Sequence[Placement]"
) -> Iterator[str]:
    changed = {one.store: one for one in would}
    for one in plain:
        here = ", where it stands" if one.here else ""
        yield wrap(f"{one.store or 'the household'}{here}: {_dates(asked, one)}", IN, "  ")
        if one.store in changed:
            yield wrap(f"would be {_dates(asked, changed[one.store])}", IN, IN)
        for said in _said(changed.get(one.store, one)):
            yield wrap(said, IN + "  ", IN)
    if plain:
        yield wrap("Dates are about quality, for food that is not held.")


def _dates(asked: "Asked", one: "Placement") -> str:
    from service.digests.words import Calendar

    if one.from_ms is None:
        return "no date"
    calendar = Calendar(asked.zone)
    low = calendar.on(one.from_ms).isoformat()
    if one.to_ms is None or one.likely_ms is None:
        return f"from {edtf.show(low)} or longer"
    likely, high = (calendar.on(ms).isoformat() for ms in (one.likely_ms, one.to_ms))
    return f"from {edtf.show(low)}, likely {edtf.show(likely)}, to {edtf.show(high)}"


def _said(one: "Placement") -> Iterator[str]:
    from service.looks.placing import why

    warmth = ""
    if one.milli is not None:
        warmth = f"about {degrees(one.milli)}; "
    elif getattr(one.life, "assumed", ""):
        warmth = f"{one.life.assumed} assumed; "  # type: ignore[union-attr]
    yield f"{warmth}{why(one)}"
    yield from (_upper(said) for said in one.harms)
    yield from (_upper(clash.sentence) for clash in one.clashes)
    if one.room:
        yield _upper(one.room)


# -- a machine, a winter -----------------------------------------------------------------------


def _year(asked: "Asked", standings: "Sequence[Standing]") -> Iterator[str]:
    codes = codes_of(asked.book)
    for one in standings:
        if one.judged != "known":
            hint = "" if one.judged == "nothing stands there" else (
                f': girnel store set {one.store} climate="50 F" states one')  # fmt: skip
            yield wrap(f"{one.store}: {one.judged}{hint}", IN, "  ")
            continue
        bad = [month for month in one.months if not month.bearable]
        good = [month for month in one.months if month.bearable]
        if not bad:
            yield wrap(f"{one.store}: it may run in every month", IN, "  ")
            continue
        yield wrap(f"{one.store}: {_may(good)}; not in {_months(bad)}", IN, "  ")
        worst = max(bad, key=lambda month: month.losses[0].days)
        loss = worst.losses[0]
        yield wrap(
            f"worst in {MONTHS[worst.month - 1]}: {_many(len(worst.losses))}, "
            f"{codes.get(loss.lot, loss.lot)} {loss.food} by {_days(loss.days)}",
            IN, IN,
        )  # fmt: skip
    known = [one for one in standings if one.judged != "no temperature known"]
    if known:
        yield wrap(f"It stands best in {known[0].store}.")


def _may(good: "Sequence[Month]") -> str:
    return f"it may run in {_months(good)}" if good else "there is no month for it"


def _months(months: "Sequence[Month]") -> str:
    """Months in a row as "Nov to Mar", the others one by one."""
    left = {month.month for month in months}
    if len(left) == 12:
        return "every month"
    rows: list[str] = []
    for first in sorted(one for one in left if (one - 2) % 12 + 1 not in left):
        last = first
        while last % 12 + 1 in left:
            last = last % 12 + 1
        between = " and " if last == first % 12 + 1 else " to "
        ends = MONTHS[first - 1], MONTHS[last - 1]
        rows.append(ends[0] if first == last else between.join(ends))
    return listed(rows)


def _losses(asked: "Asked", losses: "Sequence[Loss]") -> Iterator[str]:
    from service.digests.words import Calendar

    codes, calendar = codes_of(asked.book), Calendar(asked.zone)
    if not losses:
        yield wrap("Nothing would keep less, as far as temperatures are known.")
        return
    yield bold(wrap(f"{_many(len(losses))} would keep less"))
    for loss in losses[:MOST]:
        was, would = (
            edtf.show(calendar.on(ms).isoformat()) for ms in (loss.from_ms, loss.would_ms)
        )
        yield wrap(
            f"{codes.get(loss.lot, loss.lot)} {loss.food}, {loss.store}: from {would}, not {was}"
            f" ({_days(loss.days)} less)", IN, "  ",
        )  # fmt: skip
    if len(losses) > MOST:
        yield wrap(f"and {len(losses) - MOST} more", IN, "  ")


def _many(count: int) -> str:
    return "1 lot" if count == 1 else f"{count} lots"


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
