"""What a store is to the ledger: a handful of things that it can do.

A store holds a household's log: contents under gapless positions from 1, each under its record's
name. It reads no content. Rules: what `append` has returned is on disk; an append is whole or not
at all; a name has one content for ever, any other is set aside by its digest.
"""

from collections.abc import Mapping, Sequence
from typing import Literal, Protocol, TypeAlias

from msgspec import Struct

from events.lots.things import Thing


class Item(Struct, frozen=True, gc=False):
    """One record to be put into the log."""

    device: str
    seq: int
    content: bytes
    sent_by: str
    about: tuple[Thing, ...] = ()
    """what the record is about, for a store that can look that up"""


class Row(Struct, frozen=True, gc=False):
    """One record in the log. `received`: Unix milliseconds."""

    position: int
    received: int
    sent_by: str
    content: bytes


class Aside(Struct, frozen=True, gc=False):
    """Another content that came under a name which has one already. `digest`: its SHA-256."""

    device: str
    seq: int
    digest: bytes
    received: int
    sent_by: str
    content: bytes


State: TypeAlias = Literal["new", "known", "aside"]


class Outcome(Struct, frozen=True, gc=False):
    """What became of an item; `position` is that of the content which the name has."""

    position: int
    state: State


class Heard(Struct, frozen=True, gc=False):
    """How far a device's own counter has come, and what is missing of it, first to last."""

    highest: int
    gaps: tuple[tuple[int, int], ...] = ()


class Store(Protocol):
    """A household's log. Everything raises `GirnelError` where the disk does not do its part."""

    async def append(
        self, items: Sequence[Item], received: int, meta: Mapping[str, str] | None = None
    ) -> list[Outcome]:
        """Put items into the log, in order, in one transaction; `meta` is written with them."""
        ...

    async def page(self, after: int, limit: int) -> list[Row]:
        """Up to `limit` rows past a position, by position."""
        ...

    async def meta(self) -> dict[str, str]:
        """What is known about the log itself, by name."""
        ...

    async def devices(self) -> dict[str, Heard]:
        """Each device that has written records in this log."""
        ...

    async def asides(self) -> list[Aside]:
        """What was set aside, by name and digest."""
        ...

    async def close(self) -> None:
        """Let go of it; more than once is harmless."""
        ...


def gaps(seqs: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """What is missing between a device's counters (sorted, from 1), first to last of each run."""
    found = []
    last = 0
    for seq in seqs:
        if seq > last + 1:
            found.append((last + 1, seq - 1))
        last = seq
    return tuple(found)


def know_twin(twins: dict[str, str], name: str, digest: str) -> None:
    """Note that another content came under a name; of several, whoever was told first, the same."""
    twins[name] = max(digest, twins.get(name, ""))
