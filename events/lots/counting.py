"""A count sets the lot in that store at that instant; a look is a lower bound of what is there.

What a count sees beyond the log comes from where it may have been; what it misses is missing
(loose fresh food that is weighed: shrunk). Neither is use. An estimate that turns out otherwise
is re-estimated, neither found nor missing.
"""

from events.kinds import Amount, Checked, Counted, StoreCounted
from events.lots.bringing import bring, note_brought, stretch
from events.lots.going import less_some, measured
from events.lots.marking import release_amount
from events.lots.overlaps import ask_of_count
from events.lots.places import within
from events.lots.shorts import count_answers
from events.lots.state import UNBOUNDED, Parcel, Posting
from events.lots.steps import Step
from events.lots.taking import LAY, MISS, NEAR, PARCEL, Candidate, Want, candidates, take
from events.lots.working import Missing, Working


def counted(w: Working, step: Step, part: Counted) -> None:
    store = part.store
    n = measured(w, part.amount)
    if n is None:
        less_some(w, step, store, "said")
        return
    low, high = bounds(part.amount, n)
    w.posts.append(Posting(term="seen", n=n, low=low, high=high, store=store, part=part.part))
    if part.part:
        see(w, step, store, n, low, high)
    elif low < high and n == 0 and high >= UNBOUNDED:
        sure(inside(w, store))  # "some": it was seen, and nobody says how much
    else:
        set_to(w, step, part, n, low, high)
        w.settle_said(store)
    if not part.part:
        count_answers(w, store)
    ask_of_count(w, step, store, whole=not part.part)
    w.deed_counts.setdefault(step.record.deed_name, []).append(store)
    w.lot.last_seen = step.place


def bounds(amount: Amount, n: int) -> tuple[int, int]:
    """(low, high) of an amount; both `n` where it is exact."""
    if amount.low is None:
        return n, n
    return amount.low, UNBOUNDED if amount.high is None else amount.high


def inside(w: Working, store: str) -> list[Parcel]:
    return [parcel for parcel in w.parcels if within(parcel.store, store)]


def sure(parcels: list[Parcel]) -> None:
    for parcel in parcels:
        parcel.doubt = False


def set_to(w: Working, step: Step, part: Counted, n: int, low: int, high: int) -> None:
    """A whole count: from here on this is what the store holds of the lot."""
    store = part.store
    there = inside(w, store)
    known = sum(parcel.n for parcel in there)
    estimated = any(parcel.low < parcel.high for parcel in there)
    exact = low == high
    if not exact and not estimated and low <= known <= high:
        sure(there)
        return
    if estimated:
        note_outside(w, step, store, there, n)
    if n > known:
        see_more(w, step, store, n - known, estimated)
    elif n < known:
        see_less(w, step, part, known - n)
    there = inside(w, store)
    sure(there)
    set_range(there, low, high)
    w.sweep()


def note_outside(w: Working, step: Step, store: str, there: list[Parcel], n: int) -> None:
    """Beyond what the estimate allowed: re-estimated all the same, with a concern."""
    low = sum(parcel.low for parcel in there)
    high = min(UNBOUNDED, sum(parcel.high for parcel in there))
    if n > high:
        w.concern("estimate-off", step, store=store, n=n - high)
    elif n < low:
        w.concern("estimate-off", step, store=store, n=n - low)


def set_range(there: list[Parcel], low: int, high: int) -> None:
    """Give the parcels the range of the count: nought apart where it is exact."""
    n = 0
    for parcel in there:
        parcel.low = parcel.high = parcel.n
        n += parcel.n
    if not there:
        return
    less, more = n - low, (UNBOUNDED if high >= UNBOUNDED else high - n)
    there[-1].high = min(UNBOUNDED, there[-1].high + max(0, more))
    for parcel in there:
        lowered = min(max(0, less), parcel.low)
        parcel.low -= lowered
        less -= lowered


def see_more(w: Working, step: Step, store: str, need: int, estimated: bool) -> None:
    """What a whole count sees beyond the log."""
    need -= narrow(w, step, store, need)
    if need > 0 and estimated:
        there = [p for p in inside(w, store) if p.low < p.high]
        for parcel in there:
            n = min(need, parcel.high - parcel.n)
            if n > 0:
                parcel.n += n
                w.post("re_estimated", n, parcel.store)
                need -= n
        if need > 0:
            last = there[-1]
            last.n += need
            last.high += need
            w.post("re_estimated", need, last.store)
        return
    if need > 0:
        bring_seen(w, step, store, need)


def bring_seen(w: Working, step: Step, store: str, need: int) -> None:
    """The rest of what was seen comes from where it may have been, never counted food of this deed."""
    spared = tuple(w.deed_counts.get(step.record.deed_name, ()))
    brought = bring(w, step, store, need, LAY, spared=spared)
    note_brought(w, step, store, brought, "count-differs")


def narrow(w: Working, step: Step, store: str, need: int) -> int:
    """What is known for the stores around is here: the same food said more exactly.

    A store around that this deed has counted gives it too: what was counted there is still in it.
    """
    around = [candidate for candidate in candidates(w, Want(store, LAY)) if candidate[NEAR]]
    pieces = take(w, step, around, need)
    came = sum(piece.n for piece in pieces)
    if came < need and (more := stretch(w, around, need - came)):
        pieces += take(w, step, around, more)
    for piece in pieces:
        w.put(step, piece, store, narrowed=True)
    w.sweep()
    return sum(piece.n for piece in pieces)


def see_less(w: Working, step: Step, part: Counted, gone: int) -> None:
    """What a whole count misses: an estimate is re-estimated first, the rest is missing."""
    store = part.store
    for parcel in inside(w, store):
        if parcel.low < parcel.high:
            n = min(gone, parcel.n)
            if n > 0:
                parcel.n -= n
                parcel.low = min(parcel.low, parcel.n)
                w.post("re_estimated", -n, parcel.store)
                gone -= n
    if gone <= 0:
        return
    order: list[Candidate] = [
        (int(c[PARCEL].store != store), *c[1:])  # known for the store alone, then for its parts
        for c in candidates(w, Want(store, MISS))
        if not c[NEAR]
    ]
    order.sort()
    pieces = take(w, step, order, gone)
    said = w.said_term(store)
    term = said or (w.weigh_loss if part.weighed else "missing")
    w.post_pieces(term, pieces)
    if term == "missing":
        name = step.record.name
        w.missing += [
            Missing(piece.n, as_it_was(piece.parcel, piece.opened), name) for piece in pieces
        ]
        w.concern("count-differs", step, store=store, n=-sum(piece.n for piece in pieces))
    aside: dict[str, int] = {}
    for piece in pieces:
        for name, _ in piece.parcel.asides:
            aside[name] = aside.get(name, 0) + piece.n
    for name, n in sorted(aside.items()):
        w.concern("reserve-short", step, name, n=n, store=store, mark=name)


def as_it_was(parcel: Parcel, opened: int | None) -> Parcel:
    """What went missing, with its marks and its lived path."""
    return Parcel(
        store=parcel.store,
        n=0,
        low=0,
        high=0,
        lived=parcel.lived,
        stood=parcel.stood,
        order=parcel.order,
        opened=opened,
        holds=parcel.holds,
        asides=parcel.asides,
    )


def see(w: Working, step: Step, store: str, n: int, low: int, high: int) -> None:
    """A lower bound: adds what is seen beyond the log, never takes away."""
    there = inside(w, store)
    known = sum(parcel.n for parcel in there)
    if n > known and not (low < high and low <= known):
        need = n - known
        need -= narrow(w, step, store, need)
        if need > 0:
            need -= stretch(w, [as_candidate(p) for p in inside(w, store)], need)
        if need > 0:
            bring_seen(w, step, store, need)
    make_sure(w, store, low)


def as_candidate(parcel: Parcel) -> Candidate:
    return (0, False, 0, False, 0, parcel.order, 0, parcel)


def make_sure(w: Working, store: str, seen: int) -> None:
    """At least so much is there: it is no longer in doubt, and no estimate is below it."""
    there = inside(w, store)
    seen_sure = seen - sum(parcel.n for parcel in there if not parcel.doubt)
    for parcel in sorted((p for p in there if p.doubt), key=lambda p: (p.stood, p.order)):
        if seen_sure <= 0:
            break
        if parcel.n <= seen_sure:
            seen_sure -= parcel.n
            parcel.doubt = False
        else:
            split_sure(w, parcel, seen_sure)
            seen_sure = 0
    lacking = seen - sum(parcel.low for parcel in inside(w, store))
    for parcel in inside(w, store):
        raised = min(lacking, parcel.n - parcel.low)
        if raised > 0:
            parcel.low += raised
            lacking -= raised


def split_sure(w: Working, parcel: Parcel, n: int) -> None:
    """So much of a doubtful parcel was seen."""
    piece = w.cut(parcel, n)
    seen = as_it_was(parcel, parcel.opened)
    seen.n = seen.low = seen.high = piece.n
    w.join(seen)


def checked(w: Working, step: Step, part: Checked) -> None:
    """Somebody looked; what was found sound is free of the hold that the look names."""
    store = part.store
    amounts = [measured(w, a) for a in (part.seen, part.sound, part.wrong) if a is not None]
    known = [n for n in amounts if n is not None]
    if known:
        n = max(known[0] if part.seen else 0, sum(known[1:]) if part.seen else sum(known))
        low, high = bounds(part.seen, n) if part.seen else (n, n)
        w.posts.append(Posting(term="seen", n=n, low=low, high=high, store=store, part=True))
        see(w, step, store, n, low, high)
    if part.mark is not None and part.sound is not None:
        sound = measured(w, part.sound)
        if sound:
            release_amount(w, step, store, sound, w.same(part.mark), "released")
    w.lot.last_seen = step.place


def store_counted(w: Working, step: Step, part: StoreCounted) -> None:
    """Gone through, and not named by the deed: nought to n, where now?"""
    covered = w.covered.get(step.record.deed_name, ())
    for parcel in inside(w, part.store):
        if parcel.doubt or any(within(parcel.store, store) for store in covered):
            continue
        parcel.doubt = True
        w.posts.append(
            Posting(term="doubt", n=parcel.n, low=0, high=parcel.high, store=parcel.store)
        )
    w.doubting_deeds.add(step.record.deed_name)
