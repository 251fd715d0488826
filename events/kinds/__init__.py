"""Every kind of thing that people say happened to the household's food.

A kind only says; folds do. Each is a frozen record without behaviour, explained to the person who
keeps the food. A field that an older record lacks reads None: "not recorded", never a guess.

Names: a record is named "device:seq"; a lot by the record that made it and the number of the
yield, "device:seq:0". A mark (a hold, something set aside) is named by its record. A store is a
path ("back-room/shelf-2"); "" is the household itself.
"""

from typing import TypeAlias

from events.kinds.fields import (
    GRAIN,
    MAX_COUNT,
    Amount,
    Cause,
    Count,
    DateKind,
    Device,
    Draw,
    Edtf,
    Grains,
    LotName,
    Member,
    Origin,
    Package,
    RecordName,
    Stamp,
    StorePath,
    Text,
    Unit,
    Word,
    Yield,
)
from events.kinds.food import (
    Consumed,
    Gave,
    Moved,
    Opened,
    Ordered,
    Planted,
    PutUp,
    Received,
    Repacked,
    Spoiled,
)
from events.kinds.house import (
    DeviceSet,
    DigestSent,
    FoodSet,
    MachineSet,
    Measured,
    MemberSet,
    Ran,
    StoreSet,
    VesselsChanged,
)
from events.kinds.looks import (
    Checked,
    Counted,
    Freed,
    Held,
    Incident,
    LotSet,
    Released,
    SetAside,
    StoreCounted,
)
from events.kinds.mending import Redated, Settled, Voided

__all__ = [
    "GRAIN",
    "MAX_COUNT",
    "Amount",
    "Body",
    "Cause",
    "Checked",
    "Consumed",
    "Count",
    "Counted",
    "DateKind",
    "Device",
    "DeviceSet",
    "DigestSent",
    "Draw",
    "Edtf",
    "FoodSet",
    "Freed",
    "Gave",
    "Grains",
    "Held",
    "Incident",
    "LotName",
    "LotSet",
    "MachineSet",
    "Measured",
    "Member",
    "MemberSet",
    "Moved",
    "Opened",
    "Ordered",
    "Origin",
    "Package",
    "Planted",
    "PutUp",
    "Ran",
    "Received",
    "RecordName",
    "Redated",
    "Released",
    "Repacked",
    "SetAside",
    "Settled",
    "Spoiled",
    "Stamp",
    "StoreCounted",
    "StorePath",
    "StoreSet",
    "Text",
    "Unit",
    "VesselsChanged",
    "Voided",
    "Word",
    "Yield"
]  # fmt: skip

Body: TypeAlias = (
    Received | Ordered | PutUp | Repacked | Moved | Opened | Consumed | Spoiled | Gave | Planted
    | Counted | StoreCounted | Checked | Held | Released | SetAside | Freed | Incident | LotSet
    | Measured | Ran | VesselsChanged | StoreSet | FoodSet | MemberSet | MachineSet | DeviceSet
    | DigestSent | Redated | Voided | Settled
)  # fmt: skip
