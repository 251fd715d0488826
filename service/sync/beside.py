"""The ledger of a home whose service is running, as a console beside it has it.

It reads the log for itself and hands what is to be written to the service, over a socket in the
home. It has what a desk needs of a ledger, and a deed is on disk when `write` returns, as ever.
Rule: the token in the home goes to that socket and nowhere else.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path

import msgspec
from msgspec import Struct

from events.book import Book
from events.record import Entry
from service.drafts import Draft, Household
from service.errors import GirnelError, HomeInUse, HomeUnwritable, StoreError, WrongUse
from service.ledger import Ledger
from service.storage.store import Aside, Row
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


class Written(Struct, frozen=True, kw_only=True):
    """The records that were written, by name, in order."""

    records: list[str]


class _Problem(Struct):
    status: int
    detail: str


def running(home: Path) -> Serving | None:
    """Where the home's service listens, if one has said so; it may have ended since."""
    try:
        return msgspec.json.decode((home / FILE).read_bytes(), type=Serving)
    except (OSError, msgspec.MsgspecError, UnicodeDecodeError):
        return None


class Beside:
    """A ledger to write through; open it with the log as it is read beside the service."""

    def __init__(self, reading: Ledger, serving: Serving) -> None:
        self._reading = reading
        self._serving = serving

    @property
    def book(self) -> Book:
        return self._reading.book

    @property
    def household(self) -> Household:
        return self._reading.household

    @property
    def set_aside(self) -> list[Aside]:
        return self._reading.set_aside

    @property
    def position(self) -> int:
        return self._reading.position

    @property
    def next_seq(self) -> int:
        return self._reading.next_seq

    async def page(self, after: int, limit: int) -> list[Row]:
        return await self._reading.page(after, limit)

    async def write(
        self, drafts: Sequence[Draft], deed: bool = True, meta: Mapping[str, str] | None = None
    ) -> list[Entry]:
        """Have the service write one deed. Raises HomeInUse where it no longer answers."""
        body = Deed(drafts=list(drafts), deed=deed, meta=dict(meta) if meta else None)
        names = (await self._told(msgspec.msgpack.encode(body))).records
        await self._reading.refresh()
        found = [self.book.entry(name) for name in names]
        return [entry for entry in found if entry is not None]

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

    async def close(self) -> None:
        await self._reading.close()


def _refused(status: int, body: bytes) -> GirnelError:
    try:
        detail = msgspec.json.decode(body, type=_Problem).detail
    except (msgspec.MsgspecError, UnicodeDecodeError):
        detail = f"The service of this home answers {status}; look at what it printed."
    if status == 400:
        return WrongUse(detail)
    if status >= 500:
        return StoreError(detail)
    return HomeUnwritable(detail)
