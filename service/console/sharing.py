"""Join and sync: a home that mirrors the household's log, and its exchange with the service.

What is logged here waits in the home until the service has it; these commands only hurry it along
and say how it stands. Nothing of HTTP is loaded before the command is known to be meant.
"""

import asyncio
from argparse import Namespace
from collections.abc import Mapping
from contextlib import suppress
from functools import partial
from pathlib import Path

from msgspec import Struct

from events.readings.words import moment
from service import assemble
from service.clock import RandomIds, zone
from service.console.commands import Commands, command
from service.console.desk import started
from service.console.words import listed, print_json, wrap
from service.errors import GirnelError, HomeTaken, NoHome, TornFile, WrongUse
from service.settings import Settings
from service.storage.outbox import Count, State, Waiting
from service.sync import client, ticket
from service.sync.beginning import Begun, begin
from service.sync.client import Client
from service.sync.following import Following
from service.sync.pairing import Change
from service.sync.replica import Opening, Replica, Tally, own
from service.sync.ticket import Ticket

NAMED = 5
"""So many records are named with why they were not taken; the rest are counted."""

CODE = "#code="
"""Stands before the code in the address that a picture of the code holds."""


def add(commands: Commands) -> None:
    parser = command(
        commands, "join", join, "make this home a replica of a household's log, with a pairing code"
    )
    parser.add_argument("url", metavar="URL", help="the service's address, as girnel pair says it")
    parser.add_argument("code", metavar="CODE", nargs="?", help="the code, as girnel pair says it")
    parser.add_argument("--ca", metavar="FILE", help="the certificate that the service was given")
    parser.add_argument(
        "--insecure", action="store_true", help="plain http also beyond the home network"
    )
    parser.add_argument("--json", action="store_true", help="tell it back as JSON")
    parser = command(
        commands, "sync", sync, "send what waits to the household's service, take in what is new"
    )
    how = parser.add_mutually_exclusive_group()
    how.add_argument("--status", action="store_true", help="what waits, since when; asks nobody")
    how.add_argument("--follow", action="store_true", help="go on until it is stopped")
    how.add_argument(
        "--rebuild", action="store_true", help="fetch the whole log anew; what waits stays"
    )
    parser.add_argument("--json", action="store_true", help="as JSON")


# -- join ------------------------------------------------------------------------------------------


async def join(args: Namespace) -> int:
    how = started(args)
    typed, _, scanned = args.url.partition(CODE)
    code = args.code or scanned
    if not code:
        raise WrongUse("The code is missing: girnel join URL CODE, as girnel pair says them.")
    url = client.address(typed, insecure=args.insecure)
    await assemble.may_follow(how.home)
    ca = _file(args.ca)
    async with Client(url, ca=ca) as service:
        joined = await service.join(code)
    await _refuse_other(how, Ticket(url=url, joined=joined, ca=ca))
    made = Ticket(url=url, joined=joined, ca=ca)
    ticket.write(how.home, made)
    await assemble.make_replica(how.home, made.meta())
    first = await _first(how, made)
    _told_joined(args, how, made, first)
    return 1 if first.begun is not None and first.begun.wrong else 0


def _file(typed: str | None) -> str | None:
    return None if typed is None else str(Path(typed).expanduser().absolute())


async def _refuse_other(how: Settings, new: Ticket) -> None:
    """A home stays with its household; the device that was just made for another is let go."""
    if not ticket.kept(how.home):
        return
    old = await _meta(how)
    if old and old["id"] != new.joined.household:
        async with Client(new.url, new.joined.token, new.ca) as service:
            await service.change(new.joined.device, Change(retired=True))
        raise HomeTaken(
            f"{how.home} follows {old['name']}, the code is of {new.joined.household_name}: "
            "name another directory with --home."
        )


class First(Struct):
    """What the first round came to: as far as it came."""

    tally: Tally = Tally()
    begun: Begun | None = None
    why: str | None = None
    """why it did not come to its end"""


async def _first(how: Settings, made: Ticket) -> First:
    first = First()
    try:
        async with Client(made.url, made.joined.token, made.ca) as service:
            replica = Replica(_opening(how), service, how.clock())
            first.tally = await replica.once()
            first.begun = await _settled(how, replica, service)
    except GirnelError as wrong:
        first.why = wrong.sentence
    return first


async def _put_by(home: assemble.MirrorHome) -> None:
    with suppress(GirnelError):  # the log has it all
        await home.put_by()


async def _settled(how: Settings, replica: Replica, service: Client) -> Begun | None:
    """Work the book out while nobody waits for it; once, hold all beside the service's."""
    home = assemble.MirrorHome(how.home, how.clock())
    async with home.opening(False) as store:
        checked = (await store.meta()).get("checked")
    if checked:
        await _put_by(home)
        return None
    try:
        begun = await begin(home, replica, service)
    except GirnelError:
        await _put_by(home)
        raise
    if begun.checked:
        async with home.opening(True) as store:
            await store.note({"checked": str(how.clock().now_ms())})
    return begun


def _told_joined(args: Namespace, how: Settings, made: Ticket, first: First) -> None:
    one, tally, begun, why = made.joined, first.tally, first.begun, first.why
    if args.json:
        print_json(
            {"household": one.household_name, "device": one.device, "name": one.name,
             "role": one.role, "url": made.url, "home": str(how.home),
             "received": tally.received, "failure": why, **_begun(begun)}
        )  # fmt: skip
        return
    print(
        wrap(
            f"{one.name} follows {one.household_name} at {made.url}, in {how.home} "
            f"(role {one.role}; this device is {one.device}). {_records(tally.received)} came in.",
            "  ",
        )
    )
    _tell_begun(begun)
    if why is not None:
        print(wrap(f"Not all of the log is here yet: {why} Then: girnel sync", "  "))


def _tell_begun(begun: Begun | None) -> None:
    if begun is not None and begun.checked:
        print(wrap("Log and book are the service's: both were held beside it.", "  ")
              if begun.said is None else wrap(begun.said, "  "))  # fmt: skip
    elif begun is not None and begun.said:
        print(wrap(begun.said, "  "))


def _begun(begun: Begun | None) -> dict[str, object]:
    if begun is None:
        return {}
    return {"snapshot": begun.snapshot, "checked": begun.checked, "said": begun.said}


# -- sync ------------------------------------------------------------------------------------------


async def sync(args: Namespace) -> int:
    how = started(args)
    paired = await _paired(how, rebuilding=args.rebuild)
    if args.status:
        return await _status(args, how, paired)
    async with Client(paired.url, paired.joined.token, paired.ca) as service:
        replica = Replica(_opening(how), service, how.clock())
        if args.follow:
            return await _follow(how, paired, replica, service)
        tally = await (replica.rebuild() if args.rebuild else replica.once())
        try:
            begun = await _settled(how, replica, service)
        except GirnelError as wrong:  # what was exchanged until then is told all the same
            begun = Begun(snapshot=False, checked=False, said=wrong.sentence)
    _tell(args, how, paired, tally, begun)
    off = begun is not None and begun.wrong
    return 1 if off or {"refused", "aside"} & tally.left.keys() else 0


async def _paired(how: Settings, *, rebuilding: bool) -> Ticket:
    """How this home is paired; what a pairing that was cut off has left is finished."""
    if not ticket.kept(how.home) and not (how.home / assemble.LOG).is_file():
        raise NoHome(f"There is no household in {how.home}: girnel join URL CODE makes a replica.")
    paired = ticket.read(how.home)
    try:
        meta = await _meta(how)
    except TornFile:
        if not rebuilding:
            raise
        meta = {}
    if not meta and not rebuilding:
        raise NoHome(f"The log of {how.home} is gone: girnel sync --rebuild fetches it anew.")
    if not meta:
        await assemble.renew_replica(how.home, {**paired.meta(), "unwhole": UNWHOLE})
    elif meta.get("device") != paired.joined.device:
        await assemble.make_replica(how.home, paired.meta())
    return paired


UNWHOLE = "The log is not here whole yet, so that nothing can be logged: say girnel sync first."


async def _meta(how: Settings) -> dict[str, str]:
    if not (how.home / assemble.LOG).is_file():
        return {}
    async with assemble.open_replica(how.home, writing=False) as store:
        return await store.meta()


def _opening(how: Settings) -> Opening:
    return partial(assemble.open_replica, how.home)


async def _follow(how: Settings, paired: Ticket, replica: Replica, service: Client) -> int:
    tz = zone(paired.joined.timezone)

    async def say(what: Tally | str) -> None:
        said = what if isinstance(what, str) else _line(what, how, paired)
        print(wrap(f"{moment(how.clock().now_ms(), tz)}: {said}", "  "), flush=True)
        if isinstance(what, Tally):
            with suppress(GirnelError):  # the next round tries again
                _tell_begun(await _settled(how, replica, service))

    print(wrap(f"Following {paired.joined.household_name} at {paired.url}. Ctrl-C ends it."))
    following = Following(replica, _opening(how), service, RandomIds(), say)
    try:
        await following.run()
    except asyncio.CancelledError:
        return 0
    return 0


def _tell(
    args: Namespace, how: Settings, paired: Ticket, tally: Tally, begun: Begun | None
) -> None:
    if args.json:
        print_json(
            {"sent": tally.sent, "received": tally.received, **_numbers(tally.left),
             **_begun(begun)}
        )  # fmt: skip
        return
    print(wrap(_line(tally, how, paired), "  "))
    _tell_begun(begun)
    if {"refused", "aside"} & tally.left.keys():
        print(wrap("girnel sync --status says why.", "  "))


def _line(tally: Tally, how: Settings, paired: Ticket) -> str:
    return f"Sent {tally.sent}, received {tally.received}; {_left(tally.left, how, paired)}."


def _left(left: Mapping[State, Count], how: Settings, paired: Ticket) -> str:
    """What is still in the outbox, in words."""
    said = []
    for states, words in WORDS.items():
        counts = [left[state] for state in states if state in left]
        if counts:
            number = sum(count.number for count in counts)
            since = min(count.since for count in counts)
            tz = zone(paired.joined.timezone)
            when = moment(since, tz, how.clock().now_ms())
            said.append(f"{_records(number)} {words} (the oldest of {when})")
    return listed(said) if said else "nothing waits"


WORDS: dict[tuple[State, ...], str] = {
    ("waiting", "sent"): "waiting to go out",
    ("refused",): "not taken by the service",
    ("aside",): "set aside",
    ("kept",): "kept that only this home has",
}


def _numbers(left: Mapping[State, Count]) -> dict[str, int]:
    number = {state: count.number for state, count in left.items()}
    return {"waiting": number.get("waiting", 0) + number.get("sent", 0),
            "refused": number.get("refused", 0), "set_aside": number.get("aside", 0),
            "kept": number.get("kept", 0)}  # fmt: skip


# -- how it stands -----------------------------------------------------------------------------------


async def _status(args: Namespace, how: Settings, paired: Ticket) -> int:
    async with assemble.open_replica(how.home, writing=False) as store:
        left, meta = await store.counts(), await store.meta()
        wrong = await store.outbox(["refused", "aside", "kept"], limit=-1)
    contact, failed = _when(meta, "contact"), _when(meta, "failed")
    if args.json:
        print_json(
            {"url": paired.url, "household": paired.joined.household_name,
             "device": paired.joined.device, "role": paired.joined.role,
             **_numbers(left),
             "since": min((count.since for count in left.values()), default=None),
             "contact": contact, "failed": failed, "failure": meta.get("failure") or None,
             "not_taken": [_one(w) for w in wrong]}
        )  # fmt: skip
        return 0
    tz, now = zone(paired.joined.timezone), how.clock().now_ms()
    print(wrap(f"{paired.joined.name} follows {paired.joined.household_name} at {paired.url}."))
    heard = "never yet" if contact is None else moment(contact, tz, now)
    said = _left(left, how, paired)
    print(wrap(f"The service answered last: {heard}. {said[:1].upper()}{said[1:]}.", "  "))
    if failed is not None:
        print(wrap(f"Tried last {moment(failed, tz, now)}: {meta['failure']}", "  "))
    for one in wrong[:NAMED]:
        print(wrap(f"{one.item.device}:{one.item.seq}: {_why(one)}", "  ", "  "))
    if len(wrong) > NAMED:
        print(f"  and {len(wrong) - NAMED} more")
    before = own(meta)[1:]
    if before and "refused" in left:
        print(wrap(f"It was {listed(before)} before: {HAND_OVER.format(before[0])}", "  "))
    return 0


HAND_OVER = (
    "with a keeper's consent what waits goes out under that name: girnel pair --formerly {}, then "
    "girnel join here once more."
)


def _when(meta: Mapping[str, str], name: str) -> int | None:
    return int(meta[name]) if meta.get(name) else None


def _why(one: Waiting) -> str:
    return one.reason or "another device's; the service has it no more"


def _one(one: Waiting) -> dict[str, str]:
    return {"record": f"{one.item.device}:{one.item.seq}", "state": one.state, "why": _why(one)}


def _records(number: int) -> str:
    return f"{number} record{'' if number == 1 else 's'}"
