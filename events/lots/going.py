"""Food that goes: eaten, thrown out, given, planted, drawn into something made, moved, opened.

A take is believed: where the log knows less, the rest is brought from where it may have been. A
move never makes food: what it falls short of is a concern, and nothing else.
"""

from typing import TypeAlias

from events.concerns import ConcernKind
from events.kinds import (
    GRAIN,
    Amount,
    Consumed,
    Draw,
    Gave,
    Moved,
    Opened,
    Planted,
    PutUp,
    Repacked,
    Spoiled,
)
from events.lots.bringing import bring, find, note_brought, stretch
from events.lots.overlaps import ask_of_outgoing
from events.lots.places import within
from events.lots.shorts import note_short, said_to_be_there, take_answers
from events.lots.state import Mark, Parcel, Posting, Term
from events.lots.steps import Step
from events.lots.taking import (
    EAT,
    GIVE,
    PARCEL,
    PLANT,
    SPOIL,
    SPOIL_NOT_FOUND,
    Act,
    Candidate,
    Want,
    candidates,
    spread,
    take,
    widen,
)
from events.lots.working import NOTHING, SIGN, Piece, Working, total

Going: TypeAlias = Consumed | Spoiled | Gave | Planted | Draw


def measured(w: Working, amount: Amount) -> int | None:
    """The likely amount in the lot's unit; None where it was said in a unit like no other."""
    return amount.n if amount.unit == w.unit else None


def consumed(w: Working, step: Step, part: Consumed) -> None:
    go(w, step, part, "consumed", EAT, part.opened)


def spoiled(w: Working, step: Step, part: Spoiled) -> None:
    go(
        w,
        step,
        part,
        "spoiled",
        SPOIL_NOT_FOUND if part.cause == "not found" else SPOIL,
        part.opened,
    )


def gave(w: Working, step: Step, part: Gave) -> None:
    go(w, step, part, "given", GIVE, part.opened)


def planted(w: Working, step: Step, part: Planted) -> None:
    go(w, step, part, "planted", PLANT)


def drawn(w: Working, step: Step, part: Draw) -> None:
    """A draw carries the holds of what it took into what is made, save the one it remedies."""
    body = step.record.body
    remedy = body.remedy if isinstance(body, PutUp | Repacked) else None
    cured = w.same(remedy) if remedy else ""
    pieces = go(w, step, part, "drawn", EAT, cured=cured)
    carried = frozenset(hold for piece in pieces for hold in piece.parcel.holds if hold[0] != cured)
    name = step.record.name
    before = w.carried.get(name, frozenset())
    w.carried[name] = before | carried
    w.draws.append(step)
    if carried - before:
        w.holds_changed = True


def go(
    w: Working,
    step: Step,
    part: Going,
    term: Term,
    act: Act,
    open_first: bool | None = None,
    cured: str = "",
) -> list[Piece]:
    """Take food out of the lot; the pieces that went."""
    amount = part.amount
    need = amount.n
    store = part.store
    if need is None or amount.unit != w.unit:
        less_some(w, step, store, term)
        return []
    if open_first is None:
        open_first = act.open_first
    w.lot.last_seen = step.place
    if not part.rest and (plain := take_plainly(w, part, need, open_first)) is not None:
        opened = plain.opened is not None
        w.posts.append(
            Posting(
                term, need, need, need, store, "", False, False, False, NOTHING, NOTHING, opened
            )
        )
        ask_of_outgoing(w, step, store, need)
        if w.shorts:
            take_answers(w, store)
        return [plain]
    if part.rest and (all_of_it := all_there(w, store)) is not None:
        pieces = all_of_it
    else:
        pieces = take_fully(w, step, part, need, act, open_first, cured)
    w.post_pieces(term, pieces)
    if w.marked:
        note_marks(w, step, pieces, term, cured)
    ask_of_outgoing(w, step, store, total(pieces))
    if w.shorts and pieces:
        take_answers(w, store)
    return pieces


def take_plainly(w: Working, part: Going, need: int, open_first: bool) -> Piece | None:
    """Most takes: nothing marked or in doubt, and the first parcel in that very store has it all.

    The same order as `candidates` gives, without the work; None where the whole rules are needed.
    """
    if w.marked or w.doubting_deeds or part.amount.low is not None or not need:
        return None
    store = part.store
    first: Parcel | None = None
    best = (True, 0, 0)
    parcels = w.parcels
    if len(parcels) == 1 and parcels[0].store == store:
        first = parcels[0]
        parcels = []
    for parcel in parcels:
        if parcel.store == store:
            order = ((parcel.opened is None) == open_first, parcel.stood[-1], parcel.order)
            if first is None or order < best:
                first, best = parcel, order
        elif within(parcel.store, store):
            return None
    if first is None or need > first.n:
        return None
    if w.packed and first.opened is None and (need % GRAIN or first.n % GRAIN):
        return None
    piece = w.cut(first, need)
    if not first.high:
        w.parcels.remove(first)
    return piece


def take_fully(
    w: Working,
    step: Step,
    part: Going,
    need: int,
    act: Act,
    open_first: bool,
    cured: str,
) -> list[Piece]:
    """Take by the whole of the rules."""
    mark = cured or (w.same(part.mark) if part.mark else "")
    want = Want(part.store, act, mark, open_first)
    picked = isinstance(part, Consumed) and part.picked
    pieces = take_believed(w, step, want, need, picked=picked)
    less, more = spread(part.amount)
    if less or more:
        widen(pieces, candidates(w, want), less, more)
    w.sweep()
    return pieces


def take_believed(
    w: Working, step: Step, want: Want, need: int, *, picked: bool = False
) -> list[Piece]:
    """Take `need`, bringing what the log does not know there."""
    found = candidates(w, want)
    pieces = take(w, step, found, need)
    short = need - total(pieces)
    if short <= 0:
        return pieces
    short -= stretch(w, found, short)
    if short > 0:
        if picked:
            find(w, step, want.store, short, picked=True)
            w.concern("picked-short", step, store=want.store, n=short)
        else:
            said = said_to_be_there(w, want.store) if w.shorts else 0
            brought = bring(w, step, want.store, max(short, said), want.act, whole=True)
            brought.carried = max(0, brought.carried - said)
            note_brought(w, step, want.store, brought)
    left = need - total(pieces)
    return pieces + take(w, step, candidates(w, want), left)


def all_there(w: Working, store: str, to: str | None = None) -> list[Piece] | None:
    """Take "the rest": all that the log knows there, low and high too; None if it knows none."""
    there = [
        parcel
        for parcel in w.parcels
        if within(parcel.store, store) and not (to is not None and within(parcel.store, to))
    ]
    if not any(parcel.n for parcel in there):
        for parcel in there:
            parcel.low = parcel.high = 0
        w.sweep()
        return None
    pieces = [w.cut_whole(parcel) for parcel in there]
    w.sweep()
    return pieces


def less_some(w: Working, step: Step, store: str, term: Term) -> None:
    """Said in a unit like no other: no sum changes until a whole count there misses something."""
    w.posts.append(Posting(term="said", n=0, low=0, high=0, store=store))
    w.concern("other-unit", step, store=store)
    w.pending.append((step, store, term))
    if term in SIGN:
        w.lot.less_some = (*w.lot.less_some, step.record.name)


def note_marks(w: Working, step: Step, pieces: list[Piece], term: Term, cured: str = "") -> None:
    """A concern for each hold that was eaten, given or drawn, and for a reserve that went."""
    held: dict[Mark, int] = {}
    aside: dict[Mark, int] = {}
    for piece in pieces:
        for mark in piece.parcel.holds:
            if mark[0] != cured:
                held[mark] = held.get(mark, 0) + piece.n
        for mark in piece.parcel.asides:
            aside[mark] = aside.get(mark, 0) + piece.n
    if term in ("consumed", "given", "planted", "drawn"):
        for mark, n in sorted(held.items()):
            early = step.place < w.stamps.get(mark[0], 0) >> 16
            kind: ConcernKind = "used-before-hold" if early else "held-used"
            w.concern(kind, step, mark[0], n=n, store=pieces[0].parcel.store, mark=mark[0])
    if term != "planted":
        for mark, n in sorted(aside.items()):
            if n:
                w.concern(
                    "reserve-short", step, mark[0], n=n, store=pieces[0].parcel.store, mark=mark[0]
                )


def moved(w: Working, step: Step, part: Moved) -> None:
    """Carry what is there; an estimate gives up to its high."""
    need = measured(w, part.amount)
    store, to = part.store, part.to
    if need is None:
        less_some(w, step, store, "moved")
        return
    pieces: list[Piece] | None = None
    if part.rest:
        pieces = all_there(w, store, to if within(to, store) else None)
    if pieces is None:
        want = Want(store, GIVE, w.same(part.mark) if part.mark else "", part.opened, to)
        pieces = take_known(w, step, want, need)
        less, more = spread(part.amount)
        if less or more:
            widen(pieces, candidates(w, want), less, more)
        short = need - total(pieces)
        if short > 0:
            note_short(w, step, store, to, short)
    w.post_pieces("moved", pieces, to=to)
    for piece in pieces:
        w.put(step, piece, to, narrowed=False)
    w.sweep()
    if pieces:
        w.moved_to[store] = to
    ask_of_outgoing(w, step, store, total(pieces), to)
    w.lot.last_seen = step.place


def take_known(w: Working, step: Step, want: Want, need: int) -> list[Piece]:
    """Take at most what is there, an estimate up to its high."""
    found: list[Candidate] = candidates(w, want)
    pieces = take(w, step, found, need)
    short = need - total(pieces)
    if short > 0 and (came := stretch(w, found, short)):
        pieces += take(w, step, candidates(w, want), came)
    return pieces


def opened(w: Working, step: Step, part: Opened) -> None:
    """Closed packages become open where they stand; they keep by the opened life from now on."""
    need = measured(w, part.amount)
    store = part.store
    if need is None:
        less_some(w, step, store, "opened")
        return
    want = Want(store, GIVE)
    pieces = take_closed_only(w, candidates(w, want), need)
    short = need - total(pieces)
    if short > 0:
        short -= stretch(w, [c for c in candidates(w, want) if c[PARCEL].opened is None], short)
        if short > 0 and part.picked:
            find(w, step, store, short, picked=True)
            w.concern("picked-short", step, store=store, n=short)
        elif short > 0:
            note_brought(w, step, store, bring(w, step, store, short, GIVE))
        left = need - total(pieces)
        pieces += take_closed_only(w, candidates(w, want), left)
    w.post_pieces("opened", pieces)
    for piece in pieces:
        piece.opened = step.place
        at = piece.parcel.store
        w.put(step, piece, at if within(at, store) else store, narrowed=True)
    w.sweep()
    w.lot.last_seen = step.place


def take_closed_only(w: Working, found: list[Candidate], need: int) -> list[Piece]:
    """Cut closed packages only, in order."""
    pieces: list[Piece] = []
    for candidate in found:
        parcel = candidate[PARCEL]
        n = min(need, parcel.n)
        if n > 0 and parcel.opened is None:
            pieces.append(w.cut(parcel, n))
            need -= n
    return pieces
