"""What the climate of each store was, and is expected to be: from what was stated, read, and ran.

A store's air is that of the nearest store around it that has a climate of its own, or another kind
than what it stands in: a shelf shares its room's, also where it was said to be a room like that; a
freezer in the barn does not share the barn's. Readings of the store and
of those around it up to there count. A machine warms all that shares the air of where it stands.
"If" is the same with changed facts: a machine that runs in certain months, a warmer winter; it
alters days to come, never what was. What a day's temperature means for food stands in
`events/keeping`.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import Literal, TypeAlias

from msgspec import Struct

from events.keeping.curve import DAY, REACH, Curve, again, by_day, usual, warmth_of
from events.keeping.profile import (
    CYCLE,
    Damped,
    Milli,
    Profile,
    Stated,
    cycle_of,
    damped,
    month_cycle,
    read,
)
from events.lots.places import levels, within
from events.projections.climate import Climate
from events.projections.settings import Settings
from events.quantity import NotUnderstood

OUTDOORS = "outdoors"
"""The store whose climate the damped ones go by."""

STEADY = frozenset({"freezer", "refrigerator", "fridge"})
"""Kinds of stores that a machine keeps at one temperature."""

WINTER = (12, 1, 2)
"""Months of winter, northern."""

Rests: TypeAlias = Literal["read", "stated", "read before", "assumed"]


class If(Struct, frozen=True, kw_only=True):
    """Facts changed from a day on: what is asked about, not what is so."""

    day: int
    """days since 1970, UTC"""
    machine: str = ""
    degrees: Milli = 0
    store: str = ""
    """where the machine stands"""
    months: tuple[int, ...] = ()
    """in which it runs all day"""
    winter: Milli = 0
    """how much warmer December to February are outdoors"""


class Machine(Struct, frozen=True):
    """What is known of a machine: where it stands and what it adds while it runs."""

    name: str
    store: str
    degrees: Milli | None
    """None: nobody said"""


class Climates:
    """The curves of a household's stores; each is made when it is first asked for."""

    def __init__(self, settings: Settings, climate: Climate, supposed: If | None = None) -> None:
        self.settings = settings
        self.climate = climate
        self.supposed = supposed
        self.curves: dict[str, Curve] = {}
        self.airs: dict[str, str] = {}

    def air(self, store: str) -> str:
        """The store whose air it shares."""
        found = self.airs.get(store)
        if found is None:
            own = (level for level in reversed(levels(store)) if self._apart(level))
            found = self.airs[store] = next(own, levels(store)[min(1, len(levels(store)) - 1)])
        return found

    def _apart(self, store: str) -> bool:
        """Whether it has a climate of its own, or another kind than what it stands in."""
        facts = self.settings.stores.get(store, {})
        around = levels(store)[-2] if store else ""
        return "climate" in facts or (
            "kind" in facts and facts["kind"] != self.settings.kind_of(around)
        )

    def curve(self, store: str) -> Curve:
        """The store's temperature day by day."""
        found = self.curves.get(store)
        if found is None:
            found = self.curves[store] = self._curve(store)
        return found

    def _curve(self, store: str) -> Curve:
        air = self.air(store)
        parts = (level for level in levels(store) if level != air and within(level, air))
        if store != air and not any(self.climate.readings.get(level) for level in parts):
            return self.curve(air)
        read_there = by_day(
            (reading.place, reading.celsius_milli)
            for level in levels(store)
            if level and within(level, air)
            for reading in self.climate.readings.get(level, ())
            if reading.celsius_milli is not None
        )
        cycle, swings, warmth = self._cycle(air), self._swings(air), self._warmth(air)
        if cycle is not None or not read_there:
            curve = Curve(cycle, read_there, warmth, swings)
        elif self.settings.kind_of(air) in STEADY:
            mostly = (usual(read_there),) * CYCLE
            curve = Curve(mostly, read_there, warmth, stated=False)
        else:
            curve = Curve(None, again(read_there), warmth, seen=sorted(read_there))
        curve.humid = max(self._humid(store), default=None)
        return self._supposed(curve, air)

    def _cycle(self, air: str) -> Sequence[Milli] | None:
        """As stated, over four years; None where nothing was, or the outdoors are not."""
        profile = self.profile(air)
        if isinstance(profile, Stated):
            return cycle_of(profile.months)
        if profile is None:
            return None
        outdoors = self.profile(OUTDOORS)
        if not isinstance(outdoors, Stated):
            return None
        return damped(cycle_of(outdoors.months), outdoors.mean, profile.share)

    def _swings(self, air: str) -> dict[int, Milli]:
        """What readings outdoors say of a store that goes with the outdoors."""
        profile, outdoors = self.profile(air), self.profile(OUTDOORS)
        if not isinstance(profile, Damped) or not isinstance(outdoors, Stated):
            return {}
        mean = outdoors.mean
        return {
            day: mean + round(profile.share * (milli - mean))
            for day, milli in self.curve(OUTDOORS).special.items()
        }

    def profile(self, store: str) -> Profile | None:
        """A store's climate as stated; None where none was, or it is not understood."""
        said = self.settings.stores.get(self.air(store), {}).get("climate", "")
        if not said:
            return None
        try:
            return read(said)
        except NotUnderstood:  # a fact is free text, and may come from elsewhere
            return None

    def _supposed(self, curve: Curve, air: str) -> Curve:
        supposed = self.supposed
        if supposed is None or not curve.known:
            return curve
        add = [0] * CYCLE
        if supposed.degrees and supposed.months and self.air(supposed.store) == air:
            add = [supposed.degrees * share for share in month_cycle(supposed.months)]
        if supposed.winter:
            share = self._share(air)
            warmer = round(share * supposed.winter)
            add = [a + warmer * on for a, on in zip(add, month_cycle(WINTER), strict=True)]
        if not any(add):
            return curve
        return curve.warmed(supposed.day, add)

    def _share(self, air: str) -> Fraction:
        """How much of the outdoors' swing a store shares; one that is kept steady, none."""
        profile = self.profile(air)
        if isinstance(profile, Damped):
            return profile.share
        return Fraction(isinstance(profile, Stated) and not profile.steady)

    def _warmth(self, air: str) -> dict[int, Milli]:
        added: dict[int, Milli] = {}
        for machine in self.machines():
            if not machine.degrees or self.air(machine.store) != air or not machine.store:
                continue
            runs = self.climate.runs.get(machine.name, ())
            ran = ((run.place, run.minutes) for run in runs if run.minutes)
            for day, milli in warmth_of(ran, machine.degrees).items():
                added[day] = added.get(day, 0) + milli
        return added

    def machines(self) -> list[Machine]:
        """Every machine that is set up, by name."""
        found = []
        for name, facts in sorted(self.settings.machines.items()):
            said = facts.get("degrees", "")
            found.append(Machine(name, facts.get("store", ""), degrees_of(said)))
        return found

    def rests_on(self, store: str, day: int) -> Rests:
        """What a day's temperature rests on."""
        curve = self.curve(store)
        if curve.on(day) is None:
            return "assumed"
        if any(abs(day - seen) <= REACH for seen in curve.seen):
            return "read"
        return "stated" if curve.stated else "read before"

    def humidity(self, store: str, until: int) -> int | None:
        """The last relative humidity read there up to a moment (Unix ms), per mille."""
        found = [one for one in self._humid(store) if one[0] <= until]
        return max(found)[1] if found else None

    def _humid(self, store: str) -> list[tuple[int, int]]:
        air = self.air(store)
        return [
            (reading.place, reading.humidity_permille)
            for level in levels(store)
            if level and within(level, air)
            for reading in self.climate.readings.get(level, ())
            if reading.humidity_permille is not None
        ]


def degrees_of(said: str) -> Milli | None:
    """Degrees added, "8 F" or "4.5 C", in thousandths of a degree Celsius; None: not understood.

    A difference: a degree Fahrenheit is 5/9 of a degree Celsius.
    """
    number, _, scale = said.strip().rpartition(" ")
    try:
        degrees = Fraction(number)
    except (ValueError, ZeroDivisionError):
        return None
    if scale.casefold() not in {"c", "f"} or abs(degrees) > 60:
        return None
    return round(degrees * (1000 if scale.casefold() == "c" else Fraction(5000, 9)))


def day_of(ms: int) -> int:
    """The day of UTC since 1970."""
    return ms // DAY
