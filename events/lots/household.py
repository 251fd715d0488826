"""All lots of a household, kept true to the set of records as they come.

In order, a record costs one step on its lot. A late one folds its own lot anew, once a batch, and
goes on to lots made from it only if the holds drawn have changed. Voids, redatings and doubles
fold the lots of the records that they change. The state is a function of the set of records.
"""

from collections.abc import Iterable
from operator import attrgetter

from events.kinds import Counted, StoreCounted
from events.lots.known import Known
from events.lots.lineage import closure, parents_first
from events.lots.places import related
from events.lots.replay import apply, begin, cover, inherit, run
from events.lots.state import Lot, Mark
from events.lots.steps import Befell, Ending, Step, made_part, maker_name
from events.lots.working import Inherited, Working
from events.record import Record

by_key = attrgetter("key")
HOUSEHOLD_PARTS = (Befell, StoreCounted)


class Lots(Known):
    """Every lot."""

    def __init__(self) -> None:
        super().__init__()
        self.lots: dict[str, Lot] = {}
        self.working: dict[str, Working] = {}
        self.changed: set[str] = set()
        """lots that came out otherwise, or are no more, until somebody asks"""
        self._ringed: set[str] = set()

    def add(self, records: Iterable[Record]) -> None:
        """Take in records, in any order and any batches; what is known already changes nothing."""
        news = self.take_in(records)
        self._fold(news.fresh, news.household, news.touched)

    def _fold(self, fresh: dict[str, list[Step]], household: list[Step], touched: set[str]) -> None:
        dirty = {self.same(lot) for lot in touched}
        for lot in touched:
            if self.same(lot) != lot:
                self._forget(lot)
        coming: dict[str, list[Step]] = {}
        for lot, steps in fresh.items():
            coming.setdefault(self.same(lot), []).extend(steps)
        if household:
            upright = [s for s in household if s.name not in self.standing.fallen]
            for lot in self.working:
                coming.setdefault(lot, []).extend(upright)
        changed = set()
        for lot, steps in coming.items():
            if lot in dirty:
                continue
            w = self.working.get(lot)
            before = w and (len(w.lines), len(w.lot.concerns))
            if w is None or lot in self._ringed or not self._go_on(w, steps):
                dirty.add(lot)
                continue
            if before != (len(w.lines), len(w.lot.concerns)) or _befallen(w, steps):
                self.changed.add(lot)
            if w.holds_changed:
                w.holds_changed = False
                changed.add(lot)
        self._refold(dirty, changed)

    def _go_on(self, w: Working, steps: list[Step]) -> bool:
        """Fold steps that come after all others; False where the lot must be folded anew."""
        if w.lot.identity is None or not w.lot.stands:
            return False
        fallen = self.standing.fallen
        w.names = self.standing.names
        for step in sorted(steps, key=by_key):
            record = step.record
            if isinstance(step.part, HOUSEHOLD_PARTS):
                if not _concerns(w, step):
                    continue
            elif step.name in fallen:
                continue
            elif record.explains is not None or step.name in self._mentions:
                return False
            if step.key <= w.last_key:
                return False
            if isinstance(step.part, Counted):
                if record.deed_name in w.doubting_deeds:
                    return False
                cover(w, step, step.part)
            apply(w, step)
        return True

    def _refold(self, dirty: set[str], changed: set[str]) -> None:
        """Fold dirty lots anew, parents first, and what was made of them where holds changed."""
        if not dirty and not changed:
            return
        reached = closure(dirty | changed, self.children)
        if len(reached) == len(dirty) and not any(map(self.parents, reached)):
            for lot in dirty:
                self._fold_lot(lot, {})
            return
        for group in parents_first(reached, self.parents):
            lot = group[0]
            if len(group) > 1 or lot in self.parents(lot):
                self._fold_ring(group)
                continue
            self._ringed.discard(lot)
            inherited = self._inherited(lot, frozenset())
            w = self.working.get(lot)
            if lot in dirty or w is None or w.inherited != inherited:
                self._fold_lot(lot, inherited)

    def _fold_ring(self, group: list[str]) -> None:
        """Lots made of each other carry the holds of any of them."""
        members = frozenset(group)
        holds: set[Mark] = set()
        inherited: Inherited = {}
        for lot in group:
            self._ringed.add(lot)
            outside = self._inherited(lot, members)
            inherited.update(outside)
            self._fold_lot(lot, outside)
            holds |= self.working[lot].laid
        for lot in group:
            shared = dict(inherited)
            shared.update((hold, self._end(hold)) for hold in holds if hold[1] != lot)
            self._fold_lot(lot, shared)

    def _inherited(self, lot: str, without: frozenset[str]) -> Inherited:
        """The holds that the parents' draws carried, and where each ended."""
        record, _ = maker_name(lot)
        found: Inherited = {}
        for parent in self.parents(lot):
            w = self.working.get(parent)
            if w is not None and parent not in without:
                for hold in w.carried.get(record, ()):
                    found[hold] = self._end(hold)
        return found

    def _end(self, hold: Mark) -> tuple[Step | None, int]:
        name, origin = hold
        w = self.working.get(origin)
        return (w.ended.get(hold) if w else None), self.times(name).stamp

    def _fold_lot(self, lot: str, inherited: Inherited) -> None:
        """Fold one lot from nothing."""
        record, number = maker_name(lot)
        maker = self.records.get(record)
        names = self.names_of(lot)
        made_as = None if maker is None else made_part(maker, number)
        stands = record not in self.standing.fallen
        times = None if maker is None else self.times(record)
        w = begin(lot, names, maker, made_as, times, stands, self.standing.names)
        inherit(w, inherited)
        steps = self.steps_of(names)
        for step in steps:
            if step.record.explains is not None:
                self.place_explaining(step, lot)
        if w.lot.identity is not None:
            steps += [s for s in self.household_steps() if _concerns(w, s)]
            steps += [
                Step(end.key, end.times, end.record, end.name, Ending(hold), 0, end.place)
                for hold, (end, _) in inherited.items()
                if end is not None
            ]
        steps.sort(key=by_key)
        if not steps and made_as is None:
            self._forget(lot)
            return
        run(w, steps)
        w.holds_changed = False
        self.changed.add(lot)
        self.working[lot] = w
        self.lots[lot] = w.lot

    def _forget(self, lot: str) -> None:
        self.changed.add(lot)
        self.working.pop(lot, None)
        self.lots.pop(lot, None)

    def let_go(self, names: set[str]) -> set[str]:  # type: ignore[explicit-override]
        lots = super().let_go(names)
        for lot in lots:
            self.working.pop(lot, None)
            self.lots.pop(lot, None)
        self._ringed -= lots
        return lots

    def hands_down(self, lot: str) -> bool:
        """Whether holds of the lot may lie on what was made of it."""
        w = self.working.get(lot)
        return w is not None and bool(w.laid or w.inherited or any(w.carried.values()))


def _befallen(w: Working, steps: Iterable[Step]) -> bool:
    """Whether food of the lot stands where one of these incidents and goings through was."""
    stores = [p.said.store if isinstance(p, Befell) else p.store
              for step in steps if isinstance(p := step.part, Befell | StoreCounted)]  # fmt: skip
    return any(related(parcel.store, store) for store in stores for parcel in w.parcels)


def _concerns(w: Working, step: Step) -> bool:
    """Nothing stands before the earliest moment of the record that made it."""
    part = step.part
    latest = part.end if isinstance(part, Befell) else step.place
    return w.lot.made_earliest <= latest
