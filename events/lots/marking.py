"""Marks: holds (not to be eaten for now) and what is set aside (kept back); and what befalls a store.

On an amount in a store a mark lies on unmarked food first, and brings what is more than known
there as an opening does; on a whole lot also on what is later found of it. Food carries its marks
wherever it goes. Reckoning never lifts one: only people do.
"""

from typing import Literal, TypeAlias

from msgspec.structs import replace

from events.kinds import Consumed, Freed, Gave, Held, Released, SetAside
from events.lots.bringing import bring, note_brought, stretch
from events.lots.places import within
from events.lots.state import Mark, Parcel, Term
from events.lots.steps import BEGINNING, Befell, Ending, Step, moments
from events.lots.taking import LAY, PARCEL, Candidate, Want, candidates, take, under
from events.lots.working import Heat, Piece, Working

Lay: TypeAlias = Literal["holds", "asides"]


def held(w: Working, step: Step, part: Held) -> None:
    lay(w, step, part, "holds")
    if part.since is not None:
        reach_back(w, step, part.since)


def set_aside(w: Working, step: Step, part: SetAside) -> None:
    lay(w, step, part, "asides")


def lay(w: Working, step: Step, part: Held | SetAside, which: Lay) -> None:
    """Lay a mark on the whole lot, on all of it in a store, or on an amount there."""
    mark = (step.record.name, w.lot.name)
    w.stamps[mark[0]] = step.times.stamp
    w.marks_seen.add(mark[0])
    w.marked = True
    if which == "holds":
        w.laid.add(mark)
    term: Term = "held" if which == "holds" else "aside"
    amount = part.amount
    n = amount.n if amount is not None and amount.unit == w.unit else None
    if n is None and not part.store:
        lay_on_all(w, mark, which, term)
        return
    if n is None:
        chosen = [p for p in w.parcels if within(p.store, part.store)]
        pieces = [w.cut_whole(parcel) for parcel in chosen]
    else:
        pieces = gather(w, step, part.store, n)
    w.post_pieces(term, pieces)
    for piece in pieces:
        put_marked(w, step, piece, part.store, mark, which)
    w.sweep()


def lay_on_all(w: Working, mark: Mark, which: Lay, term: Term) -> None:
    """The whole lot, what is missing of it and what will be found of it."""
    for parcel in w.there_or_missing():
        mark_parcel(parcel, mark, which)
    if which == "holds":
        w.holds |= {mark}
    else:
        w.asides |= {mark}
    for parcel in w.parcels:
        w.post(term, parcel.n, parcel.store)


def mark_parcel(parcel: Parcel, mark: Mark, which: Lay) -> None:
    if which == "holds":
        parcel.holds |= {mark}
    else:
        parcel.asides |= {mark}


def gather(w: Working, step: Step, store: str, n: int) -> list[Piece]:
    """Cut an amount there, unmarked food first, bringing what is more than known."""
    want = Want(store, LAY)
    found = candidates(w, want)
    pieces = take(w, step, found, n)
    short = n - sum(piece.n for piece in pieces)
    if short > 0:
        short -= stretch(w, found, short)
        if short > 0:
            note_brought(w, step, store, bring(w, step, store, short, LAY))
        left = n - sum(piece.n for piece in pieces)
        pieces += take(w, step, candidates(w, want), left)
    return pieces


def put_marked(w: Working, step: Step, piece: Piece, store: str, mark: Mark, which: Lay) -> None:
    """Put a piece back where it stood, or in the narrower store that the mark names."""
    at = piece.parcel.store
    piece.parcel = replace(piece.parcel)
    mark_parcel(piece.parcel, mark, which)
    w.put(step, piece, at if within(at, store) else store, narrowed=True)


def reach_back(w: Working, step: Step, since: str) -> None:
    """The doubt is older than the hold: what was made since is held too, what was eaten is listed."""
    mark = (step.record.name, w.lot.name)
    earliest, _ = moments(since, step.record.offset)
    start = BEGINNING if earliest is None else earliest
    for draw in w.draws:
        if draw.place >= start:
            name = draw.record.name
            w.carried[name] = w.carried.get(name, frozenset()) | {mark}
            w.holds_changed = True
    for line in w.lot.lines:
        if line.place >= start and isinstance(line.record.body, Consumed | Gave):
            gone = [p for p in line.postings if p.term in ("consumed", "given")]
            n, store = sum(p.n for p in gone), gone[0].store if gone else ""
            w.concern("used-before-hold", line, mark[0], n=n, store=store, mark=mark[0])


def released(w: Working, step: Step, part: Released) -> None:
    lift(w, step, part, "holds", "released")


def freed(w: Working, step: Step, part: Freed) -> None:
    lift(w, step, part, "asides", "freed")


def lift(w: Working, step: Step, part: Released | Freed, which: Lay, term: Term) -> None:
    """End a mark: on the whole lot, on all of it in a store, or for an amount there."""
    name = w.same(part.mark)
    if name not in w.marks_seen:
        w.concern("unknown-mark", step, mark=name, store=part.store)
    amount = part.amount
    n = amount.n if amount is not None and amount.unit == w.unit else None
    if amount is not None:
        if n:
            release_amount(w, step, part.store, n, name, term)
        return
    if part.store:
        all_there = sum(p.n for p in w.parcels if within(p.store, part.store))
        release_amount(w, step, part.store, all_there, name, term)
        return
    for parcel in w.parcels:
        if under(parcel, name):
            w.post(term, parcel.n, parcel.store)
    lift_from_all(w, name, which)
    if which == "holds":
        own = (name, w.lot.name)
        if own in w.laid:
            w.ended.setdefault(own, step)
        w.heats = [heat for heat in w.heats if heat.hold[0] != name]
        w.holds_changed = True


def lift_from_all(w: Working, name: str, which: Lay) -> None:
    for parcel in w.there_or_missing():
        unmark(parcel, name)
    if which == "holds":
        w.holds = frozenset(hold for hold in w.holds if hold[0] != name)
    else:
        w.asides = frozenset(aside for aside in w.asides if aside[0] != name)


def unmark(parcel: Parcel, name: str) -> None:
    parcel.holds = frozenset(hold for hold in parcel.holds if hold[0] != name)
    parcel.asides = frozenset(aside for aside in parcel.asides if aside[0] != name)


def release_amount(w: Working, step: Step, store: str, n: int, name: str, term: Term) -> None:
    """End a mark for an amount of what lies under it in that store, nearest first."""
    if name not in w.marks_seen:
        w.concern("unknown-mark", step, mark=name, store=store)
        return
    found: list[Candidate] = [
        c for c in candidates(w, Want(store, LAY, name)) if under(c[PARCEL], name)
    ]
    pieces = take(w, step, found, n)
    w.post_pieces(term, pieces)
    for piece in pieces:
        at = piece.parcel.store
        piece.parcel = replace(piece.parcel)
        unmark(piece.parcel, name)
        w.put(step, piece, at if within(at, store) else store, narrowed=True)
    w.sweep()


def ending(w: Working, step: Step, part: Ending) -> None:
    """A hold that came with a parent's draw has ended where it was laid."""
    hold = part.hold
    for parcel in w.there_or_missing():
        if hold in parcel.holds:
            parcel.holds -= {hold}
            w.post("released", parcel.n, parcel.store)
    w.holds -= {hold}


def incident(w: Working, step: Step, part: Befell) -> None:
    """Hold what stood or may have stood there; what comes in until its end falls under it too."""
    hold = (step.record.name, w.lot.name)
    w.stamps[hold[0]] = step.times.stamp
    w.marks_seen.add(hold[0])
    w.laid.add(hold)
    w.marked = True
    store = part.said.store
    for parcel in w.there_or_missing():
        at = parcel.store
        if within(at, store) or (at and within(store, at)):
            parcel.holds |= {hold}
            if parcel.n:
                w.post("held", parcel.n, at)
        elif not at and parcel.n:
            w.concern("may-have-stood", step, n=parcel.n, store=store)
    w.heats.append(Heat(hold, store, part.end))
