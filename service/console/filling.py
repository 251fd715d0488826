"""The look that fills vessels: a sack into buckets, a bushel into jars and canner loads, trays dried.

It reads tables and writes nothing. Published figures and common practice are told apart, each with
what it rests on.
"""

from argparse import Namespace
from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING

from events.kinds import GRAIN
from events.quantity import UNITS, plural
from service.console.commands import Commands, look
from service.console.desk import desk
from service.console.words import bold, print_json, wrap

if TYPE_CHECKING:
    from events.readings.filling import Vessel, Way
    from events.readings.loads import Jars
    from events.tables import Tables
    from service.looks.filling import Answer, Drying, Filled, Measured, PutUp

IN = "     "


def add(commands: Commands) -> None:
    parser = look(commands, "fill", fill, "how many vessels, jars, loads or trays an amount fills")
    parser.add_argument("amount", metavar="AMOUNT", help='how much: "25 kg", "1 bushel"')
    parser.add_argument("food", metavar="FOOD")
    parser.add_argument("--into", metavar="VESSEL", help='"5 gal bucket", "qt jars", "20 l tub"')
    parser.add_argument("--as", dest="becomes", metavar="FORM", help="dried or freeze-dried")
    parser.add_argument("--headroom", metavar="PART", help='of each vessel kept free: "5 %%"')
    parser.add_argument("--weighs", metavar="WEIGHING", help='your own: "1 qt = 1.3 lb"')
    parser.add_argument("--form", default="", metavar="WORD", help="sauce, juice, halves")
    parser.add_argument("--jars-a-load", dest="a_load", metavar="N", help="that your canner takes")
    parser.add_argument("--water", metavar="PART", help='left when it is dry: "5 %%"')
    parser.add_argument("--trays", metavar="N", help="of your machine")
    parser.add_argument("--on-a-tray", metavar="WEIGHT", help='fresh, on one tray: "2 lb"')


async def fill(args: Namespace) -> int:
    from events import tables
    from service.looks import filling as looked

    options = ("amount", "food", "into", "headroom", "weighs", "form", "a_load", "becomes", "water",
               "trays", "on_a_tray")  # fmt: skip
    typed = looked.Typed(**{name: getattr(args, name) for name in options})
    async with desk(args, writing=False) as at:
        asked = at.asked()
        if args.json:
            print_json(looked.fill(asked, typed))
            return 0
        found = looked.answer(asked, typed)
        lines = [*_told(found, tables.load()), *map(wrap, looked.cautions(asked, found))]
        for line in lines:
            print(line)
    return 0


def _told(found: "Answer", known: "Tables") -> Iterator[str]:
    from service.looks import filling as looked

    match found:
        case looked.Filled():
            return _filled(found, known)
        case looked.Measured():
            return _measured(found)
        case looked.PutUp():
            return _jars(found, known)
        case looked.Drying():
            return _dried(found, known)


def _into(vessel: "Vessel", headroom: Fraction) -> str:
    from service.looks.filling import rounded

    brim = rounded(vessel.ml / 1000, "l")
    memory = ", a size from memory, no source read" if vessel.from_memory else ""
    free = f", {float(headroom) * 100:g} % of it kept free" if headroom else ""
    return f"{plural(vessel.name, 2 * GRAIN)} ({brim} to the brim{memory}{free})"


def _filled(found: "Filled", known: "Tables") -> Iterator[str]:
    filling = found.filling
    yield bold(
        wrap(f"{found.said.text} {found.food} into {_into(filling.vessel, filling.headroom)}")
    )
    for way in filling.ways:
        yield wrap(_count(way, found), IN, "  ")
        yield wrap(_rests_on(way, known), IN + "  ", IN)


def _count(way: "Way", found: "Filled") -> str:
    from service.looks.filling import rounded

    unit = (
        found.said.unit
        if found.said.unit in UNITS and UNITS[found.said.unit].dimension == "mass"
        else "lb"
    )

    def weight(grams: Fraction) -> str:
        return rounded(grams / UNITS[unit].size, unit)

    kind = found.filling.vessel.name.rsplit(" ", 1)[-1]
    many = f"{way.vessels} {plural(kind, way.vessels * GRAIN)}"
    if not way.left:
        return f"{many}, {weight(way.each)} each, nothing left over"
    free = rounded(way.free / 1000, "l")
    if not way.full:
        return f"{many}, not full: it holds {weight(way.each)}; {free} free"
    return (
        f"{many}: {way.full} full with {weight(way.each)} each, left over {weight(way.left)} in "
        f"one more, {free} free there"
    )


def _rests_on(way: "Way", known: "Tables") -> str:
    from service.looks.filling import publisher

    density = f"{float(way.density):.3g} g/ml"
    if way.row is None:
        return f"by your own weighing, {density}"
    note = f", {way.row.note}" if way.row.note else ""
    if way.practice:
        return f"{way.row.note}: {way.row.as_printed}, {density} or more"
    return f"as published: {way.row.as_printed}, {density}{note} ({publisher(known, way.row.source_id)})"


def _measured(found: "Measured") -> Iterator[str]:
    kind = found.vessel.name.rsplit(" ", 1)[-1]
    yield bold(wrap(f"{found.said.text} {found.food} into {_into(found.vessel, found.headroom)}"))
    last = (
        "the last just full"
        if found.last == 1
        else f"the last {float(found.last) * 100:.0f} % full"
    )
    yield wrap(
        f"{found.count} {plural(kind, found.count * GRAIN)}, {last}: by volume alone", IN, "  "
    )


def _jars(found: "PutUp", known: "Tables") -> Iterator[str]:
    from service.looks.filling import publisher

    memory = ", a size from memory, no source read" if found.vessel.from_memory else ""
    yield bold(wrap(f"{found.said.text} {found.food} into {plural(found.vessel.name, 0)}{memory}"))
    for way in found.ways:
        yield wrap(_in_jars(way, found.vessel), IN, "  ")
        yield wrap(f"{way.row.form} ({publisher(known, way.row.source_id)})", IN + "  ", IN)


def _in_jars(way: "Jars", vessel: "Vessel") -> str:
    from service.looks.filling import rounded

    def span(ends: tuple[int, int]) -> str:
        return f"{ends[0]}" if ends[0] == ends[1] else f"{ends[0]}-{ends[1]}"

    jars = f"{span(way.jars)} {plural(vessel.name, max(way.jars) * GRAIN)}"
    left = f", {rounded(way.left[0], 'lb')} left over" if way.jars[0] == way.jars[1] else ""
    printed = f", {float(way.pounds_a_load):g} lb a load" if way.pounds_a_load else ""
    loads = "load" if way.loads == (1, 1) else "loads"
    pounds = " to ".join(dict.fromkeys(rounded(n, "lb") for n in way.pounds))
    return f"{jars} from {pounds}{left}; {span(way.loads)} {loads} of {way.a_load} jars{printed}"


def _dried(found: "Drying", known: "Tables") -> Iterator[str]:
    from service.looks.filling import publisher, rounded

    one = found.dried
    unit = found.said.unit or "lb"
    unit = unit if unit in UNITS and UNITS[unit].dimension == "mass" else "lb"

    def weights(ends: tuple[Fraction, Fraction]) -> str:
        return " to ".join(dict.fromkeys(rounded(n / UNITS[unit].size, unit) for n in ends))

    fresh = "" if weights(one.fresh) == found.said.text else f" ({weights(one.fresh)} fresh)"
    yield bold(wrap(f"{found.said.text} {found.food}{fresh}, {found.becomes}"))
    water = (
        f"{float(one.water.part) * 100:.4g} % water fresh ({publisher(known, one.water.source_id)})"
    )
    if one.dry is None:
        yield wrap(f"{weights(one.comes_to)} of dry matter, and what water stays", IN, "  ")
        yield wrap(
            f"{water}; what stays was not read for it {found.becomes}: --water says it",
            IN + "  ",
            IN,
        )
    else:
        by = "your own word" if one.by is None else publisher(known, one.by.source_id)
        yield wrap(f"{weights(one.comes_to)}", IN, "  ")
        yield wrap(f"{water}; {float(one.dry) * 100:.4g} % left ({by})", IN + "  ", IN)
    if found.loads is not None and found.trays is not None and found.a_tray is not None:
        low, high = found.loads
        many = f"{low}" if low == high else f"{low}-{high}"
        tray = rounded(found.a_tray / UNITS[unit].size, unit)
        loads = "load" if found.loads == (1, 1) else "loads"
        yield wrap(f"{many} {loads} of {found.trays} trays, {tray} fresh on each", IN, "  ")
    yield wrap("The weight is what to aim at, no proof that it is dry.")
