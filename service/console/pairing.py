"""Pair: a code for a new device, to be typed there or scanned, good once and for ten minutes.

In the home that keeps the log the code is made beside it, whether or not the service runs; on a
keeper's replica the service is asked for it. The code is on the screen and nowhere else.
"""

import socket
import sys
from argparse import Namespace
from contextlib import closing
from pathlib import Path
from typing import cast, get_args
from urllib.parse import urlsplit

import msgspec

from events.readings.words import moment
from service import access
from service.access import Role
from service.clock import RandomIds
from service.console import devices, names
from service.console.commands import Commands, command
from service.console.desk import Desk, desk
from service.console.words import coloured, print_json, wrap
from service.errors import WrongUse
from service.sync import beside, ticket
from service.sync.pairing import Pair, Paired

ANYWHERE = ("0.0.0.0", "::")  # noqa: S104
"""Where a service listens that listens everywhere; nobody can ask there."""

ELSEWHERE = ("192.0.2.1", 9)
"""An address in no network (RFC 5737), to ask the system by which of its own it would go there."""

DARK, LIGHT = "\x1b[30m", "\x1b[107m"
"""Black on white, whatever the terminal's own colours are."""


def add(commands: Commands) -> None:
    parser = command(commands, "pair", pair, "a code for a new device of the household")
    parser.add_argument(
        "--role", choices=get_args(Role), default="member",
        help="keeper: also sets up, pairs and retires; member: logs; reader: reads; sensor: measures",
    )  # fmt: skip
    parser.add_argument("--name", metavar="TEXT", help='what it is called: "barn tablet"')
    parser.add_argument("--member", metavar="NAME", help="whose it is")
    parser.add_argument(
        "--formerly", metavar="DEVICE",
        help="the retired device that it was: what waits there goes out under the old name",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="as JSON")


async def pair(args: Namespace) -> int:
    async with desk(args, writing=False) as at:
        name = names.word(args.name, "--name")
        member = None if args.member is None else names.member(at.book, args.member)
        formerly = None
        if args.formerly is not None:
            formerly = devices.meant(await devices.known(at), args.formerly).device
            if formerly == at.device:
                raise WrongUse("This device is still in use: nobody else speaks in its name.")
        wish = Pair(role=cast("Role", args.role), name=name, member=member, formerly=formerly)
        home = at.started.home
        url = ticket.read(home).url if ticket.kept(home) else _served(home)
        code = await (_asked_for(at, wish) if ticket.kept(home) else _made(at, wish))
        _tell(at, code, url)
    return 0


async def _made(at: Desk, wish: Pair) -> Paired:
    with closing(access.at(at.started.home, at.clock, RandomIds())) as who_may:
        code = await who_may.pair(
            role=wish.role, name=wish.name, member=wish.member, formerly=wish.formerly
        )
    return Paired(code=code.code, until=code.until)


async def _asked_for(at: Desk, wish: Pair) -> Paired:
    async with devices.service_of(at.started.home) as service:
        return await service.pair(wish)


def _served(home: Path) -> str | None:
    """Where the service of this home is found; None where none runs."""
    try:
        said = msgspec.json.decode((home / beside.FILE).read_bytes(), type=beside.Serving)
    except (OSError, msgspec.MsgspecError):
        return None
    parts = urlsplit(said.url)
    if parts.hostname not in ANYWHERE:
        return said.url
    return f"{parts.scheme}://{_own_address()}:{parts.port}"


def _own_address() -> str:
    """This machine's address in its network; nothing is sent to find it out."""
    with closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as probe:
        try:
            probe.connect(ELSEWHERE)
        except OSError:
            return socket.gethostname()
        return str(probe.getsockname()[0])


def _tell(at: Desk, code: Paired, url: str | None) -> None:
    if at.args.json:
        print_json({"code": code.code, "url": url, "until": code.until})
        return
    until = moment(code.until, at.tz, at.clock.now_ms())
    print(f"Code {access.grouped(code.code)}, good once and until {until}.")
    if url is None:
        print(wrap("No service is running here: girnel serve, then join at its address.", "  "))
        return
    print(f"On the new device: girnel join {url} {code.code}")
    if sys.stdout.isatty():
        print(picture(f"{url}/#code={code.code}"))


def picture(text: str) -> str:
    """A QR code of a text, two rows of it in a line, with the quiet border that readers want."""
    import segno

    rows = [list(row) for row in segno.make_qr(text, error="m").matrix_iter(border=4)]
    if len(rows) % 2:
        rows.append([0] * len(rows[0]))
    lines = []
    for upper, lower in zip(rows[::2], rows[1::2], strict=True):
        line = "".join(BLOCKS[bool(u), bool(low)] for u, low in zip(upper, lower, strict=True))
        lines.append(f"{LIGHT}{DARK}{line}\x1b[0m" if coloured() else line.translate(INSIDE_OUT))
    return "\n".join(lines)


BLOCKS = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
"""What is drawn of an upper and a lower square, dark or not."""

INSIDE_OUT = str.maketrans(" ▀▄█", "█▄▀ ")
"""Without colours the light squares are drawn: most terminals are dark, and readers take both."""
