"""The record that makes a lot comes first: what the lot is, and what there is of it.

A making that was taken back leaves what was logged on its lots: nothing came in.
"""

from events.kinds import GRAIN, Draw, LotSet, PutUp, Received, Repacked, Yield
from events.lots.state import UNBOUNDED, Identity, Posting
from events.lots.steps import Step
from events.lots.working import Working
from events.record import Record

LOOSE_FORMS = frozenset({"fresh", "drying", "curing"})
"""Of loose food in these forms, what a weighing misses has shrunk: common practice, no source."""

NEVER_LEARNT = frozenset({"amount", "unit", "store"})


def identity_of(record: Record, part: Received | Yield) -> Identity:
    """What the making says the lot is; its unit never changes."""
    body = record.body
    draws: tuple[Draw, ...] = body.draws if isinstance(body, PutUp | Repacked) else ()
    return Identity(
        food=part.food,
        unit=part.amount.unit,
        variety=part.variety,
        form=part.form,
        package=part.package,
        label=part.label,
        owner=part.owner if isinstance(part, Received) else None,
        parents=tuple(dict.fromkeys(draw.lot for draw in draws)),
    )


def made(w: Working, step: Step, part: Received | Yield) -> None:
    """Food comes in. A package received part full is open, so is the broken part of an amount."""
    w.weigh_loss = "shrunk" if not w.packed and (part.form or "") in LOOSE_FORMS else "missing"
    amount = part.amount
    n = amount.n
    if n is None:
        n, low, high = 0, 0, UNBOUNDED
    elif amount.low is None:
        low = high = n
    else:
        low = min(amount.low, n)
        high = UNBOUNDED if amount.high is None else max(amount.high, n)
    w.posts.append(Posting(term="in", n=n, low=low, high=high, store=part.store))
    package = part.package
    if package is not None and package.fill is not None:
        w.fresh(step, part.store, n, low, high, step.place)
    elif package is not None and low == high and n % GRAIN:
        broken = n % GRAIN
        if n > broken:
            w.fresh(step, part.store, n - broken, n - broken, n - broken, None)
        w.fresh(step, part.store, broken, broken, broken, step.place)
    elif high:
        w.fresh(step, part.store, n, low, high, None)
    w.lot.last_seen = step.place


def lot_set(w: Working, step: Step, part: LotSet) -> None:
    """The newest stamp wins, field by field; never amount, unit or store."""
    order = (step.times.stamp, step.record.device, step.record.seq)
    for field, value in part.facts.items():
        if field in NEVER_LEARNT or order < w.learnt.get(field, (-1, "", 0)):
            continue
        w.learnt[field] = order
        w.lot.facts[field] = value
