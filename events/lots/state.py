"""What one lot has come to: its parcels, its postings and the concerns about it.

A parcel is so much of the lot, in this store, closed or open, with its marks, having lived here
and there. A posting is what a record came to. These are values that the fold owns and changes in
place; whoever reads them leaves them as they are.
"""

from collections.abc import Callable
from typing import Literal, TypeAlias

from msgspec import Struct

from events.concerns import Concern
from events.kinds import Package
from events.record import Record

UNBOUNDED = 2**60
"""The high of an estimate whose upper end nobody knows ("some")."""

Term: TypeAlias = Literal[
    "in", "found", "re_estimated", "consumed", "spoiled", "given", "planted", "drawn", "shrunk",
    "missing",
    "moved", "opened", "doubt", "seen", "held", "released", "aside", "freed", "said",
]  # fmt: skip
"""The terms of the balance, then what changes no sum."""

BALANCE: tuple[Term, ...] = (
    "in", "found", "re_estimated", "consumed", "spoiled", "given", "planted", "drawn", "shrunk",
    "missing",
)  # fmt: skip
"""in + found + re_estimated = consumed + spoiled + given + planted + drawn + shrunk + missing + on hand"""

COMING: frozenset[Term] = frozenset({"in", "found", "re_estimated"})

Mark: TypeAlias = tuple[str, str]
"""(name of the record that laid it, lot it was laid on)"""


class Lived(Struct, frozen=True, array_like=True, gc=False):
    """A link of the path that food has lived: in `store` since `since` (Unix milliseconds)."""

    store: str
    since: int
    before: "Lived | None"


class Parcel(Struct, array_like=True, gc=False):
    """So much of a lot in one store.

    `low <= n <= high`, in grains; equal where exact. `opened`: since when, None while closed.
    `holds`, `asides`: the marks on it. `stood`: for each level of the store's path the step at
    which this food came to stand there. `order`: the step at which the log put it there.
    """

    store: str
    n: int
    low: int
    high: int
    lived: Lived
    stood: tuple[int, ...]
    order: int
    opened: int | None = None
    holds: frozenset[Mark] = frozenset()
    asides: frozenset[Mark] = frozenset()
    doubt: bool = False
    """gone past in a count of the whole store: nought to n, where now?"""

    @property
    def exact(self) -> bool:
        return self.low == self.high


class Posting(Struct, frozen=True, array_like=True, gc=False):
    """What a record came to in one lot: so much, there, on this side of the balance.

    `n` is signed only for re_estimated, and for missing, where food that turned up lowers it.
    """

    term: Term
    n: int
    low: int
    high: int
    store: str
    to: str = ""
    """moved, or carried unsaid: where to"""
    turned_up: bool = False
    picked: bool = False
    part: bool = False
    holds: frozenset[Mark] = frozenset()
    asides: frozenset[Mark] = frozenset()
    opened: bool = False


class Line(Struct, frozen=True, array_like=True, gc=False):
    """A line of a lot's story: the record, what it came to, and the lot on hand before and after."""

    record: Record
    place: int
    """the place in time that the record counts under, Unix milliseconds"""
    postings: tuple[Posting, ...]
    before: int
    after: int


class Identity(Struct, frozen=True, kw_only=True):
    """What the record that made the lot says it is."""

    food: str
    unit: str
    variety: str | None = None
    form: str | None = None
    package: Package | None = None
    label: str | None = None
    owner: str | None = None
    parents: tuple[str, ...] = ()


class Lot(Struct, kw_only=True):
    """One lot as the fold left it.

    `identity` None: nobody has brought it in, as far as is known here; its records wait.
    `stands` False: the record that made it was taken back.
    """

    name: str
    identity: Identity | None
    maker: Record | None
    stands: bool
    facts: dict[str, str]
    """learnt later (`lot_set`), over what the making said; blank where it was blanked"""
    parcels: list[Parcel]
    story: "list[Line] | Callable[[], list[Line]]"
    """its lines, or where they are to be read: most questions never ask for them"""
    totals: dict[Term, int]
    """sums of the postings by term of the balance, grains"""
    concerns: list[Concern]
    names: frozenset[str]
    """every name of it: doubles that were voided as the same name it too"""
    made_place: int = 0
    made_earliest: int = 0
    last_place: int = 0
    """of the last thing that was said of it"""
    less_some: tuple[str, ...] = ()
    """records said in a unit with no equivalence, not yet resolved by a count"""
    last_seen: int = 0
    """when somebody last saw, took or moved some of it, Unix milliseconds"""

    @property
    def lines(self) -> list[Line]:
        """Its story, a line for each record, in time."""
        story = self.story
        if isinstance(story, list):
            return story
        self.story = told = story()
        return told

    @property
    def food(self) -> str:
        """What it is called now."""
        made = self.identity.food if self.identity else ""
        return self.facts.get("food") or made

    @property
    def unit(self) -> str:
        return self.identity.unit if self.identity else ""

    @property
    def form(self) -> str:
        made = (self.identity.form if self.identity else None) or ""
        return self.facts.get("form", made)

    @property
    def variety(self) -> str:
        made = (self.identity.variety if self.identity else None) or ""
        return self.facts.get("variety", made)

    @property
    def on_hand(self) -> int:
        """Likely amount on hand, grains."""
        return sum(parcel.n for parcel in self.parcels)

    @property
    def packed(self) -> bool:
        """Counted in packages: some may be open, one at a time."""
        return self.identity is not None and self.identity.package is not None


def told(lot: Lot) -> object:
    """A lot's state with sets in order and records by name."""
    return (
        lot.name, lot.identity, lot.stands, lot.facts, sorted(lot.names), lot.less_some,
        lot.made_place, lot.last_seen,
        sorted((p.store, p.n, p.low, p.high, p.stood, p.order, p.opened or 0, p.opened is None,
                sorted(p.holds), sorted(p.asides), p.doubt, _path(p.lived)) for p in lot.parcels),
        [(line.record.name, line.place, line.before, line.after,
          [(g.term, g.n, g.low, g.high, g.store, g.to, g.turned_up, g.picked, g.part,
            sorted(g.holds), sorted(g.asides), g.opened) for g in line.postings])
         for line in lot.lines],
        lot.totals,
    )  # fmt: skip


def _path(lived: Lived | None) -> list[tuple[str, int]]:
    path = []
    while lived is not None:
        path.append((lived.store, lived.since))
        lived = lived.before
    return path
