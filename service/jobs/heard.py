"""What the log says of mail, and what it has to be told: each outcome once, on every machine.

Rules: what the log says was sent was sent, whatever the mailbox says; a log that was set back, and a
mailbox that knows less than its log, wait before anything goes out: for a day, until every other
device of the household has been heard, or for a keeper's word.
"""

from collections.abc import Iterable, Mapping
from hashlib import sha256

from events import codec
from events.kinds import DigestSent
from events.record import Record
from service.access import Listed
from service.digests.compose import Head
from service.drafts import Draft
from service.errors import TornFile
from service.ledger import Ledger
from service.storage.letters import OUTCOMES, STATES, Told
from service.storage.mail import MailFile
from service.storage.store import Row

WAIT = 86_400_000
"""How long mail waits after the log was set back, milliseconds: word of what was sent meanwhile may
be on its way here."""

MINUTES = 120_000
"""How long mail still waits once every device has been heard: the last may be telling yet."""

PAGE = 5000
MARK = b'"digest_sent"'
"""Stands in every record of a digest sent; what else it stands in is read and passed over."""

HEAD_DIGITS = 16
"""Of the last record's SHA-256, as it is shown."""


async def hear(ledger: Ledger, box: MailFile, now_ms: int) -> Head:
    """Take in what the log says of mail since it was last read, and how far it has come.

    Where the log is not the one that was read before, but an older state of it, mail waits; so it
    does where nothing is known here of mail that the log says went out.
    """
    meta = await box.meta()
    if meta.get("household", ledger.household.id) != ledger.household.id:
        raise TornFile(
            "The outgoing mail in this directory is of another household: take mail.db away, "
            "or put the household's own log back."
        )
    position, head, back = int(meta.get("heard", "0")), meta.get("head", ""), False
    if position and await _digest_at(ledger, position) != head:
        position, head, back = 0, "", True
    said: list[Told] = []
    while rows := await ledger.page(position, PAGE):
        said += [one for row in rows if MARK in row.content and (one := _told(row)) is not None]
        position, head = rows[-1].position, sha256(rows[-1].content).hexdigest()
    known = {"household": ledger.household.id, "heard": str(position), "head": head}
    if not said and known.items() <= meta.items():
        return Head(position, head[:HEAD_DIGITS])
    if back or (said and "heard" not in meta):
        known["wait"] = str(now_ms + WAIT)
    await box.learn(said, known, anew=back)
    return Head(position, head[:HEAD_DIGITS])


async def head_of(ledger: Ledger) -> Head:
    """How far the log has come, and the digest of its last record."""
    position = ledger.position
    digest = await _digest_at(ledger, position) if position else ""
    return Head(position, digest[:HEAD_DIGITS])


async def _digest_at(ledger: Ledger, position: int) -> str:
    rows = await ledger.page(position - 1, 1)
    return sha256(rows[0].content).hexdigest() if rows else ""


def _told(row: Row) -> Told | None:
    record = codec.decode(row.content)
    if not isinstance(record, Record) or not isinstance(record.body, DigestSent):
        return None
    body = record.body
    state = STATES.get(body.outcome, "sent")  # an outcome of a newer program is not sent again
    return Told(
        reader=body.reader,
        period=body.week,
        state=state,
        message_id=body.message_id or "",
        made=row.received,
    )


async def note(ledger: Ledger, box: MailFile, now_ms: int) -> int:
    """Write into the log what came of mail and is not in it yet; how many outcomes."""
    await hear(ledger, box, now_ms)
    letters = await box.unnoted()
    if not letters:
        return 0
    drafts = [
        Draft(
            body=DigestSent(
                reader=one.reader,
                week=one.period,
                outcome=OUTCOMES[one.state],
                message_id=one.message_id or None,
            )
        )
        for one in letters
    ]
    await ledger.write(drafts, deed=False)
    await box.note(letters)
    await hear(ledger, box, now_ms)  # so that a log set back to before this is known for one
    return len(letters)


def until_when(meta: Mapping[str, str], now_ms: int) -> int | None:
    """Until when mail waits (Unix ms) because the log was set back; None: it does not."""
    until = int(meta.get("wait", "0"))
    return None if until <= now_ms else min(until, now_ms + WAIT)


async def waits_until(box: MailFile, now_ms: int) -> int | None:
    """The same, of the mail at hand; a time that a clock which was ahead had said is put right."""
    meta = await box.meta()
    until = until_when(meta, now_ms)
    if until is not None and str(until) != meta["wait"]:
        await box.know({"wait": str(until)})
    return until


async def heard_from(box: MailFile, devices: Iterable[Listed], own: str, now_ms: int) -> None:
    """Mail that waits waits no longer for devices that have all been heard since it began to.

    `own`: the device that keeps the log. A household without another one has nobody who could tell
    it anything, and waits its day.
    """
    until = await waits_until(box, now_ms)
    if until is None or until <= now_ms + MINUTES:
        return
    others = [one for one in devices if one.device != own and not one.retired]
    if others and all((one.heard or 0) > until - WAIT for one in others):
        await box.know({"wait": str(now_ms + MINUTES)})


async def go_on(box: MailFile) -> None:
    """A keeper's word: mail that waits goes out."""
    await box.know({"wait": "0"})
