"""The doctor: looks at a home and its log, and says plainly what it finds.

It mends nothing and writes no record. Each thing looked at is well, noted (known, and held in
check), or something to look at; the exit code is 1 where there is any of the last.
"""

import shutil
from argparse import Namespace
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Literal, TypeAlias

from msgspec import Struct

from events import codec
from events.book import Book
from events.record import Entry, Unread, UnreadEntry
from service import assemble
from service.clock import instant
from service.console.commands import Commands, command
from service.console.desk import Desk, desk, started
from service.console.words import bold, listed, print_json, wrap
from service.errors import HomeUnwritable, NoHome, StoreError, WrongUse
from service.storage import lock, soundness
from service.storage.store import Row

State: TypeAlias = Literal["well", "noted", "look"]

PAGE = 5000
"""Records read at a time."""

LEEWAY_MS = 10 * 60_000
"""How far clocks may differ by themselves."""

ROOM = 100 * 2**20
"""Bytes that should be free at the least, or thrice the log's own: our own rule, no source."""

NAMED = 5
"""So many of a kind are named; the rest are counted."""


class Check(Struct, frozen=True):
    """One thing that was looked at."""

    what: str
    state: State
    says: str


def add(commands: Commands) -> None:
    parser = command(commands, "doctor", doctor, "is this home well? its file, log, clock and room")
    parser.add_argument("--json", action="store_true", help="as JSON")


async def doctor(args: Namespace) -> int:
    home = started(args).home
    checks = await _looked_at(args, home)
    wrong = [check for check in checks if check.state == "look"]
    if args.json:
        told = [{"what": c.what, "state": c.state, "says": c.says} for c in checks]
        print_json({"content": not wrong, "home": str(home), "checks": told})
        return 1 if wrong else 0
    for check in checks:
        what = check.what[:1].upper() + check.what[1:]
        head = f"Look at {check.what}" if check.state == "look" else what
        print(wrap(f"{bold(head)}: {check.says}", "  "))
    if wrong:
        print(wrap(f"To look at: {listed(check.what for check in wrong)}."))
    else:
        print("All is well.")
    return 1 if wrong else 0


async def _looked_at(args: Namespace, home: Path) -> list[Check]:
    path = home / assemble.LOG
    checks = []
    try:
        async with desk(args, writing=False) as at:
            checks += await of_log(at)
    except NoHome:
        raise
    except (StoreError, HomeUnwritable) as wrong:
        checks.append(Check("the log", "look", wrong.sentence))
    return [_file(path), *checks, _lock(path), _room(home, path), _sqlite(soundness.version())]


# -- the home ------------------------------------------------------------------------------------


def _file(path: Path) -> Check:
    wrong = soundness.faults(path)
    if wrong:
        return Check(
            "the file", "look", f"{path} is damaged: {_some(wrong)}. Put back a copy of it."
        )
    return Check("the file", "well", f"{path} is sound, {_size(path.stat().st_size)}.")


def _lock(path: Path) -> Check:
    file = path.with_suffix(".lock")
    try:
        taken = lock.take(file)
    except HomeUnwritable as wrong:
        return Check("the lock", "look", wrong.sentence)
    if taken is None:
        return Check("the lock", "noted", f"{lock.holder(file)} is writing there just now.")
    taken.release()
    return Check("the lock", "well", "nobody else is writing there.")


def _room(home: Path, path: Path) -> Check:
    free, need = shutil.disk_usage(home).free, max(ROOM, 3 * path.stat().st_size)
    if free < need:
        says = (
            f"{_size(free)} are free, {_size(need)} should be: make room before the disk is full."
        )
        return Check("room", "look", says)
    return Check("room", "well", f"{_size(free)} are free.")


def _sqlite(version: soundness.Version) -> Check:
    number = ".".join(map(str, version))
    if not soundness.may_reset_wal(version):
        return Check(
            "SQLite", "well", f"version {number}, which has no known fault that bears on a log."
        )
    first, last = (".".join(map(str, end)) for end in soundness.WAL_RESET)
    says = (
        f"version {number}. Versions {first} to {last} may damage a file that two connections write or"
        " checkpoint at the same moment (the WAL-reset bug). Here only one process at a time writes,"
        " through one connection, and it holds the lock; do not write to the file with another"
        " program."
    )
    return Check("SQLite", "noted", says)


# -- the log -------------------------------------------------------------------------------------


async def of_log(at: Desk) -> list[Check]:
    """What can be said of a log that can be read."""
    return [
        _entries(at),
        await _books(at),
        _unread(at.book),
        _aside(at),
        _gaps(at.book),
        _clock(at),
    ]


def _entries(at: Desk) -> Check:
    count, devices = at.book.size, at.book.thin.heard.devices
    return Check(
        "the log", "well", f"{count} records in a row, written by {_many(len(devices), 'device')}."
    )


async def _books(at: Desk) -> Check:
    """The log read from disk once more and folded backwards."""
    entries: list[Entry | UnreadEntry] = []
    position = 0
    while rows := await at.ledger.page(position, PAGE):
        position = rows[-1].position
        entries += [_entry(row) for row in rows]
    other = Book()
    other.twins.update(at.book.twins)
    other.add(reversed(entries))
    told = at.book.state_hash()
    if other.state_hash() != told:
        says = "read twice, forwards and backwards, the log came to two different books. Please report it."
        return Check("the book", "look", says)
    return Check(
        "the book", "well", f"folded twice, forwards and backwards, it is the same ({told[:12]})."
    )


def _entry(row: Row) -> Entry | UnreadEntry:
    record = codec.decode(row.content)
    position, received, sent_by = row.position, row.received, row.sent_by
    if isinstance(record, Unread):
        return UnreadEntry(position=position, received=received, sent_by=sent_by, unread=record)
    return Entry(position=position, received=received, sent_by=sent_by, record=record)


def _unread(book: Book) -> Check:
    kinds = Counter(f"{e.unread.kind}, version {e.unread.version}" for e in book.unread.values())
    if not kinds:
        return Check("unread records", "well", "none.")
    said = _some([f"{kind} ({number})" for kind, number in sorted(kinds.items())])
    says = (
        f"{_many(len(book.unread), 'record')} of a kind or version that this program does not know, kept"
        f" as they are: {said}. A newer program reads them."
    )
    return Check("unread records", "look", says)


def _aside(at: Desk) -> Check:
    names = [f"{aside.device}:{aside.seq}" for aside in at.ledger.set_aside]
    if not names:
        return Check("what was set aside", "well", "nothing.")
    says = (
        f"{_many(len(names), 'content')} came under a name that has another: {_some(names)}. The device was"
        " set back from a copy, and has to be named anew."
    )
    return Check("what was set aside", "look", says)


def _gaps(book: Book) -> Check:
    """What devices have logged that was never heard here."""
    missing = []
    for device, counter in sorted(book.thin.heard.devices.items()):
        for first, last in sorted(counter.missing):
            missing.append(f"{device}:{first}" + (f" to {last}" if last > first else ""))
    if not missing:
        return Check("gaps", "well", "none: every device's records are here up to its last.")
    says = f"not heard yet: {_some(missing)}. They come when that device is heard again."
    return Check("gaps", "look", says)


def _clock(at: Desk) -> Check:
    now = at.clock.now_ms()
    try:
        told = instant(now, at.clock.offset(now, at.zone))
    except WrongUse as wrong:
        return Check("the clock", "look", wrong.sentence)
    last = at.book.thin.received
    if last > now + LEEWAY_MS:
        heard = instant(last, at.clock.offset(last, at.zone))
        says = f"it says {told}, and the last record was heard at {heard}: set this machine's clock right."
        return Check("the clock", "look", says)
    off = sum(concern.kind == "clock-off" for concern in at.book.concerns())
    if off:
        says = f"it says {told}. {_many(off, 'record')} came from a clock that was off; what it said was redated."
        return Check("the clock", "noted", says)
    if at.started.now_ms is not None:
        return Check("the clock", "noted", f"it stands still at {told} (GIRNEL_NOW).")
    return Check("the clock", "well", f"it says {told}, and no record is from later.")


# -- in words ------------------------------------------------------------------------------------


def _some(things: Sequence[str]) -> str:
    """The first few, and how many more there are."""
    more = len(things) - NAMED
    return listed([*things[:NAMED], f"{more} more"] if more > 0 else things)


def _many(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def _size(size: int) -> str:
    """Bytes in words, by thousands."""
    for unit in ("bytes", "kB", "MB", "GB"):
        if size < 10_000:
            return f"{size} {unit}"
        size //= 1000
    return f"{size} TB"
