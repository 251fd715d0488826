"""Where a book is put by between two runs, beside its log.

A shelf is no store: what stands on it follows from the log, and a log without one is whole. Rules:
what was put by is as of one position or not there; what another program's code put by is not
taken up.
"""

from collections.abc import Sequence
from typing import Protocol

from msgspec import Struct

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


class Shelf(Protocol):
    """A log's file, as far as books are put by in it."""

    def past(self) -> ShelfPast:
        """The log as a book looks things up in it, for the thread that asks."""
        ...

    async def put_by(
        self, code: str, upto: int, thin: bytes, lots: Sequence[KeptLot], gone: Sequence[str]
    ) -> None:
        """Put by what has changed, in one transaction. `code` new: what stood there is cleared."""
        ...
