"""The newest stamp wins, fact by fact, in whatever order the records come."""

from itertools import permutations

from events.kinds import (
    Body,
    DeviceSet,
    FoodSet,
    MachineSet,
    Measured,
    MemberSet,
    Stamp,
    StoreSet,
)
from events.projections.settings import Settings, empty, key_of
from events.record import Record


def said(body: Body, minute: int, device: str = "hall", seq: int = 1) -> Record:
    return Record(household="hollow", device=device, seq=seq, stamp=Stamp(minute * 60_000), at="2026-08-01",
                  offset=0, body=body)  # fmt: skip


def folded(*records: Record) -> Settings:
    settings = empty()
    for record in records:
        settings.fold(record, key_of(record))
    return settings


def test_each_kind_sets_up_its_own() -> None:
    settings = folded(
        said(StoreSet(store="barn", facts={"kind": "outbuilding"}), 1),
        said(FoodSet(food="beans", facts={"par": "30"}), 2, seq=2),
        said(MemberSet(member="cook", facts={}), 3, seq=3),
        said(MachineSet(machine="drier", facts={"trays": "9"}), 4, seq=4),
        said(DeviceSet(device="phone-2", facts={"name": "cook's phone"}), 5, seq=5),
        said(Measured(store="barn", celsius_milli=4000), 6, seq=6),
    )
    assert settings.stores == {"barn": {"kind": "outbuilding"}}
    assert settings.foods == {"beans": {"par": "30"}}
    assert settings.members == {"cook": {}}
    assert settings.machines == {"drier": {"trays": "9"}}
    assert settings.devices == {"phone-2": {"name": "cook's phone"}}


def test_the_newest_wins_field_by_field_in_any_order() -> None:
    records = [
        said(StoreSet(store="barn", facts={"kind": "room", "light": "dark"}), 1),
        said(StoreSet(store="barn", facts={"kind": "outbuilding"}), 2, seq=2),
        said(StoreSet(store="barn", facts={"damp": "dry", "light": ""}), 3, seq=3),
        said(StoreSet(store="barn", facts={"damp": "wet"}), 2, "yard"),
    ]
    for order in permutations(records):
        settings = folded(*order, *order)
        assert settings.stores == {"barn": {"kind": "outbuilding", "damp": "dry"}}
        assert settings == folded(*records)


def test_of_equal_stamps_the_device_then_its_counter_decides() -> None:
    one = said(FoodSet(food="salt", facts={"par": "10"}), 1, "hall", 2)
    other = said(FoodSet(food="salt", facts={"par": "12"}), 1, "yard", 1)
    again = said(FoodSet(food="salt", facts={"par": "14"}), 1, "yard", 2)
    assert folded(one, other).foods["salt"] == folded(other, one).foods["salt"] == {"par": "12"}
    assert folded(again, other).foods["salt"] == {"par": "14"}


def test_a_blank_stays_blank_against_an_older_record_that_comes_later() -> None:
    blank = said(FoodSet(food="salt", facts={"par": ""}), 9, seq=2)
    older = said(FoodSet(food="salt", facts={"par": "10"}), 1)
    assert folded(blank, older).foods == {"salt": {}}


def test_a_shelf_is_of_its_rooms_kind_unless_said_otherwise() -> None:
    settings = folded(
        said(StoreSet(store="back-room", facts={"kind": "room", "light": "dark"}), 1),
        said(StoreSet(store="back-room/shelf-2", facts={}), 2, seq=2),
        said(StoreSet(store="back-room/chest", facts={"kind": "freezer"}), 3, seq=3),
    )
    assert settings.kind_of("back-room/shelf-2") == "room"
    assert settings.kind_of("back-room/shelf-2/left") == "room"
    assert settings.kind_of("back-room/chest") == "freezer"
    assert settings.fact_of("back-room/chest", "light") == "dark"
    assert settings.kind_of("barn") is None
    assert settings.kind_of("") is None


def test_other_names_are_parted_by_semicolons() -> None:
    settings = folded(said(FoodSet(food="hen", facts={"other_names": "thighs; thighs, chkn ;"}), 1))
    assert settings.other_names("hen") == ["thighs", "thighs, chkn"]
    assert settings.other_names("salt") == []
