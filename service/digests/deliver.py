"""Mail handed over to a server, one message at a time, and what it answered.

Rule: an answer says what is known, no more. Where the line broke after the message had been begun,
nobody knows whether the server has it, and that is an answer of its own. The password is used here
and shown nowhere.
"""

import ssl
from collections.abc import Awaitable, Callable
from typing import Literal, NamedTuple, Protocol, TypeAlias

import aiosmtplib

from service.settings import Mail
from service.storage.letters import Letter

Kind: TypeAlias = Literal["taken", "refused", "later", "unknown", "unreached"]

COMMAND_S = 60.0
DATA_S = 600.0
"""Seconds to wait for the answer to a message: RFC 5321, 4.5.3.2.6 asks for ten minutes, for who
gives up earlier sends twice."""

MOST = 300
"""Signs of an answer that are kept."""


class Answer(NamedTuple):
    """What came of handing a message over.

    taken: the server has it. refused: it will not, for this reader. later: not now, for this
    reader. unknown: it may have it. unreached: nothing to do with this reader, none can go out now.
    """

    kind: Kind
    said: str


class Door(Protocol):
    """Where mail goes out."""

    async def hand_over(self, letter: Letter, begin: Callable[[], Awaitable[None]]) -> Answer:
        """Hand a letter over; `begin` is awaited before its first byte goes out."""
        ...

    async def close(self) -> None: ...


class Smtp:
    """A mail server, reached when the first message goes out."""

    def __init__(self, mail: Mail, *, command_s: float = COMMAND_S, data_s: float = DATA_S) -> None:
        self._mail = mail
        self._data_s = data_s
        self._client = aiosmtplib.SMTP(
            hostname=mail.host,
            port=mail.port,
            username=mail.login,
            password=None if mail.password is None else mail.password.said(),
            use_tls=mail.security == "tls",
            start_tls=mail.security == "starttls",
            tls_context=_context(mail),
            timeout=command_s,
        )

    async def close(self) -> None:
        """Say goodbye where there is a line; what was taken stays taken."""
        if self._client.is_connected:
            try:
                await self._client.quit()
            except (aiosmtplib.SMTPException, OSError):
                self._client.close()

    async def hand_over(self, letter: Letter, begin: Callable[[], Awaitable[None]]) -> Answer:
        if letter.message is None:
            return Answer("refused", "there is no message to be sent")
        try:
            if not self._client.is_connected:
                await self._client.connect()
            await self._client.mail(self._mail.sender)
        except (aiosmtplib.SMTPException, OSError, ValueError) as wrong:
            self._client.close()
            return Answer("unreached", self._said(wrong))
        try:
            await self._client.rcpt(letter.address)
        except aiosmtplib.SMTPResponseException as wrong:
            return await self._turned_away(wrong)
        except (aiosmtplib.SMTPException, OSError, ValueError) as wrong:
            self._client.close()
            return Answer("unreached", self._said(wrong))
        await begin()
        try:
            answer = await self._client.data(letter.message, timeout=self._data_s)
        except aiosmtplib.SMTPResponseException as wrong:
            return await self._turned_away(wrong)
        except (aiosmtplib.SMTPException, OSError) as wrong:
            self._client.close()
            return Answer("unknown", self._said(wrong))
        return Answer("taken", self._clean(f"{answer.code} {answer.message}"))

    async def _turned_away(self, wrong: aiosmtplib.SMTPResponseException) -> Answer:
        """The server's no: for good (5yz) or for now; the line is kept for the next reader."""
        try:
            await self._client.rset()
        except (aiosmtplib.SMTPException, OSError):
            self._client.close()
        return Answer("refused" if wrong.code >= 500 else "later", self._said(wrong))

    def _said(self, wrong: BaseException) -> str:
        if isinstance(wrong, aiosmtplib.SMTPResponseException):
            return self._clean(f"{wrong.code} {wrong.message}")
        said = str(wrong) or type(wrong).__name__
        return self._clean(f"{self._mail.host}:{self._mail.port}: {said}")

    def _clean(self, said: str) -> str:
        text = " ".join(said.split())
        if self._mail.password is not None:
            text = text.replace(self._mail.password.said(), repr(self._mail.password))
        return text[:MOST]


def _context(mail: Mail) -> ssl.SSLContext | None:
    if mail.security == "none":
        return None
    return ssl.create_default_context(cafile=mail.authority)
