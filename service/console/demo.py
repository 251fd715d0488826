"""The demo: an invented household's eighteen months, replayed through the ledger's own door.

Nothing of it is real: place, people, food and mishaps are made up, and nobody should can by it. It
comes in as its devices sent it (late, twice, out of order) and ends in the digest of one fixed
week. It touches a data directory only where `--home` names one, and leaves it there.
"""

from argparse import Namespace
from collections.abc import Iterator
from importlib import resources
from itertools import groupby
from pathlib import Path

import msgspec

from events import tables
from service import assemble, settings
from service.clock import Fixed, zone
from service.console import times
from service.console.commands import Commands, command
from service.console.words import width, wrap
from service.digests import compose, render
from service.digests.digest import Digest
from service.errors import WrongUse
from service.ledger import Ledger

FILE = "alder-bend.jsonl"
PLACES = (
    resources.files("service") / "demo" / FILE,
    Path(__file__).parents[2] / "fixtures" / "households" / FILE,
)
"""Where the demo's log is: in an installed package, and in a clone of the project."""

NAME, HOUSEHOLD, ZONE, DEVICE = "Alder Bend", "alder-bend", "America/Chicago", "console"
WEEK = "2026-11-22"
"""The Sunday that the demo's digest is of."""


class Arrival(msgspec.Struct, frozen=True):
    """A record as it reached the log: when (Unix ms), from whom, byte for byte."""

    received: int
    sent_by: str
    record: msgspec.Raw


class Named:
    """Names that the fixture goes by."""

    def household(self) -> str:
        return HOUSEHOLD

    def device(self) -> str:
        return DEVICE


def add(commands: Commands) -> None:
    parser = command(
        commands,
        "demo",
        demo,
        "an invented household's eighteen months, and the digest of one week",
    )
    parser.epilog = "With --home DIR the household is left there to look at."


async def demo(args: Namespace) -> int:
    arrivals = list(read())
    clock = Fixed(arrivals[0].received)
    home = getattr(args, "home", None)
    if home is None:
        ledger = await assemble.make_passing(NAME, ZONE, [], clock, Named())
    else:
        ledger = await assemble.make_home(settings.home(home), NAME, ZONE, [], clock, Named())
    try:
        await replay(ledger, clock, arrivals)
        print(digest(ledger), end="")
    finally:
        await ledger.close()
    print()
    if home is None:
        print(wrap("An invented household. To keep it and look around: girnel demo --home DIR"))
    else:
        print(wrap(f"An invented household, left in {home}: girnel on-hand --home {home}"))
    return 0


def read() -> Iterator[Arrival]:
    """What the devices sent, in the order in which it was heard."""
    found = next((place for place in PLACES if place.is_file()), None)
    if found is None:
        raise WrongUse(f"The demo's log ({FILE}) is not here: install girnel anew, or clone it.")
    decoder = msgspec.json.Decoder(Arrival)
    for line in found.read_bytes().splitlines():
        yield decoder.decode(line)


async def replay(ledger: Ledger, clock: Fixed, arrivals: list[Arrival]) -> None:
    """Take every record in at the moment when it was heard."""
    for (received, sent_by), together in groupby(
        arrivals, key=lambda one: (one.received, one.sent_by)
    ):
        clock.ms = received
        await ledger.accept([bytes(one.record) for one in together], sent_by)


def digest(ledger: Ledger) -> str:
    """The digest of the demo's week, as `girnel digest --on` would print it."""
    return render.text(week(ledger), min(width(), render.WIDTH))


def week(ledger: Ledger) -> Digest:
    """The digest of the demo's week, as that day is known now."""
    zone(ZONE)
    end = times.end_of(WEEK, Fixed(0), ZONE)
    today = times.last_day(WEEK, Fixed(0), ZONE)
    return compose.compose(ledger.book.as_of(end), tables.load(), end, ZONE, NAME, today)
