"""The household's set-up: what people said of stores, foods, members, machines and devices.

Not stock, and nothing worked out: a fact is what somebody set it to. The newest stamp wins, field
by field, whatever the order in which the records arrive; of equal stamps the device's name and
then its counter decide. An empty text blanks a fact. A record that is voided or redated is not
taken out again: the book folds the `*_set` records that stand anew.
"""

from typing import TypeAlias

from msgspec import Struct, field

from events.kinds import DeviceSet, FoodSet, MachineSet, MemberSet, StoreSet
from events.lots.places import levels
from events.record import Record

StampKey: TypeAlias = tuple[int, str, int]
"""(stamp as one number, device, seq): of two records the newer one's is the larger."""

Facts: TypeAlias = dict[str, str]

BEFORE_ALL: StampKey = (-1, "", 0)


class Settings(Struct):
    """Facts by what they are about; a store, food and so on without facts is there, and empty."""

    stores: dict[str, Facts] = field(default_factory=dict)
    foods: dict[str, Facts] = field(default_factory=dict)
    members: dict[str, Facts] = field(default_factory=dict)
    machines: dict[str, Facts] = field(default_factory=dict)
    devices: dict[str, Facts] = field(default_factory=dict)
    stamps: dict[tuple[str, str, str], StampKey] = field(default_factory=dict)
    """(what it is, its name, the fact) to the stamp that set it, blanked ones too"""

    def fold(self, record: Record, key: StampKey) -> None:
        """Take in a record that counts under `key`; one that sets nothing up is passed over."""
        body = record.body
        match body:
            case StoreSet():
                self._set("store", self.stores, body.store, body.facts, key)
            case FoodSet():
                self._set("food", self.foods, body.food, body.facts, key)
            case MemberSet():
                self._set("member", self.members, body.member, body.facts, key)
            case MachineSet():
                self._set("machine", self.machines, body.machine, body.facts, key)
            case DeviceSet():
                self._set("device", self.devices, body.device, body.facts, key)
            case _:
                pass

    def _set(
        self, what: str, known: dict[str, Facts], name: str, facts: Facts, key: StampKey
    ) -> None:
        mine = known.setdefault(name, {})
        for fact, text in facts.items():
            place = (what, name, fact)
            if key < self.stamps.get(place, BEFORE_ALL):
                continue
            self.stamps[place] = key
            if text:
                mine[fact] = text
            else:
                mine.pop(fact, None)

    def fact_of(self, store: str, fact: str) -> str | None:
        """A fact about a store, else about the nearest store around it: it is about all below."""
        for level in reversed(levels(store)):
            said = self.stores.get(level, {}).get(fact)
            if said is not None:
                return said
        return None

    def kind_of(self, store: str) -> str | None:
        """What kind of place a store is; a shelf is of its room's kind."""
        return self.fact_of(store, "kind")

    def other_names(self, food: str) -> list[str]:
        """What else a food is called here, as a person confirmed it: "thighs; thighs, chkn"."""
        said = self.foods.get(food, {}).get("other_names", "")
        return [name for part in said.split(";") if (name := part.strip())]


def empty() -> Settings:
    """A household of which nothing has been set up."""
    return Settings()


def key_of(record: Record) -> StampKey:
    """The key of a record that nobody redated."""
    return (record.stamp.ms << 16 | record.stamp.counter, record.device, record.seq)
