"""A digest or a note as a mail: headers, a plain part and an HTML part, to the byte.

Pure. Rule: the same household, reader and period always give the same Message-ID, so that a message
sent again is the same message to a mailbox. Nothing is fetched from elsewhere when it is read.
"""

import hmac
from datetime import UTC, datetime
from email.headerregistry import Address, HeaderRegistry, UnstructuredHeader
from email.message import EmailMessage
from email.policy import SMTP, Policy
from hashlib import sha256
from textwrap import wrap
from typing import NamedTuple
from urllib.parse import quote
from zoneinfo import ZoneInfo

from service.digests import html, render
from service.digests.digest import Digest
from service.digests.readers import Reader
from service.digests.urgent import Note
from service.settings import Mail

ONE_CLICK = "/v1/no-more/"
"""Where a reader's mail program says "no more" (RFC 8058), under the household's own https address."""


class _Links(UnstructuredHeader):
    """List-Unsubscribe, an address a line: cut or encoded, as long words of a header are else, no mail
    program would find it (RFC 2369, 2).
    """

    name: str

    def fold(self, *, policy: Policy) -> str:
        links = str(self).replace(", ", f",{policy.linesep} ")
        return f"{self.name}: {links}{policy.linesep}"


HEADERS = HeaderRegistry()
HEADERS.map_to_type("list-unsubscribe", _Links)  # type: ignore[arg-type]  # as its documents say

POLICY = SMTP.clone(max_line_length=76, header_factory=HEADERS)
"""RFC 2045: an encoded line has 76 signs at the most; headers keep to that too."""

MOST = 30
"""Signs of a name in a header: a longer one has to be cut into pieces, which not every program joins."""


class From(NamedTuple):
    """Whose mail it is, and how a reader says "no more"."""

    household: str
    """its id"""
    name: str
    timezone: str
    mail: Mail
    secret: str
    """of this household alone: a reader's "no more" cannot be made up by others"""


def message_id(household: str, reader: str, period: str) -> str:
    """The name of a reader's message of a period, the same on every machine and every try."""
    named = "\n".join((household, reader, period))
    return f"<{sha256(named.encode()).hexdigest()[:40]}@girnel.invalid>"


def no_more(secret: str, reader: str) -> str:
    """The part of an address that says "no more" for one reader, and that nobody can guess."""
    return hmac.new(secret.encode(), reader.encode(), sha256).hexdigest()[:32]


def of_digest(digest: Digest, reader: Reader, sender: From, period: str, now_ms: int) -> bytes:
    """A reader's digest of a week."""
    foot = _foot(reader, sender)
    plain = render.text(digest) + _plain(foot)
    return _bytes(digest.title, plain, html.page(digest, foot), reader, sender, period, now_ms)


def of_note(note: Note, reader: Reader, sender: From, period: str, now_ms: int) -> bytes:
    """A note of one thing that cannot wait."""
    foot = _foot(reader, sender)
    said = "\n".join(line for one in note.lines for line in wrap(one, render.WIDTH))
    title = f"{sender.name}: {note.title}"
    page = html.note(title, note.lines, foot)
    return _bytes(title, f"{said}\n{_plain(foot)}", page, reader, sender, period, now_ms)


def of_trial(reader: Reader, sender: From, now_ms: int) -> bytes:
    """A message that proves the settings."""
    title = f"{sender.name}: mail arrives"
    lines = ("This is a trial. Digests will come from this address, once a week.",)
    plain = f"{lines[0]}\n"
    page = html.note(title, lines)
    return _bytes(title, plain, page, reader, sender, f"trial {now_ms}", now_ms, stop=False)


def _foot(reader: Reader, sender: From) -> tuple[str, ...]:
    end = f"girnel member set {_typed(reader.name)} digest=none"
    said = f"To {reader.name} of {sender.name}, who chose it. No more of it: answer this, and"
    return (f"{said} whoever keeps the log ends it; or say {end}.",)


def _typed(name: str) -> str:
    return f'"{name}"' if " " in name else name


def _plain(foot: tuple[str, ...]) -> str:
    return "\n" + "\n".join(line for one in foot for line in wrap(one, render.WIDTH)) + "\n"


def _bytes(
    title: str,
    plain: str,
    page: str,
    reader: Reader,
    sender: From,
    period: str,
    now_ms: int,
    *,
    stop: bool = True,
) -> bytes:
    """`stop`: with the headers by which a mail program ends it; one trial is no list of mail."""
    mail = EmailMessage(policy=POLICY)
    mail["Subject"] = " ".join(title.split())
    mail["From"] = Address(display_name=sender.name[:MOST], addr_spec=sender.mail.sender)
    mail["To"] = Address(display_name=reader.name[:MOST], addr_spec=reader.address)
    moment = datetime.fromtimestamp(now_ms // 1000, UTC).astimezone(ZoneInfo(sender.timezone))
    mail["Date"] = moment
    mail["Message-ID"] = message_id(sender.household, reader.name, period)
    mail["Auto-Submitted"] = "auto-generated"
    if stop:
        _stopped_by(mail, reader, sender)
    mail.set_content(plain, cte="quoted-printable")
    mail.add_alternative(page, subtype="html", cte="quoted-printable")
    _bounded(mail, mail["Message-ID"])
    return mail.as_bytes()


def _stopped_by(mail: EmailMessage, reader: Reader, sender: From) -> None:
    """How a reader's mail program ends it: by mail, and by one press where the world can reach us."""
    by_mail = f"<mailto:{sender.mail.sender}?subject={quote(f'no more: {reader.name[:MOST]}')}>"
    if sender.mail.public is None:
        mail["List-Unsubscribe"] = by_mail
    else:
        press = f"{sender.mail.public}{ONE_CLICK}{no_more(sender.secret, reader.name)}"
        mail["List-Unsubscribe"] = f"<{press}>, {by_mail}"
        mail["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"


def _bounded(mail: EmailMessage, named: str) -> None:
    """A boundary from its name: no two tries of a message differ, and no chance is drawn."""
    mail.set_boundary(f"=_{sha256(str(named).encode()).hexdigest()[:32]}")
