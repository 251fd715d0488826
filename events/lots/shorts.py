"""Moved twice? Two people log a move of the same crate, and one crate is left.

What a move falls short of is a question, and nothing else. A count of either place answers it. So
does a take: where the first move went, the crate is there; where the second went, it is there, and
what the second move said is believed.
"""

from collections.abc import Callable

from events.lots.places import within
from events.lots.steps import Step
from events.lots.working import Working


def note_short(w: Working, step: Step, store: str, to: str, short: int) -> None:
    """Raise the question, with both places."""
    other = w.moved_to.get(store, store)
    raised = w.concern("moved-short", step, store=to, other_store=other, n=short, detail=store)
    w.shorts.append(raised)


def count_answers(w: Working, store: str) -> None:
    """A whole count of either place, or of a store around it."""
    _end(w, lambda place: within(place, store))


def take_answers(w: Working, store: str) -> None:
    """Somebody took food in either place."""
    _end(w, lambda place: bool(place) and within(store, place))


def said_to_be_there(w: Working, store: str) -> int:
    """How much an unanswered move says came to `store`, of what stands where the first one went."""
    said = 0
    for concern in w.shorts:
        if concern.store and within(store, concern.store):
            there = sum(p.n for p in w.parcels if within(p.store, concern.other_store))
            said += min(concern.n, there)
    return said


def _end(w: Working, answered: Callable[[str], bool]) -> None:
    left = []
    for concern in w.shorts:
        if answered(concern.store) or answered(concern.other_store):
            w.lot.concerns.remove(concern)
        else:
            left.append(concern)
    w.shorts = left
