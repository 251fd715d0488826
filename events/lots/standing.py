"""Which records count, when, and under which name: voids, redatings, doubles, sources.

A record stands if no void of it stands. Voids that hang on each other in a ring count for
nothing, and so do redatings. Of records voided as doubles of each other in a ring, the oldest
stands. All of it is a function of the set of records, worked out anew when one of these comes.
"""

from collections.abc import Callable, Iterable, Mapping, Set
from typing import TypeAlias

from msgspec import Struct

from events.kinds import Redated, Stamp, Voided
from events.lots.steps import Times, times_of
from events.record import Record

Order: TypeAlias = tuple[int, str, int]


class Standing(Struct, frozen=True):
    """What the voids, redatings and sources known so far come to."""

    fallen: frozenset[str]
    """records that do not count"""
    names: Mapping[str, str]
    """names of doubles, to the record that each is a double of"""
    times: Mapping[str, Times]
    """of redated records"""
    rings: frozenset[str]
    repeated: Mapping[str, str]
    """records from a source that another record already gave, to that record"""

    def without(self, records: Set[str]) -> "Standing":
        """The same without what these come to, with which nothing else hangs together."""
        return Standing(
            self.fallen - records,
            {name: other for name, other in self.names.items() if name not in records},
            {name: times for name, times in self.times.items() if name not in records},
            self.rings - records,
            {name: first for name, first in self.repeated.items() if name not in records},
        )


EMPTY = Standing(frozenset(), {}, {}, frozenset(), {})


def ring_of(targets: Mapping[str, str]) -> set[str]:
    """Members of the rings in a graph where each points at one other."""
    state: dict[str, int] = {}
    rings: set[str] = set()
    for serial, start in enumerate(targets):
        path = []
        name = start
        while name in targets and name not in state:
            state[name] = serial
            path.append(name)
            name = targets[name]
        if state.get(name) == serial and name in targets:
            rings.update(path[path.index(name) :])
    return rings


def from_the_tips(targets: Mapping[str, str]) -> Iterable[str]:
    """Every name of a graph without rings, those that point at it before it."""
    waiting = dict.fromkeys(targets, 0)
    for target in targets.values():
        if target in waiting:
            waiting[target] += 1
    ready = [name for name, count in waiting.items() if not count]
    while ready:
        name = ready.pop()
        yield name
        target = targets[name]
        if target in waiting:
            waiting[target] -= 1
            if not waiting[target]:
                ready.append(target)


def stand(
    records: Mapping[str, Record],
    amending: Iterable[str],
    contested: Iterable[list[str]],
    plain_times: Callable[[str], Times],
) -> Standing:
    """Work out what stands.

    `amending`: names of voids and redatings. `contested`: groups of records of one source.
    """
    voids = {n: b.record for n in amending if isinstance(b := records[n].body, Voided)}
    redates = {n: b.record for n in amending if isinstance(b := records[n].body, Redated)}
    void_rings = ring_of(voids)
    live_voids = {name: target for name, target in voids.items() if name not in void_rings}
    fallen: set[str] = set()
    on: dict[str, list[str]] = {}
    for name in from_the_tips(live_voids):
        if name not in fallen:
            fallen.add(live_voids[name])
            on.setdefault(live_voids[name], []).append(name)
    times, redate_rings = retime(records, redates, fallen, plain_times)

    def order(name: str) -> Order:
        record = records.get(name)
        if record is None:
            return (0, name, 0)
        when = times.get(name) or plain_times(name)
        return (when.stamp, record.device, record.seq)

    names = doubles(records, on, fallen, order)
    repeated = sources(records, contested, fallen, order)
    fallen |= repeated.keys()
    names.update(repeated)
    return Standing(
        frozenset(fallen), resolved(names), times, frozenset(void_rings | redate_rings), repeated
    )


def retime(
    records: Mapping[str, Record],
    redates: Mapping[str, str],
    fallen: set[str],
    plain_times: Callable[[str], Times],
) -> tuple[dict[str, Times], set[str]]:
    """Times of the redated records, each field by the newest redating that gives it; the rings."""
    upright = {n: t for n, t in redates.items() if n not in fallen}
    rings = ring_of(upright)
    live = {n: t for n, t in upright.items() if n not in rings}
    on: dict[str, list[str]] = {}
    for name, target in live.items():
        on.setdefault(target, []).append(name)
    times: dict[str, Times] = {}

    def order(name: str) -> Order:
        record = records[name]
        return ((times.get(name) or plain_times(name)).stamp, record.device, record.seq)

    def settle(target: str) -> None:
        record = records.get(target)
        if record is None or target not in on:
            return
        at, offset, stamp = record.at, record.offset, record.stamp
        for name in sorted(on[target], key=order):
            by = records[name]
            body = by.body
            assert isinstance(body, Redated)
            if body.at is not None:
                at = body.at
                offset = by.offset if body.offset is None else body.offset
            if body.stamp is not None:
                stamp = Stamp(body.stamp.ms, body.stamp.counter)
        times[target] = times_of(record, at, offset, stamp, redated=True)

    for name in from_the_tips(live):
        settle(name)
    for target in on:
        if target not in live:
            settle(target)
    return times, rings


def doubles(
    records: Mapping[str, Record],
    on: Mapping[str, list[str]],
    fallen: set[str],
    order: Callable[[str], Order],
) -> dict[str, str]:
    """Voided as the same as another: the newest void says which; in a ring the oldest stands."""
    same: dict[str, str] = {}
    plain: set[str] = set()
    for target, voids in on.items():
        body = records[target].body if target in records else None
        if isinstance(body, Voided | Redated):
            continue
        saying = []
        for name in voids:
            void = records[name].body
            assert isinstance(void, Voided)
            if void.same_as is None or void.same_as == target:
                plain.add(target)
            else:
                saying.append((order(name), void.same_as))
        if saying:
            same[target] = max(saying)[1]
    rings = ring_of(same)
    while rings:
        start = next(iter(sorted(rings)))
        ring = [start]
        while same[ring[-1]] != start:
            ring.append(same[ring[-1]])
        oldest = min(ring, key=order)
        del same[oldest]
        if oldest not in plain:
            fallen.discard(oldest)
        rings -= set(ring)
    return same


def sources(
    records: Mapping[str, Record],
    contested: Iterable[list[str]],
    fallen: set[str],
    order: Callable[[str], Order],
) -> dict[str, str]:
    """One printed line, row or reading counts once: the deed that is oldest."""
    repeated: dict[str, str] = {}
    for group in contested:
        members = sorted((name for name in group if name not in fallen), key=order)
        if not members:
            continue
        first = records[members[0]].deed_name
        kept = [name for name in members if records[name].deed_name == first]
        for name in members:
            if records[name].deed_name != first:
                like = [k for k in kept if type(records[k].body) is type(records[name].body)]
                repeated[name] = (like or kept)[0]
    return repeated


def resolved(names: Mapping[str, str]) -> dict[str, str]:
    """Each name to the end of its chain."""
    ends: dict[str, str] = {}
    for name in names:
        end = name
        seen = {name}
        while end in names and names[end] not in seen:
            end = names[end]
            seen.add(end)
        ends[name] = end
    return ends
