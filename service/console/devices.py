"""Devices of the household: the list, what one is called, and retiring it.

Which device may is in a file beside the log (`service.access`), so that both can be done while a
service holds the log; what the log should say of it is written now, or by that service.
"""

from argparse import Namespace
from collections.abc import Sequence
from contextlib import closing, suppress
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from events.readings.words import moment
from service import access, assemble
from service.access import Listed
from service.clock import RandomIds
from service.console import names
from service.console.commands import Commands, command
from service.console.desk import Desk, desk, started
from service.console.words import listed, print_json, table, wrap
from service.errors import HomeInUse, NeedsChoice, Unreachable, WrongUse
from service.settings import Settings
from service.sync import ticket
from service.sync.pairing import Change

if TYPE_CHECKING:
    from service.sync.client import Client

AT_ONCE_S = 0.3
"""Seconds to wait for the log before leaving the writing to the service that holds it."""

NOT_LOST = "What still waits on it is not lost; to hand it over, pair it anew:"

HEADS = ("device", "called", "role", "whose", "heard last", "to look at")


def add(commands: Commands) -> None:
    parser = command(
        commands, "devices", devices, "the household's devices; what one is called; retire one"
    )
    parser.add_argument("device", metavar="DEVICE", nargs="?", help="one of them, by name")
    parser.add_argument("--name", metavar="TEXT", help="call it so")
    parser.add_argument(
        "--retire", action="store_true", help="let it in no more; what it logged stays"
    )
    parser.add_argument("--json", action="store_true", help="as JSON")


async def devices(args: Namespace) -> int:
    changing = args.name is not None or args.retire
    if changing and args.device is None:
        raise WrongUse("Which device? girnel devices lists them; write its name first.")
    name = names.word(args.name, "--name")
    async with desk(args, writing=False) as at:
        found = await known(at)
        if args.device is not None:
            found = [meant(found, args.device)]
        if not changing:
            _show(at, found)
            return 0
        (one,) = found
        if args.retire and one.device == at.device and not ticket.kept(at.started.home):
            raise WrongUse("This is the device that keeps the log: it cannot be retired.")
    await _change(started(args), one, name, retire=args.retire)
    _tell(args, one, name)
    return 0


async def known(at: Desk) -> list[Listed]:
    """Every device; on a replica as the service says it, where it can be asked."""
    home = at.started.home
    if ticket.kept(home):
        with suppress(Unreachable):
            async with service_of(home) as service:
                return await service.devices()
    if not (home / access.FILE).is_file():
        return access.roster(at.book, at.device, [])
    with closing(access.at(home, at.clock, RandomIds())) as who_may:
        return access.roster(at.book, at.device, await who_may.devices())


def meant(known: Sequence[Listed], typed: str) -> Listed:
    """The device that is meant, by its own name or what it is called, or how that begins."""
    said = " ".join(typed.casefold().split())
    for fits in (
        [one for one in known if one.device == said],
        [one for one in known if one.name.casefold() == said],
        [one for one in known if said and one.name.casefold().startswith(said)],
    ):
        if len(fits) == 1:
            return fits[0]
        if fits:
            which = listed((f"{one.device} ({one.name})" for one in fits), "or")
            raise NeedsChoice(f'"{typed}" may be {which}: write the first word of the one meant.')
    raise WrongUse(f'No device is called "{typed}"; girnel devices lists them.')


def _show(at: Desk, known: Sequence[Listed]) -> None:
    if at.args.json:
        print_json([{**msgspec.to_builtins(one), "here": one.device == at.device} for one in known])
        return
    rows = []
    for one in known:
        heard = "here" if one.device == at.device else ""
        if one.heard is not None:
            heard = moment(one.heard, at.tz, at.clock.now_ms())
        role = "retired" if one.retired else one.role or "not paired"
        rows.append((one.device, one.name, role, one.member or "", heard, to_look_at(one)))
    print(table(HEADS, rows))


def to_look_at(one: Listed) -> str:
    """What does not add up about a device, in few words."""
    said = []
    if one.missing:
        said.append(f"{_records(one.missing)} of it not here yet")
    if one.clock_off:
        said.append(f"clock off for {_records(one.clock_off)}")
    return ", ".join(said)


def _records(number: int) -> str:
    return f"{number} record{'' if number == 1 else 's'}"


def service_of(home: Path) -> "Client":
    """The service that a replica follows, to be asked."""
    from service.sync.client import Client

    paired = ticket.read(home)
    return Client(paired.url, paired.joined.token, paired.ca)


async def _change(how: Settings, one: Listed, name: str | None, *, retire: bool) -> None:
    """What counts changes at once; the log is told now, or by the service that holds it."""
    if ticket.kept(how.home):
        async with service_of(how.home) as service:
            await service.change(one.device, Change(name=name, retired=True if retire else None))
        return
    with closing(access.at(how.home, how.clock(), RandomIds())) as who_may:
        if name is not None:
            await who_may.name(one.device, name)
        if retire:
            await who_may.retire(one.device)
        with suppress(HomeInUse):
            async with assemble.open_home(
                how.home, how.clock(), writing=True, wait_s=AT_ONCE_S
            ) as ledger:
                await who_may.announce(ledger)


def _tell(args: Namespace, one: Listed, name: str | None) -> None:
    called = name or one.name
    if args.json:
        retired = one.retired or args.retire
        print_json({"device": one.device, "name": called, "retired": retired})
        return
    if name is not None:
        print(f"{one.device} is called {called}.")
    if args.retire:
        print(wrap(f"{called} is retired: it is let in no more, and what it logged stays.", "  "))
        print(wrap(f"{NOT_LOST} girnel pair --formerly {one.device}", "  "))
