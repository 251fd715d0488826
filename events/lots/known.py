"""What is known of a household's records: which stand, when, and which lots each touches.

It folds nothing. It says which lots a batch of records touches in order, and which must be folded
anew because a void, a redating or a double changed what stands.
"""

from collections.abc import Iterable, Mapping

from msgspec import Struct

from events.kinds import (
    Checked,
    Consumed,
    Counted,
    Freed,
    Gave,
    Incident,
    Moved,
    Planted,
    PutUp,
    Received,
    Redated,
    Released,
    Repacked,
    Spoiled,
    StoreCounted,
    Voided,
    Yield,
)
from events.lots.standing import EMPTY, Standing, stand
from events.lots.steps import (
    FIRST,
    Step,
    Times,
    befell,
    key_before,
    key_of,
    made_part,
    maker_name,
    parts,
    times_of,
)
from events.record import Record

MAKINGS: tuple[type, ...] = (Received, Yield)
LOOKS = (Counted, Checked)
HOUSEHOLD: tuple[type, ...] = (Incident, StoreCounted)
AMENDING = (Voided, Redated)
SEVERAL = (PutUp, Repacked)
MAY_NAME_A_MARK = frozenset({Moved, Consumed, Spoiled, Gave, Planted, Checked, Released, Freed})
ALWAYS_NOTED = frozenset({PutUp, Repacked, Voided, Redated})


class News(Struct):
    """What a batch of records brings."""

    fresh: dict[str, list[Step]]
    """new steps by lot, as the records name it"""
    household: list[Step]
    """new incidents and stores gone through"""
    touched: set[str]
    """lots to fold anew, under the names they had and have"""


class Known:
    """The records known so far: what stands, when, and which lots each touches."""

    def __init__(self) -> None:
        self.records: dict[str, Record] = {}
        self.restood: set[str] = set()
        """records of which voids and redatings changed what they count for, until somebody asks"""
        self.standing: Standing = EMPTY
        self._plain: dict[str, Times] = {}
        self._steps: dict[str, list[Step]] = {}
        self._household: list[Step] = []
        self._amending: list[str] = []
        self._awaited: set[str] = set()
        self._by_source: dict[str, list[str]] = {}
        self._contested: dict[str, list[str]] = {}
        self._children: dict[str, set[str]] = {}
        self._explaining: set[str] = set()  # lots of records that explain a count
        self._mentions: dict[str, set[str]] = {}
        self._doubles: dict[str, list[str]] = {}

    # -- what is known of a record -------------------------------------------------------------

    def times(self, name: str) -> Times:
        """When a record counts, redatings heeded. KeyError for a name that is not known."""
        return self.standing.times.get(name) or self._plain[name]

    def stands(self, name: str) -> bool:
        return name in self.records and name not in self.standing.fallen

    def same(self, lot: str) -> str:
        """The lot that a name stands for: a double's yields are the other's, if the units agree."""
        names = self.standing.names
        if not names:
            return lot
        record, number = maker_name(lot)
        other = names.get(record)
        if other is None:
            return lot
        mine = self._made(record, number)
        theirs = self._made(other, number)
        if mine is None or theirs is None or mine.amount.unit != theirs.amount.unit:
            return lot
        return f"{other}:{number}"

    def _made(self, record: str, number: int) -> Received | Yield | None:
        known = self.records.get(record)
        return None if known is None else made_part(known, number)

    def parents(self, lot: str) -> list[str]:
        """The lots drawn on to make this one, where its making stands."""
        record, _ = maker_name(lot)
        known = self.records.get(record)
        if known is None or record in self.standing.fallen:
            return []
        body = known.body
        if not isinstance(body, SEVERAL):
            return []
        return list(dict.fromkeys(self.same(draw.lot) for draw in body.draws))

    def children(self, lot: str) -> list[str]:
        """The lots made from this one."""
        found: dict[str, None] = {}
        for name in (lot, *self._doubles.get(lot, ())):
            for child in sorted(self._children.get(name, ())):
                same = self.same(child)
                if lot in self.parents(same):
                    found[same] = None
        return list(found)

    # -- records come --------------------------------------------------------------------------

    def take_in(self, records: Iterable[Record]) -> News:
        """Index records, in any order and any batches; what is known already is no news."""
        fresh: dict[str, list[Step]] = {}
        household: list[Step] = []
        restand = False
        arrived: set[str] = set()
        touched: set[str] = set()
        known, plain, all_steps = self.records, self._plain, self._steps
        for record in records:
            name = record.name
            if name in known:
                continue
            known[name] = record
            times = times_of(record, record.at, record.offset, record.stamp, False)
            plain[name] = times
            if name in self._awaited:
                arrived.add(name)
            if name in self._mentions:
                touched |= self._mentions[name]
            if name in self._awaited or worth_noting(record):
                restand |= self._note(name, record)
            if type(record.body) in HOUSEHOLD:
                step = self._household_step(record)
                self._household.append(step)
                household.append(step)
                continue
            for lot, part, sub in parts(record, name):
                key = FIRST if type(part) in MAKINGS else key_of(times, record, sub)
                step = Step(key, times, record, name, part, sub, times.place)
                if lot in all_steps:
                    all_steps[lot].append(step)
                else:
                    all_steps[lot] = [step]
                if lot in fresh:
                    fresh[lot].append(step)
                else:
                    fresh[lot] = [step]
        if restand:
            touched |= self._restand(arrived)
        return News(fresh, household, touched)

    def _note(self, name: str, record: Record) -> bool:
        """Index a record; whether it changes what stands."""
        body = record.body
        if isinstance(body, AMENDING):
            self._amending.append(name)
            self._awaited.add(body.record)
            if isinstance(body, Voided) and body.same_as is not None:
                self._awaited.add(body.same_as)
            return True
        changes = name in self._awaited
        if record.source is not None:
            group = self._by_source.setdefault(record.source, [])
            group.append(name)
            if len(group) > 1:
                self._contested[record.source] = group
                changes = True
        if isinstance(body, SEVERAL):
            for draw in body.draws:
                made = self._children.setdefault(draw.lot, set())
                made.update(f"{name}:{number}" for number in range(len(body.yields)))
        mentions = _mentioned(record)
        if mentions:
            lots = {lot for lot, _, _ in parts(record)}
            if record.explains is not None:
                self._explaining |= lots
            for mentioned in mentions:
                self._mentions.setdefault(mentioned, set()).update(lots)
        return changes

    def _household_step(self, record: Record) -> Step:
        name, body = record.name, record.body
        times = self.times(name)
        if isinstance(body, Incident):
            bounds = befell(record, body, times)
            key = (bounds.start, -1, record.device, record.seq, 1, 0)
            return Step(key, times, record, name, bounds, 0, times.place)
        return Step(key_of(times, record, 0), times, record, name, body, 0, times.place)

    def let_go(self, names: set[str]) -> set[str]:
        """Forget records with which no others hang together; the lots that go with them."""
        lots: set[str] = set()
        for name in names:
            self._mentions.pop(name, None)
            self._awaited.discard(name)
            self._plain.pop(name, None)
            record = self.records.pop(name, None)
            if record is not None:
                lots.update(lot for lot, _, _ in parts(record))
                self._by_source.pop(record.source or "", None)
                self._contested.pop(record.source or "", None)
        for lot in lots:
            self._steps.pop(lot, None)
            self._children.pop(lot, None)
            self._doubles.pop(lot, None)
        self._explaining -= lots
        self._amending = [name for name in self._amending if name not in names]
        self.standing = self.standing.without(names)
        return lots

    # -- what stands -----------------------------------------------------------------------------

    def _restand(self, arrived: set[str]) -> set[str]:
        """Work out anew what stands; names of the lots that this changes, as they were named.

        `arrived`: records that some void or redating named before they came. Which lot a double's
        name stands for depends on both makings, so that either's coming may change it.
        """
        before = self.standing
        after = stand(
            self.records, self._amending, self._contested.values(), self._plain.__getitem__
        )
        changed = set(before.fallen ^ after.fallen)
        changed |= _differing(before.names, after.names) | _differing(before.times, after.times)
        changed |= {name for name, other in after.names.items() if {name, other} & arrived}
        self.restood |= changed
        dirty = {self.same(lot) for lot in self._touched(changed)}
        self.standing = after
        self._doubles = {}
        for name, other in after.names.items():
            if name in self.records:
                for lot, part, _ in parts(self.records[name]):
                    if isinstance(part, MAKINGS) and self.same(lot) != lot:
                        self._doubles.setdefault(f"{other}:{maker_name(lot)[1]}", []).append(lot)
        for name in changed:
            if name in self.records:
                self._retime(self.records[name])
        dirty |= self._touched(changed)
        if arrived or before.names != after.names:
            dirty |= self._explaining  # whose count it explains may go by another name now
        return dirty

    def _touched(self, names: Iterable[str]) -> set[str]:
        """Lots that the records of those names make, touch or mark, or that name them."""
        touched: set[str] = set()
        for name in names:
            touched |= self._mentions.get(name, set())
            record = self.records.get(name)
            if record is None:
                continue
            if isinstance(record.body, HOUSEHOLD):
                touched |= self._steps.keys()
            touched.update(lot for lot, _, _ in parts(record))
        return touched

    def _retime(self, record: Record) -> None:
        """Set the steps of a record whose times changed anew."""
        times = self.times(record.name)
        for lot in {lot for lot, _, _ in parts(record)}:
            for step in self._steps[lot]:
                if step.record is record:
                    step.times, step.place = times, times.place
                    if not isinstance(step.part, MAKINGS):
                        step.key = key_of(times, record, step.sub)
        if isinstance(record.body, HOUSEHOLD):
            self._household = [
                self._household_step(record) if step.record is record else step
                for step in self._household
            ]

    def steps_of(self, names: Iterable[str]) -> list[Step]:
        """The standing steps of a lot of those names, each in its place; not yet in order."""
        fallen = self.standing.fallen
        return [s for n in names for s in self._steps.get(n, ()) if s.name not in fallen]

    def names_of(self, lot: str) -> frozenset[str]:
        """The lot's own name and those of its doubles."""
        return frozenset((lot, *self._doubles.get(lot, ())))

    def steps_said(self, lot: str) -> Iterable[Step]:
        """Every step of a lot under this name, also those that do not stand."""
        return self._steps.get(lot, ())

    def mentioning(self, record: str) -> Iterable[str]:
        """The lots of records that lean on a record."""
        return self._mentions.get(record, ())

    def of_source(self, source: str | None) -> Iterable[str]:
        return () if source is None else self._by_source.get(source, ())

    def amenders(self) -> dict[str, list[str]]:
        """The voids and redatings known so far, by the records that they name."""
        found: dict[str, list[str]] = {}
        for name in self._amending:
            body = self.records[name].body
            assert isinstance(body, Voided | Redated)
            found.setdefault(body.record, []).append(name)
            if isinstance(body, Voided) and body.same_as is not None:
                found.setdefault(body.same_as, []).append(name)
        return found

    def household_steps(self) -> list[Step]:
        """Standing incidents and stores gone through."""
        return [s for s in self._household if s.name not in self.standing.fallen]

    def amending(self) -> Iterable[str]:
        """The voids and redatings known so far."""
        return self._amending

    def place_explaining(self, step: Step, lot: str) -> None:
        """Just before the count that it explains, if that one stands and is of this lot."""
        if isinstance(step.part, MAKINGS):
            return
        step.key = key_of(step.times, step.record, step.sub)
        step.place, step.explained, step.astray = step.times.place, False, False
        said = step.record.explains or ""
        name = self.standing.names.get(said, said)
        count = self.records.get(name)
        if (
            count is None
            or not isinstance(count.body, LOOKS)
            or name in self.standing.fallen
            or isinstance(step.part, LOOKS)
        ):
            step.astray = True
            return
        of = self.same(count.body.lot)
        if of != lot:
            step.astray = of not in {self.same(other) for other, _, _ in parts(step.record)}
            return
        times = self.times(name)
        step.key = key_before(key_of(times, count, 0), step.times, step.record, step.sub)
        step.place, step.explained = times.place, True


def worth_noting(record: Record) -> bool:
    """Whether a record has to do with others beyond the lots it touches."""
    kind = type(record.body)
    return (
        (kind in MAY_NAME_A_MARK and record.body.mark is not None)  # type: ignore[union-attr]
        or kind in ALWAYS_NOTED
        or record.source is not None
        or record.explains is not None
    )


def _mentioned(record: Record) -> list[str]:
    """Names of other records that this one leans on."""
    body = record.body
    found = [record.explains]
    if isinstance(body, SEVERAL):
        found += [body.remedy, *(draw.mark for draw in body.draws)]
    else:
        found.append(getattr(body, "mark", None))
    return [name for name in found if name is not None]


def _differing(before: Mapping[str, object], after: Mapping[str, object]) -> set[str]:
    return {name for name in before.keys() | after.keys() if before.get(name) != after.get(name)}
