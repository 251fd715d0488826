"""What does not add up in a household as a whole, beside what each lot raises itself."""

from collections.abc import Collection, Iterable, Mapping

from msgspec.structs import replace

from events.concerns import Concern
from events.kinds import Redated, Voided
from events.lots.household import Lots
from events.lots.places import within
from events.lots.state import Lot
from events.record import UnreadEntry


def household_concerns(lots: Lots) -> Iterable[Concern]:
    """Concerns about records rather than lots."""
    yield from _amendments(lots)
    yield from _repeats(lots)
    yield from likely_doubles(lots.lots.values())


def log_concerns(
    lots: Lots, unread: Mapping[str, UnreadEntry], twins: Mapping[str, str]
) -> Iterable[Concern]:
    """Concerns about what the log has and lacks."""
    yield from _gaps(lots, unread)
    for name, entry in unread.items():
        yield Concern(
            kind="unread-record",
            rests_on=(name,),
            place=entry.received,
            detail=f"{entry.unread.kind}, version {entry.unread.version}",
        )
    for name, digest in twins.items():
        yield Concern(kind="same-name", rests_on=(name,), detail=digest)


def _amendments(lots: Lots) -> Iterable[Concern]:
    """Voids and redatings of what is not known, in rings, or of a clock gone wild."""
    for name, record in lots.records.items():
        body = record.body
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


def likely_doubles(lots: Iterable[Lot]) -> Iterable[Concern]:
    """The same food, package and amount of the same day, written down by two."""
    alike: dict[tuple[object, ...], list[Lot]] = {}
    for lot in lots:
        made = lot.maker
        if made is None or lot.identity is None or not lot.stands:
            continue
        came = lot.totals.get("in", 0)
        if "/" in made.at or len(made.at) < len("2026-08-14") or not came:
            continue
        package = lot.identity.package
        key = (
            lot.identity.food.casefold(), lot.identity.variety, lot.identity.form,
            package and (package.vessel, package.content, package.content_unit),
            came, lot.unit, made.at[:10],
        )  # fmt: skip
        alike.setdefault(key, []).append(lot)
    for group in alike.values():
        group.sort(key=lambda lot: (lot.made_place, lot.name))
        first = group[0]
        for other in group[1:]:
            if first.maker and other.maker and _two_recorders(first, other):
                yield Concern(
                    kind="maybe-double",
                    rests_on=(first.maker.name, other.maker.name),
                    lot=other.name,
                    n=other.totals.get("in", 0),
                    unit=other.unit,
                    place=other.made_place,
                    deed=other.maker.deed_name,
                )


def _two_recorders(one: Lot, other: Lot) -> bool:
    first, second = one.maker, other.maker
    assert first is not None
    assert second is not None
    if first.by is not None and second.by is not None:
        return first.by != second.by
    return first.device != second.device


def missing_only_then(concern: Concern, later: Collection[str]) -> bool:
    """Whether what a past day lacks happened later: that is no concern."""
    if concern.kind in ("unknown-record", "explains-nothing"):
        return concern.rests_on[-1] in later
    if concern.kind == "unknown-lot":
        return concern.lot.rpartition(":")[0] in later
    return concern.kind == "unknown-mark" and concern.mark in later


def unanswered(lots: Mapping[str, Lot], raised: Iterable[Concern]) -> list[Concern]:
    """Leaves out a chosen lot's shortfall once a lot of that food was counted there."""
    left = []
    for concern in raised:
        lot = lots.get(concern.lot)
        if concern.kind == "picked-short" and lot is not None:
            food = lot.food.casefold()
            alike = (other for other in lots.values() if other.food.casefold() == food)
            if any(_counted_since(other, concern) for other in alike):
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


def _gaps(lots: Lots, unread: Mapping[str, UnreadEntry]) -> Iterable[Concern]:
    """Devices that have logged things which have not arrived."""
    seqs: dict[str, set[int]] = {}
    for name in (*lots.records, *unread):
        device, _, seq = name.rpartition(":")
        seqs.setdefault(device, set()).add(int(seq))
    for device, known in seqs.items():
        missing = max(known) - len(known)
        if missing:
            first = next(n for n in range(1, max(known) + 1) if n not in known)
            yield Concern(
                kind="gap-in-device",
                rests_on=(f"{device}:{first}",),
                n=missing,
                detail=device,
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
