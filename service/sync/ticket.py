"""What a home keeps of how it was paired: the service's address and the token, for its owner alone.

It lies beside the log and not in it, so that a copy of the log lets nobody in. Rule: the file is
whole or not there, and nobody else may read it; what is in it stands in no error.
"""

import os
from pathlib import Path

import msgspec

from service.drafts import Household
from service.errors import HomeUnwritable, WrongUse
from service.sync.pairing import Joined

FILE = "replica.json"
"""The file in a home that holds it."""


class Ticket(msgspec.Struct, frozen=True, kw_only=True):
    """A home's pairing. `url`: where the service is; `ca`: a file with the certificate it trusts."""

    url: str
    joined: Joined
    ca: str | None = None

    @property
    def household(self) -> Household:
        """Whose log it is, and the name that this home writes under."""
        one = self.joined
        return Household(
            id=one.household, name=one.household_name, timezone=one.timezone, device=one.device
        )

    def meta(self) -> dict[str, str]:
        """What the log's file should know of it: all but the token."""
        return {
            **self.household.meta(),
            "service": self.url,
            "log": self.joined.log,
            "epoch": str(self.joined.epoch),
            "role": self.joined.role,
            "shut": READS if self.joined.role == "reader" else "",
        }


READS = "This device reads and logs nothing (its role is reader); a keeper can pair it anew."


def kept(home: Path) -> bool:
    """Whether a home was paired: it is a replica."""
    return (home / FILE).is_file()


def read(home: Path) -> Ticket:
    """WrongUse where there is none, or none that can be read."""
    path = home / FILE
    try:
        return msgspec.json.decode(path.read_bytes(), type=Ticket)
    except FileNotFoundError:
        raise WrongUse(
            f"{home} keeps its own log and follows no service; girnel join URL CODE makes a replica."
        ) from None
    except (OSError, msgspec.MsgspecError, UnicodeError):
        raise WrongUse(
            f"{path} cannot be read: pair this home anew (girnel join URL CODE); its records stay."
        ) from None


def write(home: Path, ticket: Ticket) -> None:
    """Put it down, on disk, before anything relies on it."""
    path = home / FILE
    passing = path.with_suffix(".new")
    try:
        passing.unlink(missing_ok=True)
        with os.fdopen(os.open(passing, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(msgspec.json.encode(ticket))
            file.flush()
            os.fsync(file.fileno())
        passing.replace(path)
    except OSError as wrong:
        raise HomeUnwritable(f"{path} cannot be written ({wrong.strerror}).") from None
