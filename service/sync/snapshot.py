"""A snapshot: the book that a service put by, as bytes for a new replica to take up.

    gzip of: a head, then parts of rows, then an end; each MessagePack behind its length, four bytes

It follows from the log and is no format to keep: another program, or one whose file has another
form, does not read it and folds the log itself. Rules: it is written and read a part at a time,
never held whole; without its end, which counts the parts, nothing of it is taken.
"""

import gzip
import struct
import zlib
from collections.abc import Iterator
from typing import IO, TypeVar

import msgspec
from msgspec import Struct

from service.errors import Unreachable
from service.storage.shelf import Part, Still
from service.sync.messages import Cursor

T = TypeVar("T")

GZIP = "application/gzip"

MOST = 64 * 1024 * 1024
"""Bytes of a part at the most: a lot's whole story is one row."""

LEVEL = 3
"""How hard it is pressed: past this it takes long and gains little."""

_length = struct.Struct(">I")


class Head(Struct, frozen=True, kw_only=True):
    """Whose book it is, by which program, and as of where."""

    cursor: str
    """the log, its epoch, and the position as of which the book stands"""
    program: str
    form: int


class End(Struct, frozen=True, kw_only=True):
    """How many parts there were."""

    parts: int


def write(still: Still, log: Cursor, to: IO[bytes]) -> Head | None:
    """Write what was put by; None, and nothing, where nothing was. `log`: which log it is of."""
    found = still.put_by()
    if found is None:
        return None
    head = Head(
        cursor=str(msgspec.structs.replace(log, position=found.upto)),
        program=found.program,
        form=found.form,
    )
    with gzip.GzipFile(fileobj=to, mode="wb", compresslevel=LEVEL, mtime=0) as file:
        _write(file, head)
        count = 0
        for part in still.parts():
            _write(file, part)
            count += 1
        _write(file, End(parts=count))
    return head


def _write(file: gzip.GzipFile, value: Struct) -> None:
    content = msgspec.msgpack.encode(value)
    file.write(_length.pack(len(content)))
    file.write(content)


class Reading:
    """A snapshot that came in whole, as a file. Unreachable where it is none, or is cut short."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file = gzip.GzipFile(fileobj=file, mode="rb")
        self.head = _read(self._next(), Head)

    def parts(self) -> Iterator[Part]:
        """The parts, one at a time; raises after the last where there should be more."""
        count = 0
        while True:
            content = self._next()
            if content[:1] != ARRAY:
                break
            count += 1
            yield _read(content, Part)
        if _read(content, End).parts != count:
            raise Unreachable(CUT)
        self._close()

    def _close(self) -> None:
        """Nothing more comes; only here is the sum over all that came looked at."""
        try:
            more = self._file.read(1)
        except (OSError, EOFError, zlib.error):
            raise Unreachable(CUT) from None
        if more:
            raise Unreachable(CUT)

    def _next(self) -> bytes:
        try:
            head = self._file.read(_length.size)
            size = _length.unpack(head)[0] if len(head) == _length.size else MOST + 1
            content = self._file.read(size) if size <= MOST else b""
        except (OSError, EOFError, zlib.error):
            raise Unreachable(CUT) from None
        if not content or len(content) != size:
            raise Unreachable(CUT)
        return content


ARRAY = msgspec.msgpack.encode(Part("", []))[:1]
"""The byte with which a part begins; head and end are maps."""


def _read(content: bytes, kind: type[T]) -> T:
    try:
        return msgspec.msgpack.decode(content, type=kind)
    except (msgspec.MsgspecError, UnicodeError, RecursionError):
        raise Unreachable(CUT) from None


CUT = "The service's snapshot was cut short or is damaged; nothing of it was taken."
