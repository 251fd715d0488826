"""Outgoing mail brought out: which letter next, what an answer makes of it, when it is tried again.

Rules: a letter is marked as being sent after the server has agreed to take it and before its first
byte goes out, so that of a program that was cut off it is known where nothing was sent, and where
nobody knows; what is tried again is the same message, byte for byte, under
the same Message-ID; a server that is not reached costs no reader a try; one reader refused stops
nobody else.
"""

from functools import partial
from typing import NamedTuple

from msgspec.structs import replace

from service.clock import Clock
from service.digests.deliver import Answer, Door
from service.storage.letters import Letter
from service.storage.mail import MailFile

MINUTE = 60_000
STEPS = (5 * MINUTE, 15 * MINUTE, 30 * MINUTE, 60 * MINUTE, 2 * 60 * MINUTE, 4 * 60 * MINUTE,
         6 * 60 * MINUTE)  # fmt: skip
"""How long to wait after the first, second … try; greylisting asks for minutes, an outage for hours."""

AGAIN = 60 * MINUTE
"""How long to wait after an unknown outcome."""

TRIES = 3
"""After so many with an unknown outcome it is left so, and shown."""

FAR = 2 * STEPS[-1]
"""A time to try at that is further off was set by a wrong clock, and is now."""


class Tally(NamedTuple):
    """How many letters came to what in one round; `said`: why none could go out, "" where one did."""

    sent: int = 0
    refused: int = 0
    waiting: int = 0
    unknown: int = 0
    said: str = ""


async def send_out(box: MailFile, door: Door, clock: Clock) -> Tally:
    """Hand over every letter whose time has come."""
    counts = dict.fromkeys(("sent", "refused", "waiting", "unknown"), 0)
    meta = await box.meta()
    if clock.now_ms() < _heeded(int(meta.get("server_try", "0")), clock.now_ms()):
        return Tally(said=meta.get("server_said", ""))
    failed = ""
    while not failed and (letter := await box.next(clock.now_ms(), FAR)) is not None:
        answer = await door.hand_over(letter, partial(box.begin, letter.key))
        changed = after(letter, answer, clock.now_ms())
        state = changed.state
        await box.settle(changed)
        counts[state] += 1
        if answer.kind == "unreached":
            failed = answer.said
    if failed:
        failures = int(meta.get("server_failures", "0")) + 1
        again = clock.now_ms() + pause(failures)
        await box.know(
            {"server_try": str(again), "server_failures": str(failures), "server_said": failed}
        )
    elif any(counts.values()) and meta.get("server_failures", "0") != "0":
        await box.know({"server_try": "0", "server_failures": "0", "server_said": ""})
    return Tally(**counts, said=failed)


def after(letter: Letter, answer: Answer, now: int) -> Letter:
    """What a letter is after an answer at `now` (Unix ms). `letter`: as it was before this try."""
    tries = letter.attempts + 1
    state, next_try = letter.state, None
    match answer.kind:
        case "taken":
            state = "sent"
        case "refused":
            # a copy may have gone out before: a no to the next one says nothing of the first
            state = "unknown" if letter.state == "unknown" else "refused"
        case "unknown":
            state = "unknown"
            next_try = now + AGAIN if tries < TRIES else None
        case "later":
            next_try = now + pause(tries)
        case "unreached":
            tries, next_try = letter.attempts, now
    return replace(letter, state=state, next_try=next_try, attempts=tries, answer=answer.said)


def pause(tries: int) -> int:
    """How long to wait after so many tries, milliseconds."""
    return STEPS[min(tries, len(STEPS)) - 1]


def _heeded(moment: int, now: int) -> int:
    return now if moment > now + FAR else moment
