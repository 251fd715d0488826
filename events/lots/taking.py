"""Which food goes: the order of parcels, and cutting an amount out of them.

The order in full: nearest store, not in doubt, mark, open or closed, longest there, log order. In
a lot kept in packages the broken part of any amount comes from an open package if there is one,
and else opens one. Nothing here makes food or books it.
"""

from typing import Final, TypeAlias

from msgspec import Struct

from events.kinds import GRAIN, Amount
from events.lots.places import depth, within
from events.lots.state import UNBOUNDED, Parcel
from events.lots.steps import Step
from events.lots.working import Piece, Working


class Act(Struct, frozen=True):
    """How a kind of record chooses: ranks of free, set-aside and held food, open ones first."""

    free: int
    aside: int
    held: int
    open_first: bool
    doubt_first: bool = False


EAT = Act(0, 1, 2, open_first=True)
GIVE = Act(0, 1, 2, open_first=False)
SPOIL = Act(1, 2, 0, open_first=False)
SPOIL_NOT_FOUND = Act(1, 2, 0, open_first=False, doubt_first=True)
PLANT = Act(1, 0, 2, open_first=True)
MISS = Act(0, 1, 2, open_first=False, doubt_first=True)
LAY = GIVE


Candidate: TypeAlias = tuple[int, bool, int, bool, int, int, int, Parcel]
"""A parcel in its place in the order: (steps to its store, doubt, mark, open or closed, longest
there, log order, serial, parcel). The serial keeps two parcels from being compared."""

NEAR: Final = 0
PARCEL: Final = 7


class Want(Struct, frozen=True):
    """What is looked for, and where."""

    store: str
    act: Act
    mark: str = ""
    """food under this mark first"""
    open_first: bool | None = None
    to: str | None = None
    """where a move goes: never what is there already"""


def rank(parcel: Parcel, act: Act) -> int:
    """The rank of a parcel's marks."""
    if parcel.holds:
        return act.held
    return act.aside if parcel.asides else act.free


def candidates(w: Working, want: Want) -> list[Candidate]:
    """What is known in the store, then what is known for the stores around it, in order."""
    store, act = want.store, want.act
    here = depth(store)
    open_first = act.open_first if want.open_first is None else want.open_first
    into_part = want.to is not None and within(want.to, store)
    found = []
    for serial, parcel in enumerate(w.parcels):
        at = parcel.store
        if within(at, store):
            near, stood = 0, parcel.stood[here]
        elif within(store, at):
            near, stood = here - depth(at), parcel.stood[-1]
        else:
            continue
        if want.to is not None and (at == want.to or (into_part and within(at, want.to))):
            continue
        marked = rank(parcel, act)
        if want.mark and under(parcel, want.mark):
            marked = -1
        found.append(
            (
                near,
                parcel.doubt != act.doubt_first,
                marked,
                (parcel.opened is None) == open_first,
                stood,
                parcel.order,
                serial,
                parcel,
            )
        )
    if len(found) > 1:
        found.sort()
    return found


def under(parcel: Parcel, mark: str) -> bool:
    """Whether the mark of that name lies on the parcel."""
    return any(name == mark for name, _ in parcel.holds | parcel.asides)


def take(
    w: Working, step: Step, found: list[Candidate], need: int, *, whole: bool = False
) -> list[Piece]:
    """Cut up to `need` out of the candidates, group by group of (near, doubt, mark).

    `whole`: a closed package is cut whole rather than broken, so more than `need` may come.
    """
    pieces: list[Piece] = []
    if found and need > 0:  # most takes end here: one parcel has it all
        parcel = found[0][PARCEL]
        if need <= parcel.n and (
            not w.packed or parcel.opened is not None or need % GRAIN == 0 == parcel.n % GRAIN
        ):
            return [w.cut(parcel, need)]
    first = 0
    while need > 0 and first < len(found):
        last = first
        group = found[first][:3]
        while last < len(found) and found[last][:3] == group:
            last += 1
        chosen = found[first:last]
        if w.packed:
            need -= take_packages(w, step, chosen, need, pieces, whole)
        else:
            need -= take_loose(w, [c[PARCEL] for c in chosen], need, pieces)
        first = last
    return pieces


def take_loose(w: Working, parcels: list[Parcel], need: int, pieces: list[Piece]) -> int:
    """Cut up to `need` in the order given; how much came."""
    came = 0
    for parcel in parcels:
        n = min(need - came, parcel.n)
        if n > 0:
            pieces.append(w.cut(parcel, n))
            came += n
    return came


def take_packages(
    w: Working,
    step: Step,
    chosen: list[Candidate],
    need: int,
    pieces: list[Piece],
    whole: bool,
) -> int:
    """The same for a lot in packages: whole ones from the closed, the rest from an open one."""
    opened = [c[PARCEL] for c in chosen if c[PARCEL].opened is not None]
    closed = [c[PARCEL] for c in chosen if c[PARCEL].opened is None]
    came = 0
    if chosen[0][PARCEL].opened is not None:
        came += take_loose(w, opened, need, pieces)
        came += take_closed(w, closed, need - came, pieces)
    else:
        came += take_closed(w, closed, need, pieces)
        came += take_loose(w, opened, need - came, pieces)
    if came < need:
        came += break_open(w, step, closed, need - came, pieces, whole)
    return came


def take_closed(w: Working, parcels: list[Parcel], need: int, pieces: list[Piece]) -> int:
    """Whole closed packages; of an estimate, whatever it gives."""
    came = 0
    for parcel in parcels:
        if parcel.low == parcel.high:
            n = min(need - came, parcel.n) // GRAIN * GRAIN
        else:
            n = min(need - came, parcel.n)
        if n > 0:
            pieces.append(w.cut(parcel, n))
            came += n
    return came


def break_open(
    w: Working, step: Step, closed: list[Parcel], need: int, pieces: list[Piece], whole: bool
) -> int:
    """Open a package for the broken part; what is left of it stays there, open."""
    came = 0
    for parcel in closed:
        while came < need and parcel.n > 0:
            size = min(GRAIN, parcel.n)
            if whole:
                pieces.append(w.cut(parcel, size))
                came += size
                continue
            n = min(need - came, size)
            piece = w.cut(parcel, size, step.place)
            if n < size:
                left = size - n
                w.put(step, Piece(parcel, left, left, left, step.place), parcel.store)
            piece.n = piece.low = piece.high = n
            pieces.append(piece)
            came += n
    return came


def spread(amount: Amount) -> tuple[int, int]:
    """(how much less, how much more) than the likely figure an estimated amount may be."""
    if amount.low is None or amount.n is None:
        return 0, 0
    more = UNBOUNDED if amount.high is None else max(0, amount.high - amount.n)
    return max(0, amount.n - amount.low), more


def widen(pieces: list[Piece], found: list[Candidate], less: int, more: int) -> None:
    """What went was an estimate: what stays is lower by its high, likely and low.

    Where nothing likely went ("some"), the first candidate bears the doubt.
    """
    if not pieces and found and more:
        parcel = found[0][PARCEL]
        pieces.append(Piece(parcel, 0, 0, min(more, parcel.high), parcel.opened))
        parcel.low = max(0, parcel.low - more)
        return
    if not pieces:
        return
    gone = more
    for piece in reversed(pieces):
        lowered = min(gone, piece.parcel.low)
        piece.parcel.low -= lowered
        gone -= lowered
    last = pieces[-1]
    last.high = min(UNBOUNDED, last.high + more)
    last.parcel.high = min(UNBOUNDED, last.parcel.high + less)
    for piece in reversed(pieces):
        lowered = min(less, piece.low)
        piece.low -= lowered
        less -= lowered
