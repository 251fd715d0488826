"""Setting up: the household, its stores, foods and members.

What is set up is a record like any other: the newest one counts, fact by fact, and it can be taken
back. An empty text blanks a fact.
"""

import os
from argparse import Namespace
from collections.abc import Callable
from pathlib import Path

from events.kinds import FoodSet, MemberSet, StoreSet
from events.projections.settings import Facts
from events.quantity import NotUnderstood, canonical_unit, equal
from service import assemble
from service.clock import RandomIds, zone
from service.console import amounts, beds, mailing, names
from service.console.commands import Commands, Parser, Run, command, deed, look
from service.console.desk import Desk, desk, started
from service.console.words import listed, print_json, table, wrap
from service.errors import WrongUse, of_typed

STORE_KINDS = {
    "kitchen": "kitchen", "room": "room", "cupboard": "cupboard", "pantry": "pantry",
    "cellar": "cellar", "outbuilding": "outbuilding", "refrigerator": "refrigerator",
    "fridge": "refrigerator", "freezer": "freezer", "ground": "ground", "outdoors": "outdoors",
}  # fmt: skip
BED_FACTS = ("soil_months", "soil", "mulch", "mulch_share", "root_depth")
STORE_FACTS = ("kind", "climate", "room", "light", "damp", "closed_from", "closed_to", *BED_FACTS)
MARKS = ("refill", "clear", "par", "pack", "lead", "shelf", "shelf_refill", "shelf_par",
         "quiet_until")  # fmt: skip
FOOD_FACTS = ("other_names", "group", "units", *MARKS, "planned_use", "season", "source")
MEMBER_FACTS = ("name", "role", "mail", "digest", "sections")


def add(commands: Commands) -> None:
    parser = command(commands, "init", init, "make a household's log in the data directory")
    parser.add_argument("name", metavar="NAME", help="what the household is called")
    parser.add_argument(
        "--timezone", metavar="ZONE", help="like Europe/London; else this machine's"
    )
    parser.add_argument(
        "--member",
        metavar="NAME",
        action="append",
        default=[],
        help="who lives here; again for each",
    )
    parser.add_argument("--json", action="store_true", help="tell it back as JSON")
    _family(commands, "store", "stores: rooms, shelves, freezers, beds", _add_store, list_stores)
    _family(
        commands, "food", "foods: other names, groups, units of your own", _add_food, list_foods
    )
    _family(commands, "member", "members of the household", _add_member, list_members)


def _family(
    commands: Commands, name: str, says: str, adding: Callable[[Commands], None], listing: Run
) -> None:
    parser = commands.add_parser(name, help=says, description=says, allow_abbrev=False)
    parts = parser.add_subparsers(metavar="add|set|list", required=True, parser_class=Parser)
    adding(parts)
    look(parts, "list", listing, f"every {name} that is set up")


# -- the household -----------------------------------------------------------------------------


async def init(args: Namespace) -> int:
    how = started(args)
    name = names.clean(args.name, "household")
    timezone = machine_zone() if args.timezone is None else args.timezone
    zone(timezone)
    members = [names.clean(member, "member") for member in args.member]
    if len(set(members)) != len(members):
        raise WrongUse("A member is named twice: name each once.")
    ledger = await assemble.make_home(how.home, name, timezone, members, how.clock(), RandomIds())
    device = ledger.household.device
    await ledger.close()
    if args.json:
        print_json(
            {
                "household": name,
                "timezone": timezone,
                "members": members,
                "device": device,
                "home": str(how.home),
            }
        )
        return 0
    who = f" with {listed(members)}" if members else ""
    print(
        wrap(
            f"{name} is set up{who}, in {how.home} (timezone {timezone}; this device is {device}).",
            "  ",
        )
    )
    print(wrap("Next: girnel store add kitchen --kind kitchen", "  "))
    return 0


def machine_zone() -> str:
    """This machine's timezone by name; asked for where it has none."""
    named = os.environ.get("TZ", "").lstrip(":")
    if named:
        return named
    link = Path("/etc/localtime")
    parts = link.resolve().parts if link.is_symlink() else ()
    if "zoneinfo" in parts:
        return "/".join(parts[parts.index("zoneinfo") + 1 :])
    raise WrongUse(
        "This machine does not say its timezone: add one, like --timezone Europe/London."
    )


# -- stores ------------------------------------------------------------------------------------


def _add_store(parts: Commands) -> None:
    parser = deed(parts, "add", add_store, "a new store")
    parser.add_argument(
        "name", metavar="STORE", help="kitchen, or back-room/shelf-2 for a part of one"
    )
    parser.add_argument(
        "--kind", required=True, metavar="KIND", help=", ".join(dict.fromkeys(STORE_KINDS.values()))
    )
    parser.add_argument(
        "facts", metavar="FACT=TEXT", nargs="*", help=f"also {', '.join(STORE_FACTS[1:])}"
    )
    parser = deed(parts, "set", set_store, "facts about a store")
    parser.add_argument("name", metavar="STORE")
    parser.add_argument("facts", metavar="FACT=TEXT", nargs="+", help=", ".join(STORE_FACTS))


async def add_store(args: Namespace) -> int:
    facts = _facts(["kind=" + args.kind, *args.facts], STORE_FACTS, "store")
    _check_kind(facts)
    _check_climate(facts)
    beds.check_soil(facts)
    path = names.store_path(args.name)
    async with desk(args, writing=True) as at:
        if path in at.book.settings.stores:
            raise WrongUse(
                f"{path} is set up already: girnel store set {path} FACT=TEXT changes it."
            )
        return await _set_up(at, StoreSet(store=path, facts=facts), "store", path)


async def set_store(args: Namespace) -> int:
    facts = _facts(args.facts, STORE_FACTS, "store")
    _check_kind(facts)
    _check_climate(facts)
    beds.check_soil(facts)
    async with desk(args, writing=True) as at:
        path = at.store(args.name)
        return await _set_up(at, StoreSet(store=path, facts=facts), "store", path)


def _check_kind(facts: Facts) -> None:
    kind = facts.get("kind")
    if kind is None:
        return
    known = STORE_KINDS.get(kind.casefold())
    if known is None:
        kinds = listed(dict.fromkeys(STORE_KINDS.values()), "or")
        raise WrongUse(f'"{kind}" is no kind of store known here: write {kinds}.')
    facts["kind"] = known


def _check_climate(facts: Facts) -> None:
    from events.keeping import profile

    if facts.get("climate"):
        try:
            profile.read(facts["climate"])
        except NotUnderstood as error:
            raise of_typed(error) from error


async def list_stores(args: Namespace) -> int:
    return await _list(args, "store")


# -- foods -------------------------------------------------------------------------------------


def _add_food(parts: Commands) -> None:
    for name, run, says in (("add", add_food, "a food"), ("set", set_food, "facts about a food")):
        parser = deed(parts, name, run, says)
        parser.add_argument("name", metavar="FOOD")
        parser.add_argument(
            "--also",
            metavar="NAME",
            action="append",
            default=[],
            help="another name of it; again for each",
        )
        parser.add_argument(
            "--unit",
            metavar="UNIT",
            action="append",
            default=[],
            help='a unit of your own: "puck", "pie bag = 2 lb"',
        )
        parser.add_argument("facts", metavar="FACT=TEXT", nargs="*", help=", ".join(FOOD_FACTS))


async def add_food(args: Namespace) -> int:
    return await _food(args, known=False)


async def set_food(args: Namespace) -> int:
    return await _food(args, known=True)


async def _food(args: Namespace, *, known: bool) -> int:
    facts = _facts(args.facts, FOOD_FACTS, "food")
    if facts.get("source"):
        facts["source"] = _source(facts["source"])
    async with desk(args, writing=True) as at:
        food = names.known_food(at.book, args.name)
        if not known and food in at.book.settings.foods:
            raise WrongUse(
                f'{food} is set up already: girnel food set "{food}" FACT=TEXT changes it.'
            )
        if known:
            food = names.one_food(at.book, args.name) or ""
            if not food:
                raise WrongUse(
                    f'No food here is called "{args.name}": girnel food add "{args.name}"'
                )
        had = at.book.settings.foods.get(food, {})
        also = [_part(name, "--also") for name in args.also]
        units = [_unit(at, unit) for unit in args.unit]
        for fact, more in (("other_names", also), ("units", units)):
            if more:
                facts[fact] = "; ".join(
                    dict.fromkeys([*_parts(facts.get(fact, had.get(fact, ""))), *more])
                )
        _check_marks(at, food, facts, had)
        if known and not facts:
            raise WrongUse(f"Nothing was said of {food}: write --also, --unit or FACT=TEXT.")
        return await _set_up(at, FoodSet(food=food, facts=facts), "food", food)


def _check_marks(at: Desk, food: str, facts: Facts, had: Facts) -> None:
    """What is to be on hand, and the shelf it is taken from, are understood before they are set."""
    from events.readings.stock_marks import marks_of
    from service.digests.getting import day_said

    if not any(fact in facts for fact in MARKS):
        return
    if facts.get("shelf"):
        facts["shelf"] = at.store(facts["shelf"])
    if (quiet := facts.get("quiet_until")) and day_said(quiet) is None:
        raise WrongUse(f'quiet_until "{quiet}" is no day: write it like 2026-12-20.')
    try:
        marks_of(food, had | facts, amounts.own_units(at.book))
    except NotUnderstood as error:
        raise of_typed(error) from error


def _source(typed: str) -> str:
    """The id of the publication that a food's keeping life is to be taken from."""
    from events import tables

    found = tables.load().sources.get(typed.casefold())
    if found is None:
        raise WrongUse(
            f'"{typed}" is no source known here: girnel rotation --why names each in brackets.'
        )
    if not found.published:
        raise WrongUse(f"{found.source_id} was not read at its source, so it decides nothing.")
    return found.source_id


def _parts(said: str) -> list[str]:
    return [part.strip() for part in said.split(";") if part.strip()]


def _part(typed: str, option: str) -> str:
    name = names.word(typed, option) or ""
    if ";" in name:
        raise WrongUse(f"{option} takes one name at a time: write it again for each.")
    return name


def _unit(at: Desk, typed: str) -> str:
    """A unit of the household's own: a name, or a name and what one comes to."""
    said = _part(typed, "--unit")
    name, equals, worth = (part.strip() for part in said.partition("="))
    name = name.removeprefix("1 ").strip()
    if not name or any(sign.isdigit() for sign in name) or len(name) > 60:
        raise WrongUse(f'--unit "{typed}" is no unit: write a word, or like "pie bag = 2 lb".')
    if not equals:
        return name
    if canonical_unit(name) not in (None, name):
        raise WrongUse(f'"{name}" is a measure already: a unit of your own needs another name.')
    try:
        equal(f"1 {name} = {worth}", {*amounts.own_units(at.book), name})
    except NotUnderstood as error:
        raise of_typed(error) from error
    return f"{name} = {worth}"


async def list_foods(args: Namespace) -> int:
    return await _list(args, "food")


# -- members -----------------------------------------------------------------------------------


def _add_member(parts: Commands) -> None:
    parser = deed(parts, "add", add_member, "a new member")
    parser.add_argument("name", metavar="NAME")
    parser.add_argument("facts", metavar="FACT=TEXT", nargs="*", help=", ".join(MEMBER_FACTS))
    parser = deed(parts, "set", set_member, "facts about a member")
    parser.add_argument("name", metavar="NAME")
    parser.add_argument("facts", metavar="FACT=TEXT", nargs="+", help=", ".join(MEMBER_FACTS))


async def add_member(args: Namespace) -> int:
    facts = mailing.understood(_facts(args.facts, MEMBER_FACTS, "member"))
    name = names.clean(args.name, "member")
    async with desk(args, writing=True) as at:
        if name in at.book.settings.members:
            raise WrongUse(f"{name} is a member already.")
        return await _set_up(at, MemberSet(member=name, facts=facts), "member", name)


async def set_member(args: Namespace) -> int:
    facts = mailing.understood(_facts(args.facts, MEMBER_FACTS, "member"))
    async with desk(args, writing=True) as at:
        name = names.member(at.book, args.name) or ""
        return await _set_up(at, MemberSet(member=name, facts=facts), "member", name)


async def list_members(args: Namespace) -> int:
    return await _list(args, "member")


# -- all of them -------------------------------------------------------------------------------


def _facts(typed: list[str], known: tuple[str, ...], what: str) -> Facts:
    facts: Facts = {}
    for said in typed:
        name, equals, text = said.partition("=")
        name = name.strip().casefold().replace("-", "_").replace(" ", "_")
        if not equals or name not in known:
            raise WrongUse(
                f'"{said}" is no fact about a {what}: write FACT=TEXT with one of {", ".join(known)}.'
            )
        if name in facts:
            raise WrongUse(f"{name} is given twice: say it once.")
        facts[name] = (names.word(text, name, most=4000) or "") if text.strip() else ""
    return facts


async def _set_up(at: Desk, body: StoreSet | FoodSet | MemberSet, what: str, name: str) -> int:
    entries, _ = await at.write([body])
    if at.args.json:
        print_json({what: name, "facts": body.facts, "record": entries[0].record.name})
        return 0
    said = ", ".join(
        f"{fact.replace('_', ' ')} {text}" if text else f"{fact} blanked"
        for fact, text in body.facts.items()
    )
    print(
        wrap(
            f"{what.capitalize()} {name} set up{f': {said}' if said else ''}. Take it back: girnel undo",
            "  ",
        )
    )
    return 0


async def _list(args: Namespace, what: str) -> int:
    async with desk(args, writing=False) as at:
        settings = at.look_at().settings
        all_of = {"store": settings.stores, "food": settings.foods, "member": settings.members}
        known = {name: facts for name, facts in all_of[what].items() if name}
        if args.json:
            print_json([{what: name, "facts": known[name]} for name in sorted(known)])
        elif not known:
            print(f"No {what} is set up yet: girnel {what} add NAME")
        else:
            rows = [
                (
                    name,
                    ", ".join(
                        f"{fact.replace('_', ' ')} {text}"
                        for fact, text in sorted(known[name].items())
                    ),
                )
                for name in sorted(known)
            ]
            print(table((what, "what is known of it"), rows))
    return 0
