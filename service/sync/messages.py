"""What devices and the service say to each other of records, as bytes.

    POST /v1/events                       [record, …] -> [receipt, …], in order
    GET  /v1/events?after=CURSOR&limit=N  -> {"entries": [{position, received, sent_by, record}, …],
                                              "more": …, "next": CURSOR, "aside": how many}
    GET  /v1/events/stream?after=CURSOR   an event for each entry; its id is a cursor
    GET  /v1/set-aside?after=MARK         -> {"set_aside": [{received, sent_by, record}, …],
                                              "more": …, "next": MARK}

All of it is JSON, or MessagePack where the client says so; in MessagePack a record travels as the
bytes of its JSON. Nothing here reads a wire or a log. Rules: a record's bytes are passed on as they
are stored, never decoded and written anew; a field is added, never changed in meaning.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import msgspec
from msgspec import Raw, Struct

from events.canonical import Refused, canonical
from service.drafts import Receipt
from service.errors import GirnelError, WrongUse
from service.storage.store import Aside, Row

JSON = "application/json"
MSGPACK = "application/vnd.msgpack"

MAX_RECORDS = 1000
"""Records in one push, and entries in one page."""

MAX_BYTES = 4 * 1024 * 1024
"""Bytes in one push."""

MAX_ASIDES = 100
ASIDE_BYTES = 1024 * 1024
"""What was set aside goes out so many at a time, or so many bytes of it."""

FIRST_EPOCH = 1
"""A log's epoch until it is restored from a copy that lacks what was acknowledged."""


class TooMuch(WrongUse):
    """More was sent at once than is taken; in parts it is welcome."""


class OtherLog(GirnelError):
    """A cursor of another log, of another epoch, or past the end of this one."""


class Cursor(Struct, frozen=True):
    """How far somebody has read: in which log, in which epoch of it, up to which position."""

    log: str
    epoch: int
    position: int

    def __str__(self) -> str:  # type: ignore[explicit-override]
        return f"{self.log}.{self.epoch}.{self.position}"


class Page(Struct, frozen=True, kw_only=True):
    """Entries after a cursor, oldest first; `more`: whether there are others after them already."""

    entries: tuple[Row, ...]
    next: str
    more: bool
    aside: int = 0
    """how many contents were set aside in this log: they have no position"""


class Asides(Struct, frozen=True, kw_only=True):
    """What was set aside, by name; `more`: whether there are others behind `next`."""

    set_aside: tuple[Aside, ...]
    next: str
    more: bool


def cursor(text: str) -> Cursor:
    """A cursor from its text, LOG.EPOCH.POSITION. ValueError where it is none."""
    log, _, rest = text.rpartition(".")
    log, _, epoch = log.rpartition(".")
    if not (log and _whole(epoch) and _whole(rest)):
        raise ValueError(
            f'"{text[:60]}" is no cursor: send the `next` of the last answer, '
            "or none to begin with the first record."
        )
    return Cursor(log, int(epoch), int(rest))


def _whole(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= 15


# -- a push ------------------------------------------------------------------------------------


def read_push(body: bytes, media: str = JSON) -> list[bytes]:
    """The records of a push, each as bytes of JSON that nobody has judged yet.

    In MessagePack a record may also be sent as a map. Raises WrongUse, or TooMuch.
    """
    if len(body) > MAX_BYTES:
        raise TooMuch(f"A push has {MAX_BYTES} bytes at the most: send it in parts.")
    try:
        found = _packed(body) if media == MSGPACK else _raw(body)
    except UnicodeDecodeError as wrong:
        raise WrongUse(f"Byte {wrong.start + 1} is not UTF-8; send records as UTF-8.") from None
    except RecursionError:
        raise WrongUse("This is nested too deeply; no record is.") from None
    except (msgspec.MsgspecError, Refused) as wrong:
        raise WrongUse(f"This is no list of records: {str(wrong)[:200].rstrip('.')}.") from None
    if len(found) > MAX_RECORDS:
        raise TooMuch(
            f"A push has {MAX_RECORDS} records at the most, this one {len(found)}: "
            "send it in parts."
        )
    return found


_raws = msgspec.json.Decoder(list[Raw])
_maps = msgspec.msgpack.Decoder(list[bytes | dict[str, Any]])


def _raw(body: bytes) -> list[bytes]:
    if not body.isascii():
        body.decode("utf-8")
    return [bytes(one) for one in _raws.decode(body)]


def _packed(body: bytes) -> list[bytes]:
    return [one if isinstance(one, bytes) else canonical(one) for one in _maps.decode(body)]


def write_receipts(receipts: Sequence[Receipt], media: str = JSON) -> bytes:
    """The answer to a push."""
    return msgspec.msgpack.encode(receipts) if media == MSGPACK else msgspec.json.encode(receipts)


# -- a pull ------------------------------------------------------------------------------------


def write_entry(row: Row) -> bytes:
    """An entry as JSON, the record's bytes spliced in."""
    return b'{"position":%d,"received":%d,"record":%b,"sent_by":%b}' % (
        row.position,
        row.received,
        row.content,
        _quoted(row.sent_by),
    )


@lru_cache(1000)
def _quoted(name: str) -> bytes:
    return msgspec.json.encode(name)


def write_page(page: Page, media: str = JSON) -> bytes:
    """The answer to a pull."""
    if media == MSGPACK:
        entries = [
            {"position": r.position, "received": r.received, "sent_by": r.sent_by,
             "record": r.content}
            for r in page.entries
        ]  # fmt: skip
        return msgspec.msgpack.encode(
            {"aside": page.aside, "entries": entries, "more": page.more, "next": page.next}
        )
    return b'{"aside":%d,"entries":[%b],"more":%b,"next":%b}' % (
        page.aside,
        b",".join(map(write_entry, page.entries)),
        b"true" if page.more else b"false",
        msgspec.json.encode(page.next),
    )


# -- what was set aside ------------------------------------------------------------------------


def aside_page(asides: Sequence[Aside], after: str) -> Asides:
    """A part of what was set aside, past a mark; "" begins."""
    left = sorted((mark, aside) for aside in asides if (mark := _mark(aside)) > after)
    count = size = 0
    while count < len(left) and count < MAX_ASIDES and (not count or size < ASIDE_BYTES):
        size += len(left[count][1].content)
        count += 1
    return Asides(
        set_aside=tuple(aside for _, aside in left[:count]),
        next=left[count - 1][0] if count else after,
        more=count < len(left),
    )


def _mark(aside: Aside) -> str:
    return f"{aside.device}:{aside.seq:015}:{aside.digest.hex()}"


def write_asides(page: Asides, media: str = JSON) -> bytes:
    """That as bytes, each record as it was stored."""
    if media == MSGPACK:
        told = [
            {"received": a.received, "sent_by": a.sent_by, "record": a.content}
            for a in page.set_aside
        ]
        return msgspec.msgpack.encode({"more": page.more, "next": page.next, "set_aside": told})
    return b'{"more":%b,"next":%b,"set_aside":[%b]}' % (
        b"true" if page.more else b"false",
        msgspec.json.encode(page.next),
        b",".join(
            b'{"received":%d,"record":%b,"sent_by":%b}'
            % (a.received, a.content, _quoted(a.sent_by))
            for a in page.set_aside
        ),
    )
