"""Keeping: the whole log as lines of JSON, to read elsewhere or to put by.

One line a record, in the log's order: its position, when it was heard and from whom, and the
record byte for byte as it is kept, also what this program cannot read of it.
"""

import sys
from argparse import Namespace
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

from service.console.commands import Commands, command
from service.console.desk import Desk, desk
from service.errors import WrongUse
from service.storage.store import Row

PAGE = 1000
"""Records read at a time."""


def add(commands: Commands) -> None:
    parser = command(commands, "export", export, "the whole log as JSON lines")
    parser.add_argument("--to", metavar="FILE", help="write to a new file; else to the console")


async def export(args: Namespace) -> int:
    async with desk(args, writing=False) as at:
        if args.to is None:
            sys.stdout.flush()
            await _write(at, sys.stdout.buffer)
            return 0
        path, file = _new_file(args.to)
        with file:
            count = await _write(at, file)
        print(f"{count} records written to {path}.")
    return 0


def _new_file(typed: str) -> tuple[Path, BinaryIO]:
    """A new file to write to; an old one is never written over."""
    if not typed.strip() or "\0" in typed:
        raise WrongUse("--to names no file: write the name of a new one.")
    path = Path(typed).expanduser()
    try:
        return path, path.open("xb")
    except FileExistsError:
        raise WrongUse(f"{path} is there already: name a new file.") from None
    except OSError as wrong:
        raise WrongUse(f"{path} cannot be written ({wrong.strerror}): name another.") from None


async def _write(at: Desk, file: BinaryIO) -> int:
    position = 0
    while rows := await at.ledger.page(position, PAGE):
        file.writelines(lines(rows))
        position = rows[-1].position
    file.flush()
    return position


def lines(rows: Iterable[Row]) -> Iterator[bytes]:
    """A line for each record, by position."""
    for row in rows:
        head = b'{"position":%d,"received":%d,"record":' % (row.position, row.received)
        yield head + row.content + b',"sent_by":"' + row.sent_by.encode() + b'"}\n'
