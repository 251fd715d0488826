"""What can be set from outside, as one frozen value, read once from the environment.

It is not the household's set-up (stores, foods, members): that is in the log. Rule: a field says
why it is there; what nobody has a reason to change is a constant where it is used.
"""

import os
import re
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Literal, TypeAlias, get_args

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


class Secret:
    """A text that is never shown, however it comes to be printed."""

    def __init__(self, text: str) -> None:
        self._text = text

    def said(self) -> str:
        """The text itself."""
        return self._text

    def __repr__(self) -> str:  # type: ignore[explicit-override]
        return "(not shown)"


Security: TypeAlias = Literal["starttls", "tls", "none"]


class Mail(Struct, frozen=True, kw_only=True):
    """The server that mail goes out by, and as whom."""

    host: str
    port: int
    security: Security
    """how the line is made private: only a server on this machine may do without"""
    sender: str
    """the address that mail comes from, and that a reader's "no more" goes to"""
    login: str | None = None
    password: Secret | None = None
    authority: str | None = None
    """a file of certificates to trust: a house's own server has none that the world knows"""
    public: str | None = None
    """the address under which the world reaches this household's service, https only: a reader's
    mail program can then stop the digest with one press"""


ADDRESS = re.compile(
    r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@[A-Za-z0-9-]{1,63}(\.[A-Za-z0-9-]{1,63})*"
)
PUBLIC = re.compile(r"https://[A-Za-z0-9.-]{1,253}(:[0-9]{1,5})?(/[A-Za-z0-9._~/-]{0,200})?")
HERE = {"localhost", "127.0.0.1", "::1"}


def mail(environ: Mapping[str, str] = os.environ) -> Mail | None:
    """How mail goes out; None where no server is set. Raises WrongUse with one sentence.

    GIRNEL_MAIL_SERVER    host:port, like mail.example.org:587
    GIRNEL_MAIL_FROM      the address that mail comes from
    GIRNEL_MAIL_LOGIN     the name to log in with, where the server wants one
    GIRNEL_MAIL_PASSWORD  its password; it is never shown
    GIRNEL_MAIL_SECURITY  starttls (usual), tls (usual on port 465), none (this machine only)
    GIRNEL_MAIL_CA        a file of certificates to trust
    GIRNEL_PUBLIC_URL     the https address of this household's service (see `public`)
    """
    server = environ.get("GIRNEL_MAIL_SERVER", "").strip()
    if not server:
        return None
    host, colon, port = server.rpartition(":")
    if not colon or not port.isdecimal() or not 0 < int(port) < 65536 or not host.strip("[]"):
        raise WrongUse(f'GIRNEL_MAIL_SERVER "{server}" is no server: write it like host:587.')
    sender = environ.get("GIRNEL_MAIL_FROM", "").strip()
    if not ADDRESS.fullmatch(sender):
        raise WrongUse(f'GIRNEL_MAIL_FROM "{sender}" is no address: write it like name@host.')
    usual = "tls" if port == "465" else "starttls"
    security = environ.get("GIRNEL_MAIL_SECURITY", "").strip().casefold() or usual
    host = host.strip("[]")
    if security not in get_args(Security) or (security == "none" and host not in HERE):
        raise WrongUse(
            f'GIRNEL_MAIL_SECURITY "{security}" will not do for {host}: write starttls or tls.'
        )
    password = environ.get("GIRNEL_MAIL_PASSWORD")
    return Mail(
        host=host, port=int(port), security=security,  # type: ignore[arg-type]
        sender=sender, login=environ.get("GIRNEL_MAIL_LOGIN") or None,
        password=Secret(password) if password else None,
        authority=environ.get("GIRNEL_MAIL_CA") or None,
        public=public(environ),
    )  # fmt: skip


def public(environ: Mapping[str, str] = os.environ) -> str | None:
    """GIRNEL_PUBLIC_URL: the https address under which the world reaches this household's service.

    Raises WrongUse where it is none.
    """
    said = environ.get("GIRNEL_PUBLIC_URL", "").strip().rstrip("/") or None
    if said is not None and not PUBLIC.fullmatch(said):
        raise WrongUse(
            f'GIRNEL_PUBLIC_URL "{said}" will not do: write it like https://larder.example.org.'
        )
    return said


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
