"""The ledger of a home whose service is running, as a console beside it has it.

It reads the log for itself and hands what is to be written to the service, over a socket in the
home. It has what a desk needs of a ledger, and a deed is on disk when `write` returns, as ever.
Rule: the token in the home goes to that socket and nowhere else.
"""

import socket
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct

from events.record import Entry
from service.drafts import Draft, Receipt
from service.errors import GirnelError, HomeInUse, HomeUnwritable, StoreError, WrongUse
from service.ledger import Ledger
from service.sync.messages import MSGPACK

FILE = "serving.json"
"""The file in a home that says where its service listens, with the token for it; mode 0600."""

WAIT_S = 30.0
"""Seconds that a deed may take: the service may be taking in years of records."""


class Serving(Struct, frozen=True, kw_only=True):
    """What a running service leaves in its home."""

    socket: str
    token: str
    url: str
    """where other devices find it"""
    process: int


class Deed(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One deed for the service to write."""

    drafts: list[Draft]
    deed: bool = True
    meta: dict[str, str] | None = None
    first: int | None = None
    """the counter that its first record has to get, where its records name one another"""


class Written(Struct, frozen=True, kw_only=True):
    """The records that were written, by name, in order."""

    records: list[str]


class _Problem(Struct):
    status: int
    detail: str


def answering(home: Path) -> Serving | None:
    """Where the home's service listens, if one is running."""
    try:
        serving = msgspec.json.decode((home / FILE).read_bytes(), type=Serving)
        with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as tried:
            tried.settimeout(1.0)
            tried.connect(serving.socket)
    except (OSError, AttributeError, msgspec.MsgspecError, UnicodeDecodeError):
        return None  # none, one that was killed, or a system without such sockets
    return serving


class Beside(Ledger):
    """A ledger that reads the log for itself and has the running service write."""

    def __init__(self, serving: Serving, *parts: Any) -> None:
        """`parts`: those of a ledger whose store is open for looking only."""
        super().__init__(*parts)
        self._serving = serving
        self._named = False

    @property
    def next_seq(self) -> int:  # type: ignore[explicit-override]
        """The counter that the next record will have, unless somebody writes before."""
        self._named = True
        return super().next_seq

    async def write(  # type: ignore[explicit-override]
        self,
        drafts: Sequence[Draft],
        deed: bool = True,
        meta: Mapping[str, str] | None = None,
        first: int | None = None,
    ) -> list[Entry]:
        """Have the service write one deed. Raises HomeInUse where it does not answer."""
        if self._named and first is None:
            first = super().next_seq
        body = Deed(drafts=list(drafts), deed=deed, meta=dict(meta) if meta else None, first=first)
        names = (await self._told(msgspec.msgpack.encode(body))).records
        await self.refresh()
        self._named = False
        found = [self.book.entry(name) for name in names]
        return [entry for entry in found if entry is not None]

    async def accept(  # type: ignore[explicit-override]
        self, contents: Sequence[bytes], sent_by: str | Sequence[str]
    ) -> list[Receipt]:
        """Not here: what other devices send, the service takes in itself."""
        raise HomeInUse("The service of this home is running: end it first, then say it again.")

    async def _told(self, body: bytes) -> Written:
        import httpx

        transport = httpx.AsyncHTTPTransport(uds=self._serving.socket)
        headers = {
            "Authorization": f"Bearer {self._serving.token}",
            "Content-Type": MSGPACK,
            "Accept": MSGPACK,
        }
        try:
            async with httpx.AsyncClient(
                transport=transport, base_url="http://localhost", timeout=WAIT_S
            ) as client:
                answer = await client.post("/v1/here/deeds", content=body, headers=headers)
        except httpx.HTTPError:
            raise HomeInUse(
                "The service of this home does not answer. Whether the deed was written, "
                "girnel trail says; if it was not, say it again when the service has ended."
            ) from None
        if answer.status_code != 200:
            raise _refused(answer.status_code, answer.content)
        return msgspec.msgpack.decode(answer.content, type=Written)


def _refused(status: int, body: bytes) -> GirnelError:
    try:
        detail = msgspec.json.decode(body, type=_Problem).detail
    except (msgspec.MsgspecError, UnicodeDecodeError):
        detail = f"The service of this home answers {status}; look at what it printed."
    if status == 400:
        return WrongUse(detail)
    if status == 409:
        return HomeInUse(detail)
    if status >= 500:
        return StoreError(detail)
    return HomeUnwritable(detail)
