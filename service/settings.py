"""What can be set from outside, as one frozen value, read once from the environment.

It is not the household's set-up (stores, foods, members): that is in the log. Rule: a field says
why it is there; what nobody has a reason to change is a constant where it is used.
"""

import os
import sys
from collections.abc import Mapping
from pathlib import Path

from msgspec import Struct

from service import clock as clocks
from service.errors import WrongUse


class Settings(Struct, frozen=True, kw_only=True):
    """How this program was started."""

    home: Path
    """where the household's log is kept: a household may have several, and a test has its own"""
    by: str | None = None
    """who does the deeds, where the command does not say: a console in the kitchen is the cook's"""
    now_ms: int | None = None
    """a clock that stands still, Unix milliseconds: a demo shows one certain week"""

    def clock(self) -> clocks.Clock:
        return clocks.System() if self.now_ms is None else clocks.Fixed(self.now_ms)


def read(home: str | None = None, environ: Mapping[str, str] = os.environ) -> Settings:
    """`home`: as typed on the command line. Raises WrongUse with one sentence.

    GIRNEL_HOME  the data directory, where --home does not name one
    GIRNEL_BY    the member who does the deeds, where --by does not name one
    GIRNEL_NOW   a moment with its offset, for a clock that stands still
    """
    now = environ.get("GIRNEL_NOW")
    return Settings(
        home=_home(home, environ),
        by=environ.get("GIRNEL_BY") or None,
        now_ms=clocks.moment(now) if now else None,
    )


def home(typed: str | None = None) -> Path:
    """The data directory: as typed, else GIRNEL_HOME, else this user's own."""
    return read(typed).home


def clock() -> clocks.Clock:
    """The machine's clock, or the one that GIRNEL_NOW sets."""
    return read().clock()


def _home(typed: str | None, environ: Mapping[str, str]) -> Path:
    named = typed if typed is not None else environ.get("GIRNEL_HOME") or None
    if named is None:
        return default_home(environ, sys.platform)
    if not named.strip() or "\0" in named:
        raise WrongUse("The data directory has no name; write --home DIR.")
    return Path(named).expanduser().absolute()


def default_home(environ: Mapping[str, str], platform: str) -> Path:
    """Where this kind of machine keeps a user's data; the XDG base directories on most."""
    if platform == "win32":
        base = Path(environ.get("LOCALAPPDATA") or "~/AppData/Local")
    elif platform == "darwin":
        base = Path("~/Library/Application Support")
    else:
        base = Path(environ.get("XDG_DATA_HOME") or "~/.local/share")
        if not base.is_absolute() and base.parts[0] != "~":
            base = Path("~/.local/share")  # the base directories say: a relative path is ignored
    return base.expanduser().absolute() / "girnel"
