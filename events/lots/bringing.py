"""More than the log knows there: where it comes from.

From an estimate there, up to its high; from what the lot is missing, newest first (it turned up);
from elsewhere (an implied move); from an estimate elsewhere; the rest is found. What is known for
the stores around has been used before. It brings its marks and its lived path.
"""

from msgspec import Struct
from msgspec.structs import replace

from events.concerns import ConcernKind
from events.kinds import GRAIN
from events.lots.places import related, within
from events.lots.state import Parcel
from events.lots.steps import Step
from events.lots.taking import PARCEL, Act, Candidate, rank, take
from events.lots.working import Missing, Piece, Working


class Brought(Struct):
    """What came, and from where."""

    turned_up: int = 0
    carried: int = 0
    carried_from: str = ""
    found: int = 0


def bring(
    w: Working,
    step: Step,
    store: str,
    need: int,
    act: Act,
    *,
    whole: bool = False,
    spared: tuple[str, ...] = (),
) -> Brought:
    """Put `need` more into `store`. `whole`: closed packages are carried whole.

    `spared`: stores that this deed has counted already, never drawn on.
    """
    brought = Brought()
    need -= turn_up(w, step, store, need, whole, brought)
    if need > 0:
        need -= carry(w, step, store, need, act, whole, spared, brought)
    if need > 0:
        need -= stretch_elsewhere(w, step, store, need, spared, brought)
    if need > 0:
        find(w, step, store, need)
        brought.found = need
    return brought


def note_brought(
    w: Working, step: Step, store: str, brought: Brought, found: ConcernKind = "more-than-known"
) -> None:
    """Raise what was carried unsaid, and what nobody knows the source of."""
    if brought.carried:
        w.concern(
            "carried-unsaid",
            step,
            store=store,
            other_store=brought.carried_from,
            n=brought.carried,
        )
    if brought.found:
        w.concern(found, step, store=store, n=brought.found)


def stretch(w: Working, found: list[Candidate], need: int) -> int:
    """Raise the estimates among the candidates towards their high; how much that gives."""
    came = 0
    for candidate in found:
        parcel = candidate[PARCEL]
        n = min(need - came, parcel.high - parcel.n)
        if n > 0:
            parcel.n += n
            w.post("re_estimated", n, parcel.store)
            came += n
    return came


def turn_up(w: Working, step: Step, store: str, need: int, whole: bool, brought: Brought) -> int:
    """What a count missed is here after all; the difference that it made falls."""
    came = 0
    for missing in reversed(w.missing):
        if came >= need:
            break
        wanted = need - came
        if whole and w.packed and missing.parcel.opened is None:
            wanted = -(-wanted // GRAIN) * GRAIN
        n = min(wanted, missing.n)
        if n <= 0:
            continue
        missing.n -= n
        came += n
        w.post("missing", -n, missing.parcel.store, to=store, turned_up=True)
        for piece in closed_and_broken(w, step, missing.parcel, n):
            w.put(step, piece, store)
        lessen_difference(w, missing, n)
    w.missing = [missing for missing in w.missing if missing.n]
    brought.turned_up = came
    return came


def closed_and_broken(w: Working, step: Step, parcel: Parcel, n: int) -> list[Piece]:
    """An amount of a parcel as it would stand: whole packages closed, a broken one open."""
    if not w.packed or parcel.opened is not None or n % GRAIN == 0:
        return [Piece(parcel, n, n, n, parcel.opened)]
    broken = n % GRAIN
    pieces = [Piece(parcel, broken, broken, broken, step.place)]
    if n > broken:
        pieces.append(Piece(parcel, n - broken, n - broken, n - broken, None))
    return pieces


def lessen_difference(w: Working, missing: Missing, n: int) -> None:
    """The concern of the count that missed it falls by as much."""
    for index, concern in enumerate(w.lot.concerns):
        if concern.kind == "count-differs" and concern.rests_on[0] == missing.count:
            if concern.n + n == 0:
                del w.lot.concerns[index]
            else:
                w.lot.concerns[index] = replace(concern, n=concern.n + n)
            return


def elsewhere(w: Working, store: str, spared: tuple[str, ...]) -> list[Parcel]:
    """Parcels neither in the store nor around it, nor where this deed has counted."""
    return [
        parcel
        for parcel in w.parcels
        if not related(parcel.store, store)
        and not any(within(parcel.store, counted) for counted in spared)
    ]


def carry(
    w: Working,
    step: Step,
    store: str,
    need: int,
    act: Act,
    whole: bool,
    spared: tuple[str, ...],
    brought: Brought,
) -> int:
    """An implied move: free food first, from the store with most of it, then aside, last held."""
    sums: dict[tuple[bool, int, str], int] = {}
    groups: dict[tuple[bool, int, str], list[Parcel]] = {}
    for parcel in elsewhere(w, store, spared):
        key = (parcel.doubt, 2 if parcel.holds else 1 if parcel.asides else 0, parcel.store)
        sums[key] = sums.get(key, 0) + parcel.n
        groups.setdefault(key, []).append(parcel)
    came = 0
    for key in sorted(sums, key=lambda key: (key[0], key[1], -sums[key], key[2])):
        if came >= need:
            break
        order: list[Candidate] = [
            (0, False, 0, (p.opened is None) == act.open_first, p.stood[-1], p.order, i, p)
            for i, p in enumerate(groups[key])
        ]
        pieces = take(w, step, sorted(order), need - came, whole=whole)
        came += carry_pieces(w, step, pieces, store, brought)
    return came


def carry_pieces(w: Working, step: Step, pieces: list[Piece], store: str, brought: Brought) -> int:
    """Put down in `store` what was cut elsewhere; how much."""
    if not pieces:
        return 0
    w.post_pieces("moved", pieces, to=store)
    for piece in pieces:
        w.put(step, piece, store)
    came = sum(piece.n for piece in pieces)
    brought.carried += came
    brought.carried_from = brought.carried_from or pieces[0].parcel.store
    return came


def stretch_elsewhere(
    w: Working,
    step: Step,
    store: str,
    need: int,
    spared: tuple[str, ...],
    brought: Brought,
) -> int:
    """From an estimate elsewhere, up to its high."""
    came = 0
    others = elsewhere(w, store, spared)
    others.sort(key=lambda p: (p.doubt, rank(p, Act(0, 1, 2, open_first=True)), p.store, p.order))
    for parcel in others:
        n = min(need - came, parcel.high - parcel.n)
        if n > 0:
            parcel.n += n
            w.post("re_estimated", n, parcel.store)
            came += carry_pieces(w, step, [w.cut(parcel, n)], store, brought)
    return came


def find(w: Working, step: Step, store: str, n: int, *, picked: bool = False) -> None:
    """Food of which nobody knows whence it came; whole packages closed, a broken one open."""
    w.post("found", n, store, picked=picked)
    broken = n % GRAIN if w.packed else 0
    if n > broken:
        w.fresh(step, store, n - broken, n - broken, n - broken, None)
    if broken:
        w.fresh(step, store, broken, broken, broken, step.place)
