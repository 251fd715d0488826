"""How far each device's own counter has come, and what of it has not arrived.

A device counts its records 1, 2, 3 … without gaps, so what is missing can be named. Kept as the
stretches that are missing, which are few, and not as the numbers that are known.
"""

from collections.abc import Iterable
from typing import TypeAlias

from msgspec import Struct, field

from events.concerns import Concern

Stretch: TypeAlias = tuple[int, int]
"""First and last of a run of counters that have not arrived."""


class Counter(Struct):
    """One device's counter."""

    highest: int = 0
    missing: list[Stretch] = field(default_factory=list)

    def hear(self, seq: int) -> None:
        """Take in a counter; one that was heard before changes nothing."""
        if seq > self.highest:
            if seq > self.highest + 1:
                self.missing.append((self.highest + 1, seq - 1))
            self.highest = seq
            return
        for index, (first, last) in enumerate(self.missing):
            if first <= seq <= last:
                left = [(first, seq - 1), (seq + 1, last)]
                self.missing[index : index + 1] = [(a, b) for a, b in left if a <= b]
                return


class Heard(Struct):
    """Every device's counter, by its name."""

    devices: dict[str, Counter] = field(default_factory=dict)

    def hear(self, record: str) -> None:
        """Take in the name of a record."""
        device, _, seq = record.rpartition(":")
        counter = self.devices.get(device)
        if counter is None:
            counter = self.devices[device] = Counter()
        counter.hear(int(seq))

    def has(self, device: str, seq: int) -> bool:
        """Whether a device's record of that counter is known."""
        counter = self.devices.get(device)
        if counter is None or seq > counter.highest:
            return False
        return not any(first <= seq <= last for first, last in counter.missing)

    def gaps(self) -> Iterable[Concern]:
        """Devices that have logged things which have not arrived."""
        for device, counter in self.devices.items():
            if counter.missing:
                yield Concern(
                    kind="gap-in-device",
                    rests_on=(f"{device}:{counter.missing[0][0]}",),
                    n=sum(last - first + 1 for first, last in counter.missing),
                    detail=device,
                )
