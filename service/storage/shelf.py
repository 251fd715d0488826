"""Where a book is put by between two runs, beside its log.

A shelf is no store: what stands on it follows from the log, and a log without one is whole. Rules:
what was put by is as of one position or not there; what another program's code put by is not
taken up.
"""

from collections.abc import Iterator, Sequence
from typing import Any, Protocol

from msgspec import Struct

from events.book import Book
from events.kept import KeptLot
from events.lots.state import Lot
from events.past import Past


class Taken(Struct, frozen=True):
    """What was taken up from a shelf: the small states as bytes, and the open lots."""

    thin: bytes
    lots: list[Lot]


class ShelfPast(Past, Protocol):
    """A past that also says what was put by."""

    def taken_up(self, code: str) -> Taken | None:
        """The book that this code put by last; None where there is none."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...


class PutBy(Struct, frozen=True):
    """What was put by: by which program, in which form of the file, as of which position."""

    program: str
    form: int
    upto: int


class Part(Struct, frozen=True, array_like=True):
    """Some rows of a book that was put by, to be taken elsewhere as they are."""

    table: str
    rows: list[tuple[Any, ...]]


class Still(Protocol):
    """A log and what was put by of it, all of one moment, for the thread that reads it through."""

    def put_by(self) -> PutBy | None:
        """What was put by last; None where nothing was."""
        ...

    def book(self, program: str) -> Book | None:
        """The book as that program put it by; None where it did not."""
        ...

    def contents(self, upto: int) -> Iterator[bytes]:
        """The stored bytes of every entry up to a position, in order."""
        ...

    def parts(self) -> Iterator[Part]:
        """What was put by, row for row."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...


class Shelf(Protocol):
    """A log's file, as far as books are put by in it."""

    def past(self) -> ShelfPast:
        """The log as a book looks things up in it, for the thread that asks."""
        ...

    def still(self) -> Still:
        """The log and what was put by, as of now, for the thread that asks."""
        ...

    async def put_by(
        self, code: str, upto: int, thin: bytes, lots: Sequence[KeptLot], gone: Sequence[str]
    ) -> None:
        """Put by what has changed, in one transaction. `code` new: what stood there is cleared."""
        ...
