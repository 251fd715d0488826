"""A mail server for tests, on a free port of this machine: it says what a test tells it to say.

It runs in the test's own loop. What it took is kept as the bytes that came, with the reader's
address, so that the standard library can read the message as a mailbox would.
"""

import asyncio
import ssl
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default
from typing import Any

from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword

from service.settings import Mail, Secret


class Taken:
    """What a server took."""

    def __init__(self, to: str, content: bytes) -> None:
        self.to = to
        self.content = content
        read = message_from_bytes(content, policy=default)
        assert isinstance(read, EmailMessage)
        self.message = read

    @property
    def name(self) -> str:
        return str(self.message["Message-ID"])

    def part(self, kind: str) -> str:
        """The text of a part: plain or html."""
        found = self.message.get_body((kind,))
        assert found is not None
        text = found.get_content()
        assert isinstance(text, str)
        return text.replace("\r\n", "\n")


class Server:
    """A server's answers, and what it took."""

    def __init__(self) -> None:
        self.taken: list[Taken] = []
        self.rcpt: Callable[[str], str | None] = lambda _: None
        """the answer to a reader's address; None: 250"""
        self.data: Callable[[], str | None] = lambda: None
        """the answer instead of taking a message; None: it is taken"""
        self.before_answer: Callable[[], Awaitable[None]] | None = None
        """awaited when a message was taken and nobody was told yet"""
        self.login: tuple[str, str] | None = None
        self.asked: list[str] = []
        self.port = 0

    def mail(self, **facts: Any) -> Mail:
        """The settings that lead here."""
        password = facts.pop("password", None)
        return Mail(host="127.0.0.1", port=self.port, security=facts.pop("security", "none"),
                    sender="larder@example.org",
                    password=None if password is None else Secret(password), **facts)  # fmt: skip

    def names(self) -> list[str]:
        """The Message-IDs that a mailbox would show: each once."""
        return sorted({one.name for one in self.taken})

    # -- what aiosmtpd asks ------------------------------------------------------------------------

    async def handle_RCPT(  # noqa: N802
        self, server: SMTP, talk: Any, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        self.asked.append(address)
        answer = self.rcpt(address)
        if answer is None:
            envelope.rcpt_tos.append(address)
        return answer or "250 OK"

    async def handle_DATA(self, server: SMTP, talk: Any, envelope: Envelope) -> str:  # noqa: N802
        answer = self.data()
        if answer is not None:
            return answer
        assert isinstance(envelope.content, bytes)
        self.taken += [Taken(to, envelope.content) for to in envelope.rcpt_tos]
        if self.before_answer is not None:
            await self.before_answer()
        return "250 taken"

    def authenticator(
        self, server: SMTP, talk: Any, envelope: Envelope, mechanism: str, data: Any
    ) -> AuthResult:
        assert isinstance(data, LoginPassword)
        said = (data.login.decode(), data.password.decode())
        return AuthResult(success=said == self.login, handled=False)


@asynccontextmanager
async def post_office(
    login: tuple[str, str] | None = None, tls: ssl.SSLContext | None = None, **ways: Any
) -> AsyncIterator[Server]:
    """A server, until the block ends. `ways`: how aiosmtpd is to behave (tls_context, …)."""
    server = Server()
    server.login = login
    if login is not None:
        ways |= {"authenticator": server.authenticator, "auth_required": True}
        ways.setdefault("auth_require_tls", False)
    loop = asyncio.get_running_loop()
    lines: list[SMTP] = []

    def line() -> SMTP:
        lines.append(SMTP(server, hostname="post.example.org", loop=loop, **ways))
        return lines[-1]

    running = await loop.create_server(line, "127.0.0.1", 0, ssl=tls)
    server.port = running.sockets[0].getsockname()[1]
    try:
        yield server
    finally:
        running.close()
        await running.wait_closed()
        for one in lines:
            if isinstance(one.transport, asyncio.WriteTransport):
                one.transport.abort()
        await asyncio.sleep(0)
