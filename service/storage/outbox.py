"""What a replica's store can do beside what every store can: an outbox, and a mirror of a log.

The log that a replica mirrors has its positions from the household's service. What was logged here
and has none yet stands in the outbox, and in `page` past the last entry, so that whoever reads the
log reads both. Rules: a record is in the mirror or in the outbox, and changes over in one
transaction; nothing leaves the outbox in any other way.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Literal, Protocol, TypeAlias

from msgspec import Struct

from service.storage.shelf import Part
from service.storage.store import Aside, Item, Store

State: TypeAlias = Literal["waiting", "sent", "refused", "aside", "kept"]
"""waiting: to be sent; sent: the service has it, its position is still to come; refused: the service
would not have it, it is sent again now and then; aside: its name has another content in the log;
kept: another device's, which the service had once and has no more."""

READ: tuple[State, ...] = ("waiting", "sent", "refused", "kept")
"""What counts in the book: all but what another content stands for."""

ASIDE = (
    "Another record has that name already: this device was set back from a copy. "
    "Pair it anew (girnel join); what was set aside stays here."
)


class Waiting(Struct, frozen=True, gc=False):
    """A record in the outbox. `written`: Unix milliseconds."""

    number: int
    item: Item
    written: int
    state: State
    reason: str | None = None


class Said(Struct, frozen=True, gc=False):
    """What the service said of a record in the outbox."""

    device: str
    seq: int
    state: State
    reason: str | None = None


class Placed(Struct, frozen=True, gc=False):
    """An entry with the position that the service gave it. `received`: Unix milliseconds."""

    position: int
    received: int
    item: Item


class Count(Struct, frozen=True, gc=False):
    """How many records of a state there are, and when the oldest was written (Unix ms)."""

    number: int
    since: int


class Outbox(Protocol):
    """The part of a replica's store that its exchange with the service needs."""

    async def outbox(
        self, states: Collection[State], after: int = 0, limit: int = 1000
    ) -> list[Waiting]:
        """Records in one of those states, in the order they were written, past a number."""
        ...

    async def counts(self) -> dict[State, Count]:
        """How much there is of each state; none of which there is nothing."""
        ...

    async def mirrored(self) -> int:
        """The position of the newest entry; 0 where there is none."""
        ...

    async def note(self, meta: Mapping[str, str]) -> None:
        """Keep something about the log itself."""
        ...

    async def said(self, told: Sequence[Said]) -> None:
        """Keep what the service said; of what is not in the outbox any more, nothing."""
        ...

    async def mirror(self, placed: Sequence[Placed]) -> int:
        """Put entries into the log at their positions; how many of them were new.

        What is there already is passed over. StoreError where there would be a gap.
        """
        ...

    async def know_aside(self, asides: Sequence[Aside]) -> None:
        """Keep what the service has set aside; what is known already changes nothing."""
        ...

    async def start_over(self, own: Collection[str]) -> None:
        """Empty the mirror to fill it anew; every record stays, in the outbox.

        `own`: devices whose records are this one's to send; those of others are kept.
        """
        ...

    async def meta(self) -> dict[str, str]:
        """What is known about the log itself, by name."""
        ...


class Mirror(Outbox, Protocol):
    """A replica's store beside which a book may stand put by."""

    async def take_over(self, form: int, parts: Iterable[Part]) -> None:
        """Have the service's book in place of what was put by here, in one transaction.

        StoreError, and nothing was taken, where it is of another form or of a longer log.
        """
        ...

    async def forget_book(self) -> None:
        """Let go of the book that was put by; the log gives it again."""
        ...


class ReplicaStore(Store, Outbox, Protocol):
    """A store that is a replica; `append` puts into the outbox."""


class MirrorStore(ReplicaStore, Mirror, Protocol):
    """One that may have a book put by, too."""


def gap(last: int, position: int) -> str:
    return f"Entry {position} came after {last}: what lies between is missing. Nothing was written."
