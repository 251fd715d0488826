"""The stores' climate, and the machines that warm or cool them.

A store's climate is a fact of it (`girnel store set cellar climate="46 F"`), corrected by what is
read there and by machines that ran. Here it is looked at; machines are set up, and that one ran is
a deed. Nothing here says what the warmth costs: that is `girnel what-if` and `girnel rotation`.
"""

from argparse import Namespace
from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING

from events import edtf
from events.kinds import MachineSet, Ran
from events.quantity import NotUnderstood, number
from events.readings.climate import degrees_of
from events.readings.harms import degrees, percent
from service.console import names
from service.console.commands import Commands, Parser, deed, look
from service.console.desk import Desk, desk
from service.console.echo import BACK
from service.console.words import bold, columns, listed, one_line, print_json, table, wrap
from service.errors import WrongUse

if TYPE_CHECKING:
    from service.looks.climate import StoreClimate

MACHINE_FACTS = ("store", "degrees", "hours", "trays", "load")
UNITS = {"min": 1, "mins": 1, "minute": 1, "minutes": 1, "m": 1, "h": 60, "hr": 60, "hrs": 60,
         "hour": 60, "hours": 60, "d": 1440, "day": 1440, "days": 1440}  # fmt: skip
HOW_LONG = 'write it like "10 hours", "90 minutes" or "2 days"'
LONGEST = 366 * 1440
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def add(commands: Commands) -> None:
    parser = look(commands, "climate", climate, "how warm the stores are, and will be")
    parser.add_argument("store", metavar="STORE", nargs="?", help="month by month in this store")
    says = "machines that warm or cool the room they stand in"
    parser = commands.add_parser("machine", help=says, description=says, allow_abbrev=False)
    parts = parser.add_subparsers(metavar="add|set|list", required=True, parser_class=Parser)
    for name, run, what in (
        ("add", add_machine, "a new machine"),
        ("set", set_machine, "facts about a machine"),
    ):
        part = deed(parts, name, run, what)
        part.add_argument("name", metavar="MACHINE")
        part.add_argument("--in", dest="store", metavar="STORE", help="where it stands")
        part.add_argument("--degrees", metavar="N", help='added while it runs: "8 F", "-5 C"')
        part.add_argument(
            "facts", metavar="FACT=TEXT", nargs="*", help=listed(MACHINE_FACTS[2:], "or")
        )
    look(parts, "list", list_machines, "every machine that is set up")
    parser = deed(commands, "run", run_machine, "a machine ran, up to now or to --at")
    parser.add_argument("name", metavar="MACHINE")
    parser.add_argument("--for", dest="length", metavar="TIME", help="how long: 10 hours")


# -- the look ----------------------------------------------------------------------------------


async def climate(args: Namespace) -> int:
    from service.looks import climate as looked

    async with desk(args, writing=False) as at:
        asked = at.asked()
        if args.json:
            print_json(looked.climate(asked, args.store))
            return 0
        found = looked.climates(asked, args.store)
        if not found:
            print(wrap("No store is set up yet: girnel store add cellar --kind cellar"))
        lines = _one(found[0]) if args.store is not None else _all(found)
        for line in lines:
            print(line)
    return 0


def _all(found: "list[StoreClimate]") -> Iterator[str]:
    if found:
        rows = [(one.store, _today(one), _range(one), _rests(one)) for one in found]
        yield table(("store", "today", "months to come", "rests on"), rows)
    if any(one.today is None for one in found):
        yield wrap(
            'To state one: girnel store set STORE climate="46 F", twelve monthly means, or '
            '"outdoors 1/2".'
        )


def _today(one: "StoreClimate") -> str:
    if one.today is not None:
        return degrees(one.today)
    return f"{one.assumed}, assumed" if one.assumed else "not known"


def _range(one: "StoreClimate") -> str:
    known = [month.milli for month in one.months if month.milli is not None]
    if not known:
        return ""
    low, high = min(known), max(known)
    return degrees(low) if low == high else f"{degrees(low)} to {degrees(high)}"


def _rests(one: "StoreClimate") -> str:
    said = [f"stated {one.stated}"] if one.stated else []
    if one.readings:
        days = "day" if one.readings == 1 else "days"
        said.append(f"read on {one.readings} {days}, last {edtf.show(one.last_read)}")
    if one.rests == "read before":
        said.append("as it was read before")
    if not said:
        said.append("its kind alone" if one.assumed else "nothing stated or read")
    return "; ".join(said)


def _one(one: "StoreClimate") -> Iterator[str]:
    from service.looks.climate import PRACTICE

    yield bold(wrap(f"{one.store}: {_today(one)} today"))
    yield wrap(f"Rests on: {_rests(one)}.", "  ", "  ")
    if one.humidity is not None:
        yield wrap(f"Humidity as last read: {percent(one.humidity)}.", "  ", "  ")
    for machine in one.machines:
        adds = (
            f"adds {shown_degrees(machine.degrees)} while it runs" if machine.degrees else PRACTICE
        )
        yield wrap(f"{machine.name} stands here: {adds}.", "  ", "  ")
    rows = [
        (f"{MONTHS[int(month.month[5:]) - 1]} {month.month[:4]}",
         "not known" if month.milli is None else degrees(month.milli))
        for month in one.months
    ]  # fmt: skip
    if rows:
        yield columns(rows, indent="  ")


def shown_degrees(milli: int) -> str:
    """A difference, "4.4 C (8 F)"."""
    return f"{milli / 1000:.1f} C ({milli * 9 / 5000:.0f} F)"


# -- machines ----------------------------------------------------------------------------------


async def add_machine(args: Namespace) -> int:
    return await _machine(args, known=False)


async def set_machine(args: Namespace) -> int:
    return await _machine(args, known=True)


async def _machine(args: Namespace, *, known: bool) -> int:
    from service.looks import climate as looked

    facts = _facts(args.facts)
    if args.degrees is not None:
        if args.degrees and degrees_of(args.degrees) is None:
            raise WrongUse(f'--degrees "{args.degrees}" is no difference: write it like "8 F".')
        facts["degrees"] = " ".join(args.degrees.split())
    async with desk(args, writing=True) as at:
        name = names.clean(args.name, "machine").casefold()
        if known:
            name = looked.machine(at.asked(), args.name).name
        elif name in at.book.settings.machines:
            raise WrongUse(f"{name} is set up already: girnel machine set {name} changes it.")
        if args.store is not None:
            facts["store"] = at.store(args.store)
        if known and not facts:
            raise WrongUse(f"Nothing was said of {name}: write --in, --degrees or FACT=TEXT.")
        entries, _ = await at.write([MachineSet(machine=name, facts=facts)])
        if args.json:
            print_json({"machine": name, "facts": facts, "record": entries[0].record.name})
            return 0
        said = ", ".join(
            f"{fact} {text}" if text else f"{fact} blanked" for fact, text in facts.items()
        )
        print(one_line(f"Machine {name} set up{f': {said}' if said else ''}. {BACK}"))
        if not at.book.settings.machines.get(name, {}).get("degrees"):
            print(wrap(f"Nobody said what it adds; {looked.PRACTICE}.", "  ", "  "))
    return 0


def _facts(typed: list[str]) -> dict[str, str]:
    facts: dict[str, str] = {}
    for said in typed:
        name, equals, text = said.partition("=")
        name = name.strip().casefold()
        if not equals or name not in MACHINE_FACTS[2:]:
            raise WrongUse(
                f'"{said}" is no fact about a machine: write FACT=TEXT with'
                f" {listed(MACHINE_FACTS[2:], 'or')}; --in and --degrees say the rest."
            )
        facts[name] = (names.word(text, name) or "") if text.strip() else ""
    if facts.get("hours"):
        minutes_of(f"{facts['hours']} hours")
    return facts


async def list_machines(args: Namespace) -> int:
    async with desk(args, writing=False) as at:
        machines = at.asked().book.settings.machines
        if args.json:
            print_json([{"machine": name, "facts": machines[name]} for name in sorted(machines)])
        elif not machines:
            print("No machine is set up yet: girnel machine add dryer --in STORE")
        else:
            rows = [(name, ", ".join(f"{fact} {text}" for fact, text in sorted(machines[name].items())))
                    for name in sorted(machines)]  # fmt: skip
            print(table(("machine", "what is known of it"), rows))
    return 0


async def run_machine(args: Namespace) -> int:
    from service.looks import climate as looked

    async with desk(args, writing=True) as at:
        machine = looked.machine(at.asked(), args.name)
        minutes = _minutes(at, machine.name, args.length)
        entries, _ = await at.write([Ran(machine=machine.name, minutes=minutes)])
        if args.json:
            told = {"machine": machine.name, "minutes": minutes, "store": machine.store or None}
            print_json({**told, "record": entries[0].record.name})
            return 0
        where = f" in {machine.store}" if machine.store else ""
        print(one_line(f"{machine.name} ran {_length(minutes)}{where}. {BACK}"))
        if machine.degrees is None:
            print(wrap(f"It is not said what it adds: {looked.PRACTICE}. "
                       f'girnel machine set "{machine.name}" --degrees "8 F" says it.', "  ", "  "))  # fmt: skip
    return 0


def _minutes(at: Desk, name: str, typed: str | None) -> int:
    usual = at.book.settings.machines.get(name, {}).get("hours", "")
    if typed is None:
        if not usual:
            raise WrongUse(f'It is not said how long it ran: girnel run "{name}" --for "10 hours"')
        return minutes_of(f"{usual} hours")
    return minutes_of(typed)


def minutes_of(typed: str) -> int:
    """Whole minutes of "10 hours" or "90 min", rounded half to even. WrongUse where it is none."""
    figure, _, unit = typed.casefold().strip().rpartition(" ")
    size = UNITS.get(unit)
    try:
        length = number(figure) * (size or 0)
    except NotUnderstood:
        length = Fraction(0)
    if size is None or not 0 < round(length) <= LONGEST:
        raise WrongUse(f'"{typed}" is no length of time: {HOW_LONG}.')
    return round(length)


def _length(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    said = [f"{hours} {'hour' if hours == 1 else 'hours'}"] if hours else []
    said += [f"{rest} minutes"] if rest else []
    return " and ".join(said)
