"""One lot while it is folded: its state, and what the next step needs to know of the last ones.

Here are the few things that change a lot: `post` (what a record came to), `cut` and `put` (food
out of a parcel, food into a store) and `concern`. Rules stand in the files beside this one.
"""

from collections.abc import Mapping
from typing import TypeAlias

from msgspec import Struct

from events.concerns import Concern, ConcernKind
from events.lots.places import levels, related, shared_levels, within
from events.lots.state import (
    UNBOUNDED,
    Identity,
    Line,
    Lived,
    Lot,
    Mark,
    Parcel,
    Posting,
    Term,
)
from events.lots.steps import FIRST, Key, Step

NOTHING: frozenset[Mark] = frozenset()

SIGN: dict[Term, int] = {
    "in": 1, "found": 1, "re_estimated": 1, "consumed": -1, "spoiled": -1, "given": -1,
    "planted": -1, "drawn": -1, "shrunk": -1, "missing": -1,
}  # fmt: skip


class Piece(Struct, gc=False):
    """So much cut from a parcel; what it was is still to be read from the parcel."""

    parcel: Parcel
    n: int
    low: int
    high: int
    opened: int | None


class Missing(Struct):
    """Food that a count missed, as it was; it may turn up."""

    n: int
    parcel: Parcel
    count: str


class Heat(Struct, frozen=True):
    """An incident that food coming into its store may still fall under."""

    hold: Mark
    store: str
    end: int


class CountMade(Struct, frozen=True):
    """A whole count that a record of overlapping dates may belong before or after."""

    earliest: int
    place: int
    store: str
    name: str
    by_clock: bool
    """its `at` is its device's clock, nothing typed"""


Outgoing: TypeAlias = tuple[Step, tuple[str, ...], int]
"""A record that took or moved food, for the same question: (step, stores, how much)."""


Inherited: TypeAlias = dict[Mark, tuple[Step | None, int]]
"""Holds that came with the parents' draws: the step that ended each, and the stamp it was laid
under."""


class Working:
    """A lot in the making. `lot` is its public state."""

    __slots__ = (
        "asides", "carried", "counts", "covered", "deed_counts", "doubting_deeds", "draws", "ended", "heats",
        "holds", "holds_changed", "inherited", "laid", "last_key", "learnt", "lines", "lot", "marked", "marks_seen", "missing",
        "moved_to", "names", "on_hand", "outgoings", "overlaps", "packed", "parcels", "pending", "posts",
        "shorts", "stamps", "step_no", "unit", "weigh_loss",
    )  # fmt: skip

    def __init__(self, lot: Lot, names: Mapping[str, str]) -> None:
        self.lot = lot
        self.names = names  # of records voided as doubles, to those they are doubles of
        self.parcels = lot.parcels
        self.lines = lot.lines
        self.unit = lot.unit
        self.packed = lot.packed
        self.weigh_loss: Term = "missing"
        self.posts: list[Posting] = []
        self.on_hand = 0
        self.step_no = 0
        self.last_key: Key = FIRST
        self.missing: list[Missing] = []
        self.holds = NOTHING  # on the whole lot, also on what is later found of it
        self.asides = NOTHING
        self.heats: list[Heat] = []
        self.stamps: dict[str, int] = {}  # of the records that laid marks here
        self.marks_seen: set[str] = set()
        self.carried: dict[str, frozenset[Mark]] = {}  # by drawing record
        self.draws: list[Step] = []
        self.laid: set[Mark] = set()  # holds laid on this lot
        self.ended: dict[Mark, Step] = {}  # those released whole
        self.inherited: Inherited = {}
        self.marked = False  # a mark was ever laid on some of it
        self.holds_changed = False
        self.counts: list[CountMade] = []
        self.outgoings: list[Outgoing] = []
        self.covered: dict[str, tuple[str, ...]] = {}  # stores that a deed counts, also later on
        self.learnt: dict[str, tuple[int, str, int]] = {}
        self.deed_counts: dict[str, list[str]] = {}
        self.doubting_deeds: set[str] = set()
        self.pending: list[tuple[Step, str, Term]] = []
        self.shorts: list[Concern] = []
        self.overlaps: list[tuple[Concern, str]] = []
        self.moved_to: dict[str, str] = {}

    def same(self, name: str) -> str:
        """The record that a name stands for, doubles resolved."""
        return self.names.get(name, name)

    def said_term(self, store: str) -> Term | None:
        """What a record in a unit like no other, waiting there, says that went."""
        for _, at, term in self.pending:
            if related(at, store) and term in SIGN:
                return term
        return None

    def settle_said(self, store: str) -> None:
        """A whole count there answers what was said in a unit like no other."""
        answered = {step.record.name for step, at, _ in self.pending if related(at, store)}
        if not answered:
            return
        self.pending = [entry for entry in self.pending if not related(entry[1], store)]
        self.lot.less_some = tuple(n for n in self.lot.less_some if n not in answered)
        self.lot.concerns[:] = [
            c for c in self.lot.concerns
            if not (c.kind == "other-unit" and c.rests_on[0] in answered)
        ]  # fmt: skip

    # -- what a record came to -----------------------------------------------------------------

    def post(self, term: Term, n: int, store: str, **more: object) -> None:
        """Book an exact amount."""
        self.posts.append(Posting(term, n, n, n, store, **more))  # type: ignore[arg-type]

    def post_pieces(self, term: Term, pieces: list[Piece], to: str = "") -> None:
        """Book what was cut, one posting for each store, state and set of marks."""
        if len(pieces) == 1:
            piece = pieces[0]
            parcel = piece.parcel
            self.posts.append(
                Posting(
                    term,
                    piece.n,
                    piece.low,
                    piece.high,
                    parcel.store,
                    to,
                    False,
                    False,
                    False,
                    parcel.holds,
                    parcel.asides,
                    piece.opened is not None,
                )
            )
            return
        sums: dict[tuple[object, ...], list[int]] = {}
        for piece in pieces:
            parcel = piece.parcel
            key = (parcel.store, parcel.holds, parcel.asides, piece.opened is not None)
            total = sums.setdefault(key, [0, 0, 0])
            total[0] += piece.n
            total[1] += piece.low
            total[2] = min(UNBOUNDED, total[2] + piece.high)
        for (store, holds, asides, opened), (n, low, high) in sums.items():
            self.posts.append(
                Posting(
                    term=term,
                    n=n,
                    low=low,
                    high=high,
                    store=store,  # type: ignore[arg-type]
                    to=to,
                    holds=holds,  # type: ignore[arg-type]
                    asides=asides,  # type: ignore[arg-type]
                    opened=opened,  # type: ignore[arg-type]
                )
            )

    def finish(self, step: Step, *, silent: bool = False) -> None:
        """Close a step: a line of the story, unless a household's step left this lot alone."""
        before = self.on_hand
        after = before
        totals = self.lot.totals
        for posting in self.posts:
            term, n = posting.term, posting.n
            if term in SIGN:
                totals[term] = totals.get(term, 0) + n
                after += SIGN[term] * n
        if self.posts or not silent:
            self.lines.append(Line(step.record, step.place, tuple(self.posts), before, after))
            self.posts.clear()
            if step.place > self.lot.last_place:
                self.lot.last_place = step.place
        self.on_hand = after
        self.step_no += 1
        self.last_key = step.key

    def concern(self, kind: ConcernKind, step: Step | Line, *rests: str, **more: object) -> Concern:
        """Raise a concern that rests on this step's record and the others named."""
        record = step.record
        raised = Concern(
            kind=kind,
            rests_on=(record.name, *rests),
            lot=self.lot.name,
            unit=self.unit,
            deed=record.deed_name,
            place=step.place,
            **more,  # type: ignore[arg-type]
        )
        self.lot.concerns.append(raised)
        return raised

    # -- food ----------------------------------------------------------------------------------

    def cut(self, parcel: Parcel, n: int, opened: int | None = None) -> Piece:
        """Take an exact amount, at most what is likely there, out of a parcel."""
        parcel.n -= n
        parcel.low = max(0, parcel.low - n)
        if parcel.high < UNBOUNDED:
            parcel.high -= n
        return Piece(parcel, n, n, n, parcel.opened if opened is None else opened)

    def cut_whole(self, parcel: Parcel) -> Piece:
        """Take all of a parcel with its range; low and high go to nought."""
        piece = Piece(parcel, parcel.n, parcel.low, parcel.high, parcel.opened)
        parcel.n = parcel.low = parcel.high = 0
        return piece

    def there_or_missing(self) -> list[Parcel]:
        """All food that the lot has or may yet turn up: a mark on the whole lot lies on both."""
        return [*self.parcels, *(missing.parcel for missing in self.missing)]

    def sweep(self) -> None:
        """Forget the parcels that are empty for sure."""
        for parcel in self.parcels:
            if not parcel.high:
                self.parcels[:] = [p for p in self.parcels if p.high]
                return

    def put(self, step: Step, piece: Piece, store: str, *, narrowed: bool = False) -> Parcel:
        """Food cut from a parcel comes to stand in `store`; it is seen, so no longer in doubt.

        A move within a store does not restart how long food has stood there. `narrowed`: the same
        food said more exactly, so it may have stood there all along.
        """
        was = piece.parcel
        holds = was.holds
        if store == was.store:
            stood, lived, order = was.stood, was.lived, was.order
        else:
            kept = shared_levels(was.store, store)
            since = was.stood[kept - 1] if narrowed else self.step_no
            stood = was.stood[:kept] + (since,) * (len(levels(store)) - kept)
            lived = Lived(store, step.place, was.lived)
            order = was.order if narrowed else self.step_no
            if self.heats:
                holds = self.heated(step, store, holds)
        return self.join(
            Parcel(
                store,
                piece.n,
                piece.low,
                piece.high,
                lived,
                stood,
                order,
                piece.opened,
                holds,
                was.asides,
            )
        )

    def join(self, parcel: Parcel) -> Parcel:
        """Add a parcel, to a like one if there is one."""
        for other in self.parcels:
            if (
                other.store == parcel.store
                and other.opened == parcel.opened
                and other.stood == parcel.stood
                and other.holds == parcel.holds
                and other.asides == parcel.asides
                and other.doubt == parcel.doubt
                and other.lived == parcel.lived
            ):
                other.n += parcel.n
                other.low += parcel.low
                other.high = min(UNBOUNDED, other.high + parcel.high)
                other.order = min(other.order, parcel.order)
                return other
        self.parcels.append(parcel)
        return parcel

    def fresh(
        self, step: Step, store: str, n: int, low: int, high: int, opened: int | None
    ) -> Parcel:
        """New food in a store, under the marks that lie on the whole lot."""
        return self.join(
            Parcel(
                store=store,
                n=n,
                low=low,
                high=high,
                lived=Lived(store, step.place, None),
                stood=(self.step_no,) * len(levels(store)),
                order=self.step_no,
                opened=opened,
                holds=self.heated(step, store, self.holds),
                asides=self.asides,
            )
        )

    def heated(self, step: Step, store: str, holds: frozenset[Mark]) -> frozenset[Mark]:
        """The marks of food that this step brings into `store`, incidents there counted."""
        for heat in self.heats:
            if step.times.earliest <= heat.end and (
                within(store, heat.store) or (store and within(heat.store, store))
            ):
                holds |= {heat.hold}
        return holds


def total(pieces: list[Piece]) -> int:
    """Likely amount of what was cut, grains."""
    if len(pieces) == 1:
        return pieces[0].n
    return sum([piece.n for piece in pieces])


def blank_lot(name: str, names: frozenset[str]) -> Lot:
    """A lot of which nothing is known yet."""
    identity: Identity | None = None
    return Lot(
        name=name,
        identity=identity,
        maker=None,
        stands=False,
        facts={},
        parcels=[],
        story=[],
        totals={},
        concerns=[],
        names=names,
    )
