"""The look at what stands in the ground: how warm, when it can be dug, by when it has to be.

It reads and writes nothing. What a crop becomes is said with the look (a load, loads a week), and
then it also says on which days to dig how much.
"""

from argparse import Namespace
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from events.quantity import grains, show, show_amount
from events.readings.lots import shown
from service.console import amounts
from service.console.commands import Commands, look
from service.console.desk import Desk, desk
from service.console.words import bold, print_json, wrap
from service.errors import WrongUse

if TYPE_CHECKING:
    from datetime import date

    from events.readings.ground import Bed, InGround
    from events.readings.seed import Seed
    from service.looks.ground import Becoming

NO_BEDS = "Nothing is in the ground: a bed is a store of kind ground, girnel store add bed-3 --kind ground"
NO_PLAN = "For the days to dig on, say --load (how much one takes) and --loads-a-week together."
IN = "     "


def add(commands: Commands) -> None:
    parser = look(commands, "ground", ground, "what is in the ground, and by when to dig it")
    parser.add_argument("bed", metavar="BED", nargs="?", help="this bed only, or the beds in it")
    parser.add_argument("--of", metavar="FOOD", help="this food only")
    parser.add_argument("--load", metavar="AMOUNT", help='what it becomes takes so much: "17.5 lb"')
    parser.add_argument("--loads-a-week", metavar="N", help="how many loads are put up in a week")


async def ground(args: Namespace) -> int:
    from service.looks import ground as looked

    async with desk(args, writing=False) as at:
        asked = at.asked()
        becoming = _becoming(at)
        if args.json:
            print_json(looked.ground(asked, args.bed, args.of, becoming))
            return 0
        found, on = looked.beds(asked, args.bed, args.of), looked.today(asked)
        lines = [line for bed in found for line in _bed(bed, on, becoming)]
        if args.bed is None and args.of is None:
            lines += _seed(looked.seeds(asked, found))
        for line in lines:
            print(line)
        for note in looked.notes(asked, found):
            print(wrap(note))
        if not found:
            print(wrap(NO_BEDS))
    return 0


def _seed(kept: "Sequence[Seed]") -> Iterator[str]:
    from events.readings.ground_words import between, day

    if kept:
        yield bold(wrap("Kept back as seed"))
    for one in kept:
        where = f", {one.store}" if one.store else ""
        yield wrap(f"{one.lot} {shown(one.amount)} {one.food}{where}", IN, "  ")
        for p in one.planting:
            when = f"from {day(p.first)}" if p.last is None else between(p.first, p.last)
            yield wrap(
                f"{p.bed} is warm enough {when} ({p.celsius:g} °C; {p.publisher})", IN + "  ", IN
            )
        for store, times in one.longer[:1]:
            longer = f"in {store} it lives {times:.1f} times as long, as dry as now"
            yield wrap(f"{longer} (Ellis and Roberts 1980)", IN + "  ", IN)


def _becoming(at: Desk) -> "Becoming | None":
    from service.looks.ground import Becoming

    load, weekly = at.args.load, at.args.loads_a_week
    if load is None and weekly is None:
        return None
    if load is None or weekly is None:
        raise WrongUse(NO_PLAN)
    said = amounts.read(at.book, load)
    if not said.n or said.low is not None or said.unit is None:
        raise WrongUse(f'--load "{load}" is no load: write how much with its unit, like "17.5 lb".')
    if not weekly.isdecimal() or not 1 <= int(weekly) <= 50:
        raise WrongUse(f"--loads-a-week {weekly} is no number of loads: write 1 to 50.")
    return Becoming(n=said.n, unit=said.unit, a_week=int(weekly))


def _bed(bed: "Bed", on: "date", becoming: "Becoming | None") -> Iterator[str]:
    from events.readings.ground_words import state, winters

    said = state(bed)
    yield wrap(f"{bold(bed.store)}: {said}" if said else bold(bed.store), "  ")
    if bed.unread:
        yield wrap(f"Not understood: {bed.unread}", IN, "  ")
    for line in winters(bed, on):
        yield wrap(line, IN, "  ")
    for one in bed.lots:
        yield from _lot(bed, one, on, becoming)
    if not bed.lots:
        yield wrap("nothing in it", IN, "  ")


def _lot(
    bed: "Bed", one: "InGround", on: "date", becoming: "Becoming | None"
) -> Iterator[str]:  # fmt: skip
    from events.readings.ground_words import by_when, rows_said, weeks_closed

    apart = "".join(f", {shown(much)} {why}" for why, much in one.apart)
    variety = f" ({one.variety})" if one.variety else ""
    yield wrap(f"{one.lot} {shown(one.offered)} {one.food}{variety}{apart}", IN, "  ")
    for line in by_when(bed, one, on):
        yield wrap(line, IN + "  ", IN)
    shut = weeks_closed(bed, one, on)
    if shut:
        weeks = "1 week" if shut == 1 else f"{shut} weeks"
        yield wrap(
            f"{weeks} since it stands there in which the ground could not be dug", IN + "  ", IN
        )
    if one.rows is not None:
        for line in rows_said(one.rows, one, bed.store):
            yield wrap(line, IN + "  ", IN)
    if becoming is not None:
        for line in _digging(bed, one, on, becoming):
            yield wrap(line, IN + "  ", IN)


def _digging(bed: "Bed", one: "InGround", on: "date", becoming: "Becoming") -> Iterator[str]:
    from events.readings.ground_words import day
    from service.looks.ground import digging

    plan = digging(bed, one, becoming, on)
    unit = one.offered.unit
    loads = "1 load" if plan.loads == 1 else f"{plan.loads} loads"
    yield f"{loads} of {show(grains(becoming.n))} {becoming.unit}, {becoming.a_week} a week:"
    for one_day in plan.days:
        yield f"dig {show_amount(grains(one_day.n), unit)} on {day(one_day.day)} ({one_day.loads})"
    if plan.short:
        n = show_amount(grains(plan.n_short), unit)
        yield f"no week is left for {plan.short} more ({n}): dig it with the first and keep it cold"
