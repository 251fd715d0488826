"""What is said when devices are paired, listed, named and retired, as values.

Both the routes and the console read and write these. Nothing is sent, stored or judged here. Rule:
a field is added, never changed in meaning; one that is not sent has a default that says so.

    POST /v1/join           Join -> Joined; the only one that needs no token
    POST /v1/pair           Pair -> Paired
    GET  /v1/devices        -> [Listed, …]  (service.access)
    PATCH /v1/devices/NAME  Change -> Listed
"""

from typing import Annotated, Literal

from msgspec import Meta, Struct

from events.kinds import Device, Member, Word
from service.access import Role


class Pair(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A code for a new device, please."""

    role: Role = "member"
    name: Word | None = None
    """what people call it: "barn tablet"; None: by its own name"""
    member: Member | None = None
    """whose it is; None: everybody's"""
    formerly: Device | None = None
    """the retired device whose waiting records it may hand over under their old name"""


class Paired(Struct, frozen=True, kw_only=True):
    """A code, good once and until `until` (Unix milliseconds)."""

    code: str
    until: int


class Join(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The code that a person typed or scanned."""

    code: Annotated[str, Meta(min_length=1, max_length=40)]


class Joined(Struct, frozen=True, kw_only=True):
    """A device of the household from here on. `token` is said this once."""

    device: Device
    token: str
    role: Role
    household: Word
    household_name: Word
    timezone: Word
    log: str
    epoch: int
    name: str = ""
    member: str | None = None
    formerly: list[Device] = []
    """retired devices whose waiting records it may hand over under their own names"""


class Change(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is to be altered about a device; what is not named stays."""

    name: Word | None = None
    retired: Literal[True] | None = None
