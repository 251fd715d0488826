"""What was read on the thermometers, and when machines that warm or cool a room ran.

Only what was said; what it means for food is worked out elsewhere. The lines are kept sorted by
(place, stamp), so the order of arrival does not matter and a record heard twice counts once.
"""

from bisect import bisect_left, bisect_right
from typing import NamedTuple, TypeAlias

from msgspec import Struct, field

from events.kinds import Measured, Ran
from events.record import Record

StampKey: TypeAlias = tuple[int, str, int]


class Reading(NamedTuple):
    """One look at a thermometer or hygrometer; None: that was not read."""

    place: int
    key: StampKey
    celsius_milli: int | None
    humidity_permille: int | None


class Run(NamedTuple):
    """A machine ran, up to `place`; `minutes` None: nobody said how long."""

    place: int
    key: StampKey
    minutes: int | None


class Climate(Struct):
    """Readings by store, as the store was named, and runs by machine."""

    readings: dict[str, list[Reading]] = field(default_factory=dict)
    runs: dict[str, list[Run]] = field(default_factory=dict)

    def fold(self, record: Record, place: int, key: StampKey) -> None:
        """Take in a record that counts at `place` (Unix ms); of other kinds nothing is kept."""
        body = record.body
        match body:
            case Measured():
                readings = self.readings.setdefault(body.store, [])
                reading = Reading(place, key, body.celsius_milli, body.humidity_permille)
                index = bisect_left(readings, (place, key))
                if index == len(readings) or readings[index][:2] != (place, key):
                    readings.insert(index, reading)
            case Ran():
                runs = self.runs.setdefault(body.machine, [])
                index = bisect_left(runs, (place, key))
                if index == len(runs) or runs[index][:2] != (place, key):
                    runs.insert(index, Run(place, key, body.minutes))
            case _:
                pass

    def between(self, store: str, start: int, end: int) -> list[Reading]:
        """The readings of a store from `start` to `end` (Unix ms, inclusive), oldest first."""
        readings = self.readings.get(store, [])
        first = bisect_left(readings, start, key=lambda reading: reading.place)
        last = bisect_right(readings, end, key=lambda reading: reading.place)
        return readings[first:last]

    def ran_minutes(self, machine: str, start: int, end: int) -> int:
        """Minutes that a machine is known to have run, by the records from `start` to `end`."""
        runs = self.runs.get(machine, ())
        return sum(run.minutes or 0 for run in runs if start <= run.place <= end)


def empty() -> Climate:
    """Nothing was read and nothing ran."""
    return Climate()
