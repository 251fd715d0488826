"""A store that forgets when its process ends: for a demo, and for tests.

It keeps every rule of `store` but the disk.
"""

from collections.abc import Mapping, Sequence
from hashlib import sha256

from service.storage.store import Aside, Heard, Item, Outcome, Row, gaps


class MemoryStore:
    """A household's log in lists and dicts."""

    def __init__(self) -> None:
        self._rows: list[Row] = []
        self._positions: dict[tuple[str, int], int] = {}
        self._asides: dict[tuple[str, int, bytes], Aside] = {}
        self._meta: dict[str, str] = {}

    async def append(
        self, items: Sequence[Item], received: int, meta: Mapping[str, str] | None = None
    ) -> list[Outcome]:
        outcomes = [self._one(item, received) for item in items]
        self._meta.update(meta or {})
        return outcomes

    def _one(self, item: Item, received: int) -> Outcome:
        name = (item.device, item.seq)
        position = self._positions.get(name)
        if position is None:
            position = self._positions[name] = len(self._rows) + 1
            self._rows.append(Row(position, received, item.sent_by, item.content))
            return Outcome(position, "new")
        if self._rows[position - 1].content == item.content:
            return Outcome(position, "known")
        digest = sha256(item.content).digest()
        aside = Aside(*name, digest, received, item.sent_by, item.content)
        self._asides.setdefault((*name, digest), aside)
        return Outcome(position, "aside")

    async def page(self, after: int, limit: int) -> list[Row]:
        return self._rows[after : after + limit]

    async def meta(self) -> dict[str, str]:
        return dict(self._meta)

    async def devices(self) -> dict[str, Heard]:
        seqs: dict[str, list[int]] = {}
        for device, seq in sorted(self._positions):
            seqs.setdefault(device, []).append(seq)
        return {device: Heard(own[-1], gaps(own)) for device, own in seqs.items()}

    async def asides(self) -> list[Aside]:
        return [aside for _, aside in sorted(self._asides.items())]

    async def close(self) -> None:
        """Nothing to let go of."""
