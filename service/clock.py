"""Now, the offset of a timezone, and names that nobody else has: the only clock and chance here.

Everything else is handed one of these, so that a test or a demo can stand in its own. Rule: no
other file reads a clock or draws a random number (the linter holds it).
"""

import secrets
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from itertools import count
from typing import Protocol
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from service.errors import WrongUse

CROCKFORD = "0123456789abcdefghjkmnpqrstvwxyz"
"""Base 32 without the letters that are taken for others (Crockford), in lower case."""

LATEST_MS = 253_402_214_400_000
"""The last day of the year 9999, where calendars here end."""


class Clock(Protocol):
    """What time it is."""

    def now_ms(self) -> int:
        """Unix milliseconds."""
        ...

    def offset(self, ms: int, timezone: str) -> int:
        """Minutes east of UTC in that timezone at that moment. WrongUse if it is not known."""
        ...


class Ids(Protocol):
    """Names that nobody else has."""

    def device(self) -> str: ...

    def household(self) -> str: ...


class Secrets(Ids, Protocol):
    """Names, and what nobody can guess."""

    def token(self) -> str:
        """What a device shows to be let in: 256 bits nobody can guess."""
        ...

    def code(self) -> str:
        """What a person types to pair a device: eight signs that are not taken for others."""
        ...

    def fraction(self) -> float:
        """From 0 up to 1, so that devices do not all try again at one moment."""
        ...


class System:
    """The machine's own clock."""

    def now_ms(self) -> int:
        return time.time_ns() // 1_000_000

    def offset(self, ms: int, timezone: str) -> int:
        return offset(ms, timezone)


class Fixed:
    """A clock that stands still, for tests and for a demo of a certain week."""

    def __init__(self, ms: int) -> None:
        self.ms = ms

    def now_ms(self) -> int:
        return self.ms

    def offset(self, ms: int, timezone: str) -> int:
        return offset(ms, timezone)


class RandomIds:
    """40 bits for a device (a household has a few), 80 for a household (the world has many)."""

    def device(self) -> str:
        return "".join(secrets.choice(CROCKFORD) for _ in range(8))

    def household(self) -> str:
        return "".join(secrets.choice(CROCKFORD) for _ in range(16))

    def token(self) -> str:
        return secrets.token_urlsafe(32)

    def code(self) -> str:
        return "".join(secrets.choice(CROCKFORD) for _ in range(8)).upper()

    def fraction(self) -> float:
        return secrets.randbelow(2**32) / 2**32


class CountedIds:
    """Names in a row, for tests and for a demo that comes out the same each time."""

    def __init__(self) -> None:
        self._numbers: Iterator[int] = count(1)

    def device(self) -> str:
        return f"device{next(self._numbers):02d}"

    def household(self) -> str:
        return f"household{next(self._numbers):02d}"

    def token(self) -> str:
        return f"token{next(self._numbers):02d}"

    def code(self) -> str:
        return f"C0DE{next(self._numbers):04d}"

    def fraction(self) -> float:
        return 0.5


def zone(timezone: str) -> ZoneInfo:
    """A timezone by its name in the tz database."""
    try:
        return ZoneInfo(timezone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise WrongUse(
            f'The timezone "{timezone}" is not known; write it like Europe/London or America/Denver.'
        ) from None


def offset(ms: int, timezone: str) -> int:
    """Minutes east of UTC at that moment (Unix milliseconds). WrongUse if it is not known."""
    there = zone(timezone)
    east = datetime.fromtimestamp(_kept(ms) / 1000, UTC).astimezone(there).utcoffset()
    return int(east.total_seconds() // 60) if east is not None else 0


def instant(ms: int, minutes_east: int) -> str:
    """A moment in EDTF, to the second, with its offset: 2026-08-14T18:04:31-07:00."""
    there = timezone(timedelta(minutes=minutes_east))
    moment = datetime.fromtimestamp(_kept(ms) // 1000, UTC).astimezone(there)
    return moment.isoformat(timespec="seconds")


def moment(typed: str) -> int:
    """Unix milliseconds of an instant with its offset. WrongUse if it is none."""
    try:
        read = datetime.fromisoformat(typed)
    except ValueError:
        read = None
    if read is None or read.tzinfo is None:
        raise WrongUse(
            f'"{typed}" is not a moment with its offset; write it like 2026-11-22T08:00:00+00:00.'
        )
    return int(read.timestamp() * 1000)


def _kept(ms: int) -> int:
    """Within what calendars here can show: a device's clock may say anything."""
    return min(max(ms, 0), LATEST_MS)
