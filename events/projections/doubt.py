"""What does not add up in a household as a whole, beside what each lot raises itself."""

from collections.abc import Callable, Iterable, Mapping
from typing import TypeAlias

from msgspec.structs import replace

from events.concerns import Concern
from events.kinds import Redated, Voided
from events.lots.household import Lots
from events.lots.places import within
from events.lots.state import Lot
from events.record import UnreadEntry


def of_records(lots: Lots) -> Iterable[Concern]:
    """Concerns about records rather than lots: what is in hand of voids, redatings and repeats."""
    yield from _amendments(lots)
    yield from _repeats(lots)


def unread_records(unread: Mapping[str, UnreadEntry]) -> Iterable[Concern]:
    """Records that this program does not know how to read."""
    for name, entry in unread.items():
        yield Concern(
            kind="unread-record",
            rests_on=(name,),
            place=entry.received,
            detail=f"{entry.unread.kind}, version {entry.unread.version}",
        )


def same_names(twins: Mapping[str, str]) -> Iterable[Concern]:
    """Names under which two contents arrived, to the digest of the one that was set aside."""
    for name, digest in twins.items():
        yield Concern(kind="same-name", rests_on=(name,), detail=digest)


def _amendments(lots: Lots) -> Iterable[Concern]:
    """Voids and redatings of what is not known, in rings, or of a clock gone wild."""
    for name in lots.amending():
        body = lots.records[name].body
        if not isinstance(body, Voided | Redated) or not lots.stands(name):
            continue
        place = lots.times(name).place
        rests = (name, body.record)
        if name in lots.standing.rings:
            yield Concern(kind="void-ring", rests_on=rests, place=place)
        elif body.record not in lots.records:
            yield Concern(kind="unknown-record", rests_on=rests, place=place)
        elif isinstance(body, Redated) and body.stamp is not None:
            yield Concern(kind="clock-off", rests_on=rests, place=place)


def _repeats(lots: Lots) -> Iterable[Concern]:
    for name, first in lots.standing.repeated.items():
        source = lots.records[name].source or ""
        yield Concern(
            kind="same-source",
            rests_on=(name, first),
            place=lots.times(name).place,
            deed=lots.records[name].deed_name,
            detail=source,
        )


Alike: TypeAlias = tuple[object, ...]


def alike(lot: Lot) -> Alike | None:
    """What two lots share that came in alike: food, package, amount and day; None: nobody says.

    Variety and form are not in it: where only one of two says them, it may be the same food.
    """
    made = lot.maker
    if made is None or lot.identity is None or not lot.stands:
        return None
    came = lot.totals.get("in", 0)
    if "/" in made.at or len(made.at) < len("2026-08-14") or not came:
        return None
    package = lot.identity.package
    return (
        lot.identity.food.casefold(),
        package and (package.vessel, package.content, package.content_unit),
        came, lot.unit, made.at[:10],
    )  # fmt: skip


def likely_doubles(lots: Iterable[Lot]) -> Iterable[Concern]:
    """The same food, package and amount of the same day, written down by two."""
    groups: dict[Alike, list[Lot]] = {}
    for lot in lots:
        if (key := alike(lot)) is not None:
            groups.setdefault(key, []).append(lot)
    for group in groups.values():
        group.sort(key=lambda lot: (lot.made_place, lot.name))
        for i, other in enumerate(group):
            first = next((one for one in group[:i] if _may_be_one(one, other)), None)
            if first and first.maker and other.maker:
                yield Concern(
                    kind="maybe-double",
                    rests_on=(first.maker.name, other.maker.name),
                    lot=other.name,
                    n=other.totals.get("in", 0),
                    unit=other.unit,
                    place=other.made_place,
                    deed=other.maker.deed_name,
                )


def _may_be_one(one: Lot, other: Lot) -> bool:
    """Whether two recorders said them, and they do not differ in what both say."""
    mine, others = one.identity, other.identity
    if mine is None or others is None or not _two_recorders(one, other):
        return False
    said = ((mine.variety, others.variety), (mine.form, others.form))
    return all(not a or not b or a.casefold() == b.casefold() for a, b in said)


def _two_recorders(one: Lot, other: Lot) -> bool:
    first, second = one.maker, other.maker
    assert first is not None
    assert second is not None
    if first.by is not None and second.by is not None:
        return first.by != second.by
    return first.device != second.device


def missing_only_then(concern: Concern, later: Callable[[str], bool]) -> bool:
    """Whether what a past day lacks happened later: that is no concern."""
    if concern.kind in ("unknown-record", "explains-nothing"):
        return later(concern.rests_on[-1])
    if concern.kind == "unknown-lot":
        return later(concern.lot.rpartition(":")[0])
    return concern.kind == "unknown-mark" and later(concern.mark)


def unanswered(
    since: Callable[[int], Iterable[Lot]], raised: Iterable[Concern], lots: Mapping[str, Lot]
) -> list[Concern]:
    """Leaves out a chosen lot's shortfall once a lot of that food was counted there.

    `since`: the lots of which anything was said at a moment or later.
    """
    left = []
    for concern in raised:
        lot = lots.get(concern.lot)
        if concern.kind == "picked-short" and lot is not None:
            food = lot.food.casefold()
            others = (other for other in since(concern.place) if other.food.casefold() == food)
            if any(_counted_since(other, concern) for other in others):
                continue
        left.append(concern)
    return left


def _counted_since(lot: Lot, concern: Concern) -> bool:
    """Whether all of that store, or one around it, was counted later."""
    return any(
        posting.term == "seen" and not posting.part and within(concern.store, posting.store)
        for line in lot.lines
        if line.place >= concern.place and line.record.name not in concern.rests_on
        for posting in line.postings
    )


def one_a_deed(raised: Iterable[Concern]) -> list[Concern]:
    """Each concern once; “before or after the count?” once for a deed."""
    kept: dict[object, Concern] = {}
    for concern in raised:
        if concern.kind != "before-or-after-count":
            like = (concern.key, concern.lot)
            kept[like] = min(kept.get(like, concern), concern, key=_first)
            continue
        key = (concern.kind, concern.deed)
        other = kept.get(key)
        if other is None:
            kept[key] = concern
        else:
            both = tuple(dict.fromkeys(sorted({*other.rests_on, *concern.rests_on})))
            kept[key] = replace(min(other, concern, key=_first), rests_on=both)
    return list(kept.values())


def _first(concern: Concern) -> tuple[object, ...]:
    return (concern.place, concern.lot, concern.rests_on, concern.store, concern.n)
