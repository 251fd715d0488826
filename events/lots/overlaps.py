"""Before or after the count? A record whose dates overlap a count's own leaves the question open.

The books go by the places; the concern says what it would change. A redating of the record
answers it either way, the next whole count there ends it.
"""

from events.lots.places import related, within
from events.lots.steps import Step
from events.lots.working import CountMade, Working


def ask_of_outgoing(w: Working, step: Step, store: str, n: int, to: str | None = None) -> None:
    """A record that takes or moves: does it overlap a count before it?"""
    if step.explained or step.times.redated or not n:
        return
    stores = (store,) if to is None else (store, to)
    if w.counts:
        for count in w.counts:
            if step.times.earliest <= count.place:
                ask(w, step, count, stores, n)
    w.outgoings.append((step, stores, n))


def ask_of_count(w: Working, step: Step, store: str, whole: bool) -> None:
    """Does a count overlap records before it? A whole one ends what older ones there left open."""
    if whole:
        answer(w, store)
    count = CountMade(step.times.earliest, step.place, store, step.name, step.record.typed is None)
    w.counts.append(count)
    for before, stores, n in reversed(w.outgoings):
        if before.place < count.earliest:
            break
        ask(w, before, count, stores, n)


def answer(w: Working, store: str) -> None:
    """A whole count there: whatever went before it, before or after no longer matters."""
    ended = [pair for pair in w.overlaps if within(pair[1], store)]
    for concern, _ in ended:
        w.lot.concerns.remove(concern)
    w.overlaps = [pair for pair in w.overlaps if not within(pair[1], store)]
    w.counts = [count for count in w.counts if not within(count.store, store)]


def ask(w: Working, step: Step, count: CountMade, stores: tuple[str, ...], n: int) -> None:
    """Raise the question where the stores lie one within the other."""
    if not any(related(store, count.store) for store in stores):
        return
    if both_by_the_clock(step, count):
        return
    raised = w.concern("before-or-after-count", step, count.name, store=count.store, n=n)
    w.overlaps.append((raised, count.store))


def both_by_the_clock(step: Step, count: CountMade) -> bool:
    """One device wrote both as they happened: their order is known."""
    device = count.name.partition(":")[0]
    return step.record.device == device and step.record.typed is None and count.by_clock
