"""What a book knows beside its lots: the set-up, counters, orders, concerns about records.

All of it follows from the records too, and is carried on as they come; a record that turns out to
count otherwise has its part worked out anew. It is little, and hardly grows with the years, so a
checkpoint keeps it whole. Rule: nothing here is about one lot.
"""

from msgspec import Struct, field

from events.concerns import Concern
from events.hand import Hand
from events.kinds import (
    DeviceSet,
    FoodSet,
    LotSet,
    MachineSet,
    Measured,
    MemberSet,
    Ordered,
    PutUp,
    Ran,
    Received,
    Repacked,
    Settled,
    Stamp,
    StoreSet,
    VesselsChanged,
)
from events.lots.state import Lot
from events.lots.things import CLIMATE, SET_UP, VESSELS, Thing
from events.projections.climate import Climate
from events.projections.doubt import of_records
from events.projections.heard import Heard
from events.projections.orders import left
from events.projections.settings import Settings
from events.projections.vessels import Vessels
from events.record import Record, UnreadEntry
from events.stamp import ZERO

SETTING = (StoreSet, FoodSet, MemberSet, MachineSet, DeviceSet)
PROJECTED: tuple[tuple[tuple[type, ...], Thing], ...] = (
    (SETTING, SET_UP), ((VesselsChanged,), VESSELS), ((Measured, Ran), CLIMATE))  # fmt: skip
NAMING = frozenset({Received, PutUp, Repacked, LotSet})
ANSWERING = frozenset({Settled, Ordered, Received})


class Thin(Struct):
    """Small states of a household, as of the entry at position `upto`."""

    settings: Settings = field(default_factory=Settings)
    vessels: Vessels = field(default_factory=Vessels)
    climate: Climate = field(default_factory=Climate)
    heard: Heard = field(default_factory=Heard)
    raised: dict[str, list[Concern]] = field(default_factory=dict)
    """concerns about records rather than lots, by the record that raises them"""
    left: dict[str, list[Concern]] = field(default_factory=dict)
    """concerns about closed lots that nobody has settled, by lot"""
    settled: dict[str, tuple[str, tuple[str, ...]]] = field(default_factory=dict)
    """the keys of the concerns that somebody settled, by the record that settles"""
    orders: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """orders of which something is still to come, to the records that answer them so far"""
    foods: dict[str, None] = field(default_factory=dict)
    """every food that a record ever called a lot"""
    unread: dict[str, UnreadEntry] = field(default_factory=dict)
    size: int = 0
    """entries in the log"""
    upto: int = 0
    received: int = 0
    """when the newest of them was heard, Unix milliseconds"""
    newest: Stamp = ZERO
    """the newest stamp that was not wild when it was heard"""

    def hear(self, name: str, position: int, received: int) -> None:
        """Take in that an entry is known."""
        self.heard.hear(name)
        self.size += 1
        self.upto = max(self.upto, position)
        self.received = max(self.received, received)

    def follow(self, hand: Hand, fresh: list[Record], otherwise: list[Record]) -> None:
        """Take in what fresh records say, and anew what those say that count otherwise now."""
        among = {type(record.body) for record in (*fresh, *otherwise)}
        for kinds, thing in PROJECTED:
            if among.isdisjoint(kinds):
                continue
            said = [record for record in fresh if isinstance(record.body, kinds)]
            if any(isinstance(record.body, kinds) for record in otherwise):
                self._begin_anew(thing)
                known = {entry.record.name: entry.record for entry in hand.all_about(thing)}
                hand.know(known)
                said = list({**known, **{record.name: record for record in said}}.values())
            for record in said:
                if hand.stands(record.name):
                    self._fold(hand, record)
        for record in fresh:
            if type(record.body) in NAMING:
                self.foods.update(dict.fromkeys(_foods(record)))
        for record in (*fresh, *otherwise):
            if type(record.body) in ANSWERING:
                self._settle(hand, record)
                self._order(hand, record)

    def _begin_anew(self, thing: Thing) -> None:
        if thing is SET_UP:
            self.settings = Settings()
        elif thing is VESSELS:
            self.vessels = Vessels()
        else:
            self.climate = Climate()

    def _fold(self, hand: Hand, record: Record) -> None:
        key, place = hand.order(record), hand.place(record.name)
        self.settings.fold(record, key)
        self.vessels.fold(record, place, key)
        self.climate.fold(record, place, key)

    def leave(self, name: str, lot: Lot | None) -> None:
        """Note what nobody has settled about a lot that is closed; None: it is not, or is no more."""
        settled = set(self.settled.values())
        left = [c for c in lot.concerns if c.key not in settled] if lot is not None else []
        if left:
            self.left[name] = left
        else:
            self.left.pop(name, None)

    def raise_anew(self, hand: Hand) -> None:
        """Concerns about records in hand; those about others stay as they are."""
        known = hand.lots.records
        raised = {name: told for name, told in self.raised.items() if name not in known}
        for concern in of_records(hand.lots):
            raised.setdefault(concern.rests_on[0], []).append(concern)
        self.raised = raised

    def _settle(self, hand: Hand, record: Record) -> None:
        body = record.body
        if not isinstance(body, Settled):
            return
        if hand.stands(record.name):
            self.settled[record.name] = (body.concern, tuple(sorted(set(body.rests_on))))
        else:
            self.settled.pop(record.name, None)

    def _order(self, hand: Hand, record: Record) -> None:
        """Look at the order that a record makes or answers."""
        body = record.body
        names = set()
        if isinstance(body, Ordered):
            names = {record.name, hand.same_record(record.name)}
        elif isinstance(body, Received) and body.answers is not None:
            names = {body.answers, hand.same_record(body.answers)}
        for name in names:
            self._open_order(hand, name)

    def _open_order(self, hand: Hand, name: str) -> None:
        self.orders.pop(name, None)
        entry = hand.entry(name)
        if entry is None or not isinstance(entry.record.body, Ordered) or not hand.stands(name):
            return
        came = answers(hand, name)
        bodies = [body for r in came if isinstance(body := r.body, Received)]
        if left(entry.record.body.amount, bodies) is not None:
            self.orders[name] = tuple(record.name for record in came)


def _foods(record: Record) -> list[str]:
    """What a record calls the lots that it makes or corrects."""
    body = record.body
    if isinstance(body, Received):
        return [body.food]
    if isinstance(body, PutUp | Repacked):
        return [made.food for made in body.yields]
    if isinstance(body, LotSet) and body.facts.get("food"):
        return [body.facts["food"]]
    return []


def answers(hand: Hand, order: str) -> list[Record]:
    """The bringings-in that answer an order and stand, by the log."""
    found: dict[str, Record] = {}
    for name in hand.alike(order):
        for entry in hand.naming(name):
            body = entry.record.body
            if (
                isinstance(body, Received)
                and body.answers == name
                and hand.stands(entry.record.name)
            ):
                found[entry.record.name] = entry.record
    return list(found.values())
