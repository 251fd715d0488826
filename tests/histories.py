"""Histories that nobody would make up: every kind of record, from several devices, in any tangle.

For tests only. A history is a list of records as they were written; whoever draws one delivers it
in whatever order. All its choices are read off one tape of bytes, since a draw for each would take
longer than the fold; a shorter tape is a shorter history, a smaller byte a plainer choice. Names are drawn from what exists, what is still to come and what never will, so
that records wait for each other, hang on each other in rings, and name what is not there.
"""

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import TypeVar

from hypothesis import strategies as st

from events import kinds
from events.kinds import Amount, Body, Draw, Package, Stamp, Yield
from events.record import Entry, Record, Unread, UnreadEntry
from tests.tale import BODIES, SOME, START_MS, About, Other, amount, instant, ms

T = TypeVar("T")

DEVICES = ("hall", "cook", "teen", "service")
STORES = ("", "cellar", "cellar/bin", "cellar/bin/low", "kitchen", "kitchen/shelf", "shed")
FOODS = ("plums", "beets")
UNITS = ("lb", "lb", "jar")
NUMBERS = (
    *(Fraction(n) for n in (1, 2, 3, 4, 5, 7, 9, 12, 0)),
    Fraction(1, 2), Fraction(1, 3), Fraction(5, 2), Fraction(7, 4),
)  # fmt: skip
CAUSES = ("mould", "not found", "seal failed", None)
FORMS = (None, "fresh", "drying", "frozen")
RECEIVED_MS = START_MS + 10**9


class Teller:
    """Draws one record after another."""

    def __init__(self, tape: bytes) -> None:
        self.tape = tape
        self.read = 0
        self.seqs: dict[str, int] = {}
        self.lots: list[tuple[str, str]] = []
        self.names: list[str] = []
        self.marks: list[str] = []
        self.counts: list[str] = []
        self.makings: list[str] = []
        self.amending: list[str] = []
        self.last: dict[str, int] = {}
        self.now = 0
        self.writing = ""
        self.promised: tuple[str, kinds.Voided | kinds.Redated] | None = None
        """a device, and what it will say next, that closes a ring"""
        self.came: list[Body] = []

    # -- choices -------------------------------------------------------------------------------

    def byte(self) -> int:
        self.read += 1
        return self.tape[self.read - 1] if self.read <= len(self.tape) else 0

    def one(self, choices: Sequence[T]) -> T:
        return choices[self.byte() % len(choices)]

    def upto(self, most: int) -> int:
        return self.byte() % (most + 1)

    def yes(self) -> bool:
        return self.byte() > 160

    def rarely(self) -> bool:
        return self.byte() > 230

    def store(self) -> str:
        return self.one(STORES)

    # -- names ---------------------------------------------------------------------------------

    def some_name(self, names: list[str]) -> str:
        """A name from those, or of anything, to come or never to be."""
        if names and not self.rarely():
            return self.one(names)
        if self.names and not self.yes():
            return self.one(self.names)
        return f"{self.one(DEVICES)}:{self.upto(8) + 1}"

    def some_lot(self) -> tuple[str, str]:
        """A lot and the unit its amounts are said in."""
        if self.lots and not self.rarely():
            lot, unit = self.one(self.lots)
            return lot, unit if not self.rarely() else "bowl"
        return f"{self.some_name(self.makings)}:{self.upto(1)}", "lb"

    # -- amounts -------------------------------------------------------------------------------

    def much(self, unit: str) -> Amount:
        how = self.upto(11)
        n = self.one(NUMBERS)
        if how < 8:
            return amount(n, unit)
        if how == 8:
            return amount(SOME, unit)
        if how == 9:
            return amount(Other("2 bowls", "bowl", None if self.yes() else n), unit)
        low, high = self.upto(4), self.upto(4)
        return amount(About(n, max(Fraction(0), n - low), n + high), unit)

    def maybe(self, unit: str) -> Amount | None:
        return None if self.yes() else self.much(unit)

    def mark(self) -> str | None:
        return self.some_name(self.marks) if self.yes() else None

    # -- kinds ---------------------------------------------------------------------------------

    def received(self) -> Body:
        if self.came and self.yes():
            return self.one(self.came)
        unit = self.one(UNITS)
        return kinds.Received(
            food=self.one(FOODS), amount=self.much(unit), store=self.store(),
            package=self.package(unit), form=self.one(FORMS),
        )  # fmt: skip

    def package(self, unit: str) -> Package | None:
        if unit != "jar":
            return None
        return Package(vessel="jar", fill="not full" if self.rarely() else None)

    def ordered(self) -> Body:
        return kinds.Ordered(food="beets", amount=self.much("lb"))

    def draws(self) -> tuple[Draw, ...]:
        drawn = []
        for _ in range(self.upto(2)):
            lot, unit = self.some_lot()
            drawn.append(Draw(lot=lot, amount=self.much(unit), store=self.store(),
                              rest=self.rarely(), mark=self.mark()))  # fmt: skip
        return tuple(drawn)

    def yields(self) -> tuple[Yield, ...]:
        made = []
        for _ in range(self.upto(2)):
            unit = self.one(UNITS)
            made.append(Yield(food="jam", amount=self.much(unit), store=self.store(),
                              package=self.package(unit)))  # fmt: skip
        return tuple(made)

    def put_up(self) -> Body:
        return kinds.PutUp(yields=self.yields(), draws=self.draws(), remedy=self.mark())

    def repacked(self) -> Body:
        return kinds.Repacked(yields=self.yields(), draws=self.draws(), remedy=self.mark())

    def moved(self) -> Body:
        lot, unit = self.some_lot()
        return kinds.Moved(
            lot=lot, amount=self.much(unit), store=self.store(), to=self.store(),
            rest=self.rarely(), mark=self.mark(), opened=True if self.rarely() else None,
        )  # fmt: skip

    def opened(self) -> Body:
        lot, unit = self.some_lot()
        return kinds.Opened(lot=lot, amount=self.much(unit), store=self.store(),
                            picked=self.yes())  # fmt: skip

    def consumed(self) -> Body:
        lot, unit = self.some_lot()
        return kinds.Consumed(
            lot=lot, amount=self.much(unit), store=self.store(), rest=self.rarely(),
            mark=self.mark(), opened=True if self.rarely() else None, picked=self.yes(),
        )  # fmt: skip

    def spoiled(self) -> Body:
        lot, unit = self.some_lot()
        return kinds.Spoiled(
            lot=lot, amount=self.much(unit), store=self.store(), mark=self.mark(),
            cause=self.one(CAUSES), rest=self.rarely(),  # type: ignore[arg-type]
            opened=True if self.rarely() else None,
        )  # fmt: skip

    def gave(self) -> Body:
        lot, unit = self.some_lot()
        return kinds.Gave(
            lot=lot, amount=self.much(unit), store=self.store(), to="neighbour",
            rest=self.rarely(), mark=self.mark(), opened=True if self.rarely() else None,
        )  # fmt: skip

    def planted(self) -> Body:
        lot, unit = self.some_lot()
        return kinds.Planted(lot=lot, amount=self.much(unit), store=self.store(),
                             rest=self.rarely(), mark=self.mark())  # fmt: skip

    def counted(self) -> Body:
        lot, unit = self.some_lot()
        return kinds.Counted(lot=lot, amount=self.much(unit), store=self.store(),
                             part=self.yes(), weighed=self.yes())  # fmt: skip

    def store_counted(self) -> Body:
        return kinds.StoreCounted(store=self.store())

    def checked(self) -> Body:
        lot, unit = self.some_lot()
        return kinds.Checked(
            lot=lot, store=self.store(), seen=self.maybe(unit), sound=self.maybe(unit),
            wrong=self.maybe(unit), mark=self.mark(),
        )  # fmt: skip

    def held(self) -> Body:
        lot, unit = self.some_lot()
        since = instant(self.upto(40)) if self.yes() else None
        return kinds.Held(lot=lot, amount=self.maybe(unit), store=self.store(), since=since)

    def released(self) -> Body:
        lot, unit = self.some_lot()
        return kinds.Released(lot=lot, mark=self.some_name(self.marks), amount=self.maybe(unit),
                              store=self.store())  # fmt: skip

    def set_aside(self) -> Body:
        lot, unit = self.some_lot()
        return kinds.SetAside(lot=lot, amount=self.maybe(unit), store=self.store())

    def freed(self) -> Body:
        lot, unit = self.some_lot()
        return kinds.Freed(lot=lot, mark=self.some_name(self.marks), amount=self.maybe(unit),
                           store=self.store())  # fmt: skip

    def incident(self) -> Body:
        end = None if self.yes() else self.moment()
        return kinds.Incident(store=self.store(), what="power", start=self.moment(), end=end)

    def lot_set(self) -> Body:
        lot, _ = self.some_lot()
        return kinds.LotSet(lot=lot, facts={"label": self.one(("", "blue"))})

    def measured(self) -> Body:
        return kinds.Measured(store=self.store(), celsius_milli=self.upto(9))

    def ran(self) -> Body:
        return kinds.Ran(machine="drier", minutes=self.upto(40))

    def vessels_changed(self) -> Body:
        change = self.one(("bought", "broken", "counted", "lent", "back"))
        return kinds.VesselsChanged(vessel="jar", count=self.upto(40), change=change)  # type: ignore[arg-type]

    def store_set(self) -> Body:
        return kinds.StoreSet(store=self.store(), facts={"kind": "room"})

    def food_set(self) -> Body:
        return kinds.FoodSet(food="beets", facts={"par": str(self.upto(40))})

    def member_set(self) -> Body:
        return kinds.MemberSet(member="cook", facts={"colour": str(self.upto(40))})

    def machine_set(self) -> Body:
        return kinds.MachineSet(machine="drier", facts={"store": self.store()})

    def device_set(self) -> Body:
        return kinds.DeviceSet(device="cook", facts={"of": str(self.upto(40))})

    def digest_sent(self) -> Body:
        return kinds.DigestSent(reader="cook", week="2026-W32", outcome="sent")

    def ring(self, closing: Callable[[str], kinds.Voided | kinds.Redated]) -> str:
        """The name of a record to come that will name this one."""
        device = self.one(DEVICES)
        self.promised = (device, closing(self.writing))
        seq = self.seqs.get(device, 0) + 1
        return f"{device}:{seq}"

    def redated(self) -> Body:
        if self.rarely():
            to = self.ring(lambda me: kinds.Redated(record=me, at=instant(3)))
            return kinds.Redated(record=to, at=instant(5))
        of = self.amending if self.yes() else self.names
        return kinds.Redated(
            record=self.some_name(of), at=self.moment() if self.yes() else None,
            stamp=Stamp(ms(self.upto(40)), 0) if self.yes() else None,
        )  # fmt: skip

    def voided(self) -> Body:
        if self.rarely():
            return kinds.Voided(record=self.ring(lambda me: kinds.Voided(record=me)))
        of = self.one((self.names, self.amending, self.makings, self.marks))
        same = None
        if self.yes():
            same = self.some_name(self.makings if of is self.makings else of)
        return kinds.Voided(record=self.some_name(of), same_as=same)

    def settled(self) -> Body:
        return kinds.Settled(concern="count-differs", rests_on=(self.some_name(self.counts),))

    # -- when and by whom ----------------------------------------------------------------------

    def moment(self) -> str:
        """A moment, a date or a range, early, late or open."""
        how = self.upto(9)
        t = self.upto(40)
        if how < 5:
            return instant(t)
        if how < 7:
            return f"{instant(t)}/{instant(t + self.upto(40))}"
        return self.one((
            "2026-08-01", "2026-08", "2026-08-01~", f"../{instant(t)}", f"{instant(t)}/..",
            "2026-08-01T08:10", "2026-07-30/2026-08-01", "2099-01-01", "2025",
        ))  # fmt: skip

    def record(self, body_of: "Callable[[Teller], Body]") -> Record:
        """Write one down."""
        closing = None
        if self.promised and self.yes():
            (device, closing), self.promised = self.promised, None
        else:
            device = self.one(DEVICES)
        seq = self.seqs[device] = self.seqs.get(device, 0) + 1
        self.writing = f"{device}:{seq}"
        body = closing or body_of(self)
        self.now += 1
        stamped = self.now + (self.one((0, 0, 0, -5, 500)))
        stamped = self.last[device] = max(stamped, self.last.get(device, -9) + 1)
        by_clock = self.yes()
        record = Record(
            household="hollow", device=device, seq=seq, stamp=Stamp(ms(stamped), 0),
            at=instant(stamped) if by_clock else self.moment(), typed=None if by_clock else "then",
            offset=self.one((0, 0, -420, 780)), body=body,
            by=self.one((None, "cook", "gardener")),
            deed=self.upto(seq - 1) + 1 if self.yes() else None,
            source=f"sheet {self.upto(1) + 1}" if self.rarely() else None,
            explains=self.some_name(self.counts) if self.rarely() else None,
        )  # fmt: skip
        self.remember(record)
        return record

    def remember(self, record: Record) -> None:
        name, body = record.name, record.body
        self.names.append(name)
        match body:
            case kinds.Received():
                self.makings.append(name)
                self.came.append(body)
                self.lots.append((f"{name}:0", body.amount.unit))
            case kinds.PutUp() | kinds.Repacked():
                self.makings.append(name)
                self.lots += [(f"{name}:{i}", y.amount.unit) for i, y in enumerate(body.yields)]
            case kinds.Held() | kinds.SetAside() | kinds.Incident():
                self.marks.append(name)
            case kinds.Counted() | kinds.Checked():
                self.counts.append(name)
            case kinds.Voided() | kinds.Redated():
                self.amending.append(name)
            case _:
                pass


OFTEN = ("moved", "consumed", "counted", "voided", "held", "put_up", "moved", "counted", "released",
         "incident", "redated", "store_counted")  # fmt: skip
KINDS: dict[str, Callable[[Teller], Body]] = {
    str(kind.__struct_config__.tag): getattr(Teller, str(kind.__struct_config__.tag))
    for kind in BODIES
}
CHOICES = ("consumed", *(kind for kind in OFTEN for _ in range(4)), *KINDS)


def tell(tape: bytes) -> list[Record]:
    """A history: a lot or two come in, then anything, to the end of the tape."""
    teller = Teller(tape)
    told = [teller.record(Teller.received) for _ in range(1 + teller.yes())]
    lost = teller.byte()
    while teller.read < len(tape) and len(told) < 25:
        told.append(teller.record(KINDS[teller.one(CHOICES)]))
    if lost > 230:
        del told[lost % len(told)]
    return told


def records() -> st.SearchStrategy[list[Record]]:
    """Histories of some five to twenty-five records."""
    return st.binary(min_size=120, max_size=600).map(tell)


def entries(told: list[Record]) -> list[Entry]:
    """Those records as a log took them in."""
    return [
        Entry(position=i, received=RECEIVED_MS + i, sent_by=record.device, record=record)
        for i, record in enumerate(told, 1)
    ]


UNREAD = UnreadEntry(
    position=999, received=RECEIVED_MS, sent_by="cook",
    unread=Unread(name="tablet:1", kind="blessed", version=9, content=b"{}"),
)  # fmt: skip
"""A record of a kind that nobody knows yet."""
