"""A lot's steps, in order, folded: `begin`, then one step at a time.

One handler for each kind. In order, a step costs once; what comes late folds its lot anew.
"""

from collections.abc import Callable, Mapping
from typing import Any

from events.kinds import (
    Checked,
    Consumed,
    Counted,
    Draw,
    Freed,
    Gave,
    Held,
    LotSet,
    Moved,
    Opened,
    Planted,
    Received,
    Released,
    SetAside,
    Spoiled,
    StoreCounted,
    Yield,
)
from events.lots.counting import checked, counted, store_counted
from events.lots.going import consumed, drawn, gave, moved, opened, planted, spoiled
from events.lots.making import identity_of, lot_set, made
from events.lots.marking import ending, freed, held, incident, released, set_aside
from events.lots.steps import Befell, Ending, Step, Times
from events.lots.working import Inherited, Working, blank_lot
from events.record import Record

HANDLERS: dict[type, Callable[[Working, Step, Any], object]] = {
    Received: made,
    Yield: made,
    Consumed: consumed,
    Spoiled: spoiled,
    Gave: gave,
    Planted: planted,
    Draw: drawn,
    Moved: moved,
    Opened: opened,
    Counted: counted,
    Checked: checked,
    StoreCounted: store_counted,
    Held: held,
    Released: released,
    SetAside: set_aside,
    Freed: freed,
    Befell: incident,
    Ending: ending,
    LotSet: lot_set,
}

SILENT = (StoreCounted, Befell, Ending)


def begin(
    name: str,
    names: frozenset[str],
    maker: Record | None,
    made_as: Received | Yield | None,
    times: Times | None,
    stands: bool,
    doubles: Mapping[str, str],
) -> Working:
    """A lot before its first step; without a known maker its records wait."""
    lot = blank_lot(name, names)
    if maker is not None and made_as is not None and times is not None:
        lot.identity = identity_of(maker, made_as)
        lot.maker = maker
        lot.stands = stands
        lot.made_place = times.place
        lot.made_earliest = times.earliest
    return Working(lot, doubles)


def inherit(w: Working, inherited: Inherited) -> None:
    """What is made with held food carries those holds, also what is later found of it."""
    w.inherited = inherited
    w.holds = frozenset(inherited)
    w.marked = bool(inherited)
    for (name, _), (_, stamp) in inherited.items():
        w.stamps[name] = stamp
        w.marks_seen.add(name)


def apply(w: Working, step: Step) -> None:
    """Fold one step."""
    if step.astray:
        w.concern("explains-nothing", step, step.record.explains or "")
    HANDLERS[type(step.part)](w, step, step.part)
    w.finish(step, silent=isinstance(step.part, SILENT))


def wait(w: Working, steps: list[Step]) -> None:
    """Nobody has brought this lot in, as far as is known here: its records are kept and shown."""
    for step in steps:
        w.finish(step)
    names = tuple(dict.fromkeys(step.record.name for step in steps))
    if names:
        w.concern("unknown-lot", steps[0], *names[1:])


def run(w: Working, steps: list[Step]) -> None:
    """Fold all of a lot's standing steps, given in order."""
    if w.lot.identity is None:
        wait(w, steps)
        return
    for step in steps:
        if isinstance(step.part, Counted):
            cover(w, step, step.part)
    for step in steps:
        apply(w, step)
    if not w.lot.stands and steps:
        own = [step for step in steps if not isinstance(step.part, SILENT)]
        maker = w.lot.maker
        if own and maker is not None:
            w.concern("making-taken-back", own[0], maker.name, *(s.record.name for s in own[1:]))


def cover(w: Working, step: Step, part: Counted) -> None:
    """The deed counts this lot in that store."""
    deed = step.record.deed_name
    w.covered[deed] = (*w.covered.get(deed, ()), part.store)
