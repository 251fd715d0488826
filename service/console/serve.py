"""Serve: the household's log for its other devices, until somebody ends it.

While it runs it alone writes the home; a console beside it writes through it. Nothing of HTTP is
loaded before the command is known to be meant.
"""

import asyncio
from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from service import assemble
from service.clock import RandomIds
from service.console.commands import Commands, command
from service.console.desk import started
from service.console.words import wrap
from service.errors import WrongUse
from service.sync import ticket

if TYPE_CHECKING:
    from service.http.running import Place

PORT = 8470

PLAIN = (
    "What goes over the home network is not encrypted: for that, name a certificate with --cert and "
    "--key, or stand a proxy with one before it."
)


def add(commands: Commands) -> None:
    parser = command(commands, "serve", serve, "serve the household's log to its other devices")
    parser.add_argument(
        "--host", metavar="ADDRESS", default="127.0.0.1",
        help="where to listen: this machine alone (127.0.0.1), or an address of the home network",
    )  # fmt: skip
    parser.add_argument(
        "--port", metavar="PORT", default=str(PORT), help=f"else {PORT}; 0: any free"
    )
    parser.add_argument("--cert", metavar="FILE", help="a certificate (PEM), for https")
    parser.add_argument("--key", metavar="FILE", help="the certificate's key")
    parser.epilog = "Ctrl-C ends it."
    parser.set_defaults(loop=_loop)


async def serve(args: Namespace) -> int:
    how, port, cert, key = started(args), _port(args.port), _file(args.cert), _file(args.key)
    if key is not None and cert is None:
        raise WrongUse("--key goes with --cert: name the certificate too.")
    if ticket.kept(how.home):
        raise WrongUse(f"{how.home} follows a service itself: serve the home that keeps the log.")

    from service import access, settings
    from service.http import running
    from service.http.app import make_app
    from service.http.state import Serving
    from service.jobs.household import household_jobs
    from service.jobs.timetable import timetable

    mail = settings.mail()
    place = running.Place(host=args.host, port=port, cert=cert, key=key, public=settings.public())
    running.certified(place)
    ids = RandomIds()
    clock = how.clock()
    async with assemble.open_home(how.home, clock, writing=True, wait_s=1, alone=True) as ledger:
        doors = access.at(how.home, clock, ids)
        try:
            listening = running.listen(place)
            place = msgspec.structs.replace(place, port=listening.getsockname()[1])
            serving = Serving(hosts=place.hosts, local_token=ids.token())
            app = make_app(ledger, doors, how, serving)
            async with (
                household_jobs(how.home, ledger, clock, mail, doors) as jobs,
                timetable(jobs),
            ):
                await running.run(app, place, listening, lambda: _say(ledger.household.name, place))
        finally:
            doors.close()
    return 0


def _say(name: str, place: "Place") -> None:
    print(f"{name} is served at {place.url}. Ctrl-C ends it.", flush=True)
    if place.public is not None:
        print(wrap(f"Devices are told that it is at {place.public}."), flush=True)
    if not place.loopback and place.cert is None:
        print(wrap(PLAIN), flush=True)


def _port(typed: str) -> int:
    if not (typed.isascii() and typed.isdigit() and int(typed) < 65_536):
        raise WrongUse(f'--port "{typed}" is no port: write a number from 0 to 65535.')
    return int(typed)


def _file(typed: str | None) -> Path | None:
    if typed is None:
        return None
    path = Path(typed).expanduser()
    if not path.is_file():
        raise WrongUse(f"There is no file {typed}.")
    return path


def _loop() -> asyncio.AbstractEventLoop:
    """The quick loop, where the system has it."""
    try:
        import uvloop
    except ImportError:
        return asyncio.new_event_loop()
    return uvloop.new_event_loop()
