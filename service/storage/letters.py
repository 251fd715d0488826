"""Outgoing mail as values: a letter, what became of it, and how the log says so.

Nothing here knows a file, a server or a clock.
"""

from typing import Literal, TypeAlias

from msgspec import Struct

State: TypeAlias = Literal[
    "waiting", "sending", "sent", "refused", "unknown", "off", "late", "unwanted"
]

OUTCOMES: dict[State, str] = {
    "sent": "sent",
    "refused": "not sent, refused by the mail server",
    "unknown": "outcome unknown",
    "off": "not sent, machine off",
    "late": "not sent, no mail server in its week",
}
"""What became of a message, as the log says it; the other states are no outcome."""

STATES = {said: state for state, said in OUTCOMES.items()}


class Letter(Struct, frozen=True, kw_only=True):
    """A reader's message of one period: a week's digest, or a day's note of one cause."""

    reader: str
    period: str
    state: State = "waiting"
    made: int
    """Unix milliseconds"""
    address: str = ""
    message_id: str = ""
    message: bytes | None = None
    """as it goes out, byte for byte; None: there is none (machine off, known from the log alone)"""
    attempts: int = 0
    next_try: int | None = None
    """Unix milliseconds; None: it is not tried again"""
    answer: str = ""
    """the server's last words, or what went wrong"""

    @property
    def key(self) -> tuple[str, str]:
        return self.reader, self.period


class Kept(Struct, frozen=True, kw_only=True):
    """A digest as it was sent, to be shown again; `said` is what the next one has to correct."""

    period: str
    made: int
    digest: bytes
    said: bytes


class Told(Struct, frozen=True, kw_only=True):
    """What the log says became of a reader's message."""

    reader: str
    period: str
    state: State
    message_id: str
    made: int
