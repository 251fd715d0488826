"""Who may: devices with a role and a token each, and the codes by which they are paired.

A code is eight signs, good for ten minutes, five tries and one device. A token is 256 bits and is
said once; kept are hashes. What the household should know of its devices goes into the log, through
`announce`. Rules: an unknown token and a retired device's look alike; what is shown is compared in
constant time; no token or code stands in an error.
"""

import asyncio
import hashlib
import hmac
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Literal, TypeAlias, cast

import msgspec

from events.book import Book
from events.kinds import DeviceSet
from service.clock import CROCKFORD, Clock, Secrets
from service.drafts import Draft
from service.errors import BadCode, StoreError, WrongUse
from service.ledger import Ledger
from service.storage.access import AccessFile, CodeRow, DeviceRow

FILE = "access.db"
"""The file in a home that says who may."""

Role: TypeAlias = Literal["keeper", "member", "reader", "sensor"]
"""keeper: sets up, pairs, retires; member: logs, reads; reader: reads; sensor: only `measured`."""

GOOD_FOR_MS = 10 * 60_000
"""How long a code may be used."""

TRIES = 5
"""Wrong codes that may be shown while one is open; then it is closed."""

HEARD_MS = 60_000
"""When a device was heard last is kept to the minute: a write for every request would be too much."""

NAME = 200
"""Signs that a name may have."""

SPOKEN = str.maketrans({"o": "0", "i": "1", "l": "1", "-": None, " ": None})
"""What Crockford's signs are taken for when they are read aloud or written down."""

NOT_GOOD = (
    "That code is not good, or not any more: one lasts ten minutes, works once, and is closed "
    "after five wrong tries. Ask a keeper for a new one (girnel pair)."
)


class Holder(msgspec.Struct, frozen=True, kw_only=True):
    """Who holds a token."""

    device: str
    role: Role
    member: str | None
    name: str
    formerly: frozenset[str] = frozenset()
    """retired devices whose waiting records this one may hand over under their own names"""


class Code(msgspec.Struct, frozen=True, kw_only=True):
    """A code for a person to type. `until`: Unix milliseconds."""

    code: str
    until: int


class Redeemed(msgspec.Struct, frozen=True, kw_only=True):
    """A device that was just paired, with its token; nobody is told that again."""

    holder: Holder
    token: str


class Listed(msgspec.Struct, frozen=True, kw_only=True):
    """A device of the household, as lists show it. Times are Unix milliseconds."""

    device: str
    name: str
    role: str | None = None
    """None: it has logged, and was never paired here"""
    member: str | None = None
    paired: int | None = None
    heard: int | None = None
    """when it last asked or sent anything"""
    retired: bool = False
    missing: int = 0
    """how many of its own records have not arrived, as far as its counter tells"""
    clock_off: int = 0
    """how many of its records were redated"""


class Access:
    """Who may in one household. Make one with `at`, and close it."""

    def __init__(self, file: AccessFile, clock: Clock, ids: Secrets) -> None:
        self._file = file
        self._clock = clock
        self._ids = ids
        self._known: dict[str, tuple[bytes, Holder]] = {}
        self._heard: dict[str, int] = {}
        self._stale = True

    # -- tokens ------------------------------------------------------------------------------------

    async def who(self, token: str) -> Holder | None:
        """Whose token this is; None where it is nobody's, or not any more."""
        if self._file.changed() or self._stale:
            self._learn()
        device, _, secret = token.partition(".")
        right, holder = self._known.get(device, (b"", None))
        if not hmac.compare_digest(_token_hash(secret), right) or holder is None:
            return None
        self._hear(device)
        return holder

    def _learn(self) -> None:
        consents = self._file.consents()
        self._known = {
            row.device: (row.token, _holder(row, consents))
            for row in self._file.devices()
            if row.retired is None
        }
        self._stale = False

    def _hear(self, device: str) -> None:
        now = self._clock.now_ms()
        if now - self._heard.get(device, -HEARD_MS) < HEARD_MS:
            return
        self._heard[device] = now
        try:
            self._file.heard(device, now)
        except StoreError:
            return  # a full disk is no reason to let nobody in

    # -- codes -------------------------------------------------------------------------------------

    async def pair(
        self,
        *,
        role: Role = "member",
        name: str | None = None,
        member: str | None = None,
        formerly: str | None = None,
    ) -> Code:
        """A code for a new device. `formerly`: the device whose waiting records it may hand over.

        Raises WrongUse where that one is not retired: nobody speaks in the name of another.
        """
        live = [row.device for row in self._file.devices() if row.retired is None]
        if formerly in live:
            raise WrongUse(
                f"{formerly} is still in use: retire it first (girnel devices {formerly} --retire), "
                "then another may hand over what waits on it."
            )
        name, member = _plain(name), _plain(member)
        code, now = self._ids.code(), self._clock.now_ms()
        hashed = await self._code_hash(code)
        until = now + GOOD_FOR_MS
        with self._file.writing():
            self._file.drop_codes([row.code for row in self._file.codes() if not _open(row, now)])
            self._file.add_code(CodeRow(hashed, role, name, member, formerly, until))
        return Code(code=code, until=until)

    async def redeem(self, code: str) -> Redeemed:
        """The device that a code makes, with its token. Raises BadCode."""
        shown, now = await self._code_hash(code), self._clock.now_ms()
        with self._file.writing():
            same = [r for r in self._file.codes() if hmac.compare_digest(r.code, shown)]
            good = [row for row in same if _open(row, now)]
            if not good:
                self._file.tried()
            self._file.drop_codes([row.code for row in good])
            made = [self._enrol(row, now) for row in good]
        if not made:
            raise BadCode(NOT_GOOD)
        return made[0]

    def _enrol(self, code: CodeRow, now: int) -> Redeemed:
        device, secret = self._ids.device(), self._ids.token()
        name = code.name or self._name_of(code.formerly) or device
        row = DeviceRow(device, _token_hash(secret), code.role, name, code.member, now, heard=now)
        self._file.add_device(row)
        facts = {"name": name, "role": code.role, "member": code.member or ""}
        if code.formerly is not None:
            self._file.consent(device, code.formerly)
            facts["formerly"] = code.formerly
        self._file.to_say(device, {fact: text for fact, text in facts.items() if text})
        self._stale = True
        return Redeemed(
            holder=_holder(row, self._file.consents()),
            token=f"{device}.{secret}",
        )

    def _name_of(self, device: str | None) -> str | None:
        return next((row.name for row in self._file.devices() if row.device == device), None)

    async def _code_hash(self, code: str) -> bytes:
        """Slow on purpose: a code has but 40 bits."""
        plain = code.lower().translate(SPOKEN)
        if len(plain) != 8 or any(sign not in CROCKFORD for sign in plain):
            plain = ""
        salt = self._file.salt.encode()
        return await asyncio.to_thread(hashlib.scrypt, plain.encode(), salt=salt, n=2**13, r=8, p=1)

    # -- devices -----------------------------------------------------------------------------------

    async def devices(self) -> list[DeviceRow]:
        """Every device that was paired, retired ones too, oldest first."""
        return self._file.devices()

    async def name(self, device: str, name: str) -> None:
        """Call it something else; also one that was never paired here, but has logged."""
        name = _plain(name) or device
        with self._file.writing():
            self._file.rename(device, name)
            self._file.to_say(device, {"name": name})
        self._stale = True

    async def retire(self, device: str) -> None:
        """Its token stops at once, its records stay; twice is harmless."""
        now = self._clock.now_ms()
        with self._file.writing():
            self._file.retire(device, now)
            self._file.to_say(device, {"retired": "yes"})
        self._stale = True

    async def announce(self, ledger: Ledger) -> int:
        """Write what the log does not say of its devices yet into it; how many records.

        Whoever has the log open for writing does this: the service, or the console where none runs.
        Said twice, after a crash between the two files, it is the same fact.
        """
        unsaid = self._file.unsaid()
        facts: dict[str, dict[str, str]] = {}
        for fact in unsaid:
            facts.setdefault(fact.device, {})[fact.fact] = fact.text
        if facts:
            drafts = [Draft(body=DeviceSet(device=d, facts=said)) for d, said in facts.items()]
            await ledger.write(drafts, deed=False)
            self._file.said([fact.number for fact in unsaid])
        return len(facts)

    def close(self) -> None:
        """Let go of the file; more than once is harmless."""
        self._file.close()


def at(home: Path, clock: Clock, ids: Secrets) -> Access:
    """Who may in a home; the file is made where there is none."""
    return Access(AccessFile(home / FILE, ids.token()), clock, ids)


def roster(book: Book, own: str, rows: Sequence[DeviceRow]) -> list[Listed]:
    """Every device that the log or the file names; `own`, that of the log's own home, first."""
    paired = {row.device: row for row in rows}
    missing: dict[str, int] = {}
    off: Counter[str] = Counter()
    for concern in book.concerns():
        if concern.kind == "gap-in-device":
            missing[concern.detail] = concern.n
        elif concern.kind == "clock-off":
            off[concern.rests_on[-1].rpartition(":")[0]] += 1
    told = []
    for device in {own: None, **paired, **dict.fromkeys(sorted(book.settings.devices))}:
        row, facts = paired.get(device), book.settings.devices.get(device, {})
        told.append(
            Listed(
                device=device,
                name=row.name if row else facts.get("name", device),
                role=row.role if row else facts.get("role", "keeper" if device == own else None),
                member=row.member if row else facts.get("member"),
                paired=None if row is None else row.paired,
                heard=None if row is None else row.heard,
                retired=row.retired is not None if row else "retired" in facts,
                missing=missing.get(device, 0),
                clock_off=off[device],
            )
        )
    return told


def grouped(code: str) -> str:
    """A code as it is read aloud: four signs and four."""
    return f"{code[:4]}-{code[4:]}"


def _plain(name: str | None) -> str | None:
    """A name as it may stand in a record. WrongUse where it may not."""
    if name is None:
        return None
    plain = " ".join(name.split())
    if not plain.isprintable() or len(plain) > NAME:
        raise WrongUse(
            f"A device's name is a word or a few, up to {NAME} signs that can be printed."
        )
    return plain or None


def _open(row: CodeRow, now: int) -> bool:
    return row.tries < TRIES and now < row.until


def _holder(row: DeviceRow, consents: Mapping[str, frozenset[str]]) -> Holder:
    return Holder(
        device=row.device,
        role=cast("Role", row.role),
        member=row.member,
        name=row.name,
        formerly=consents.get(row.device, frozenset()),
    )


def _token_hash(secret: str) -> bytes:
    return hashlib.sha256(secret.encode("utf-8", "surrogateescape")).digest()
