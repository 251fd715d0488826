"""The work behind a household's mail: what is owed is claimed, brought out, and noted in the log.

Three steps, each whole by itself, in this order and as often as one likes: `settle` (hear what the
log says was sent, claim what is due) and `settle_notes`, `send_out` (no log is needed while a server
is slow), `note`.
Rules: every week that came due has one outcome; a week is claimed in the transaction that puts its
messages by; after downtime the latest week alone is sent, and it tells of all the days since.
"""

from collections.abc import Sequence
from datetime import UTC, datetime, tzinfo
from typing import NamedTuple

import msgspec

from events import edtf
from events.book import Book
from events.tables import Tables
from service.clock import Ids, zone
from service.digests import message
from service.digests.changes import Said
from service.digests.compose import Composed, Head, compose_next
from service.digests.readers import Reader, for_reader, readers
from service.digests.urgent import notes, period
from service.jobs.due import USUAL, Due, Hour, due_after, due_in, due_since, hour_of, week_of
from service.jobs.heard import head_of, hear, waits_until
from service.ledger import Ledger
from service.settings import Mail
from service.storage.letters import OUTCOMES, Kept, Letter
from service.storage.mail import MailFile

DAY = 86_400_000


class Office(NamedTuple):
    """What mail is made with."""

    ledger: Ledger
    box: MailFile
    tables: Tables
    mail: Mail
    ids: Ids

    @property
    def book(self) -> Book:
        return self.ledger.book

    @property
    def zone(self) -> tzinfo:
        return zone(self.ledger.household.timezone)


def hour_for(book: Book) -> Hour:
    """The household's own hour; the usual one where none was said, or none that can be read."""
    said = book.settings.stores.get("", {}).get("digest", "")
    try:
        return hour_of(said) if said else USUAL
    except ValueError:
        return USUAL


async def settle(office: Office, now_ms: int) -> int:
    """Claim the digests that are due at `now_ms` (Unix ms); how many weeks were settled or put by."""
    head = await hear(office.ledger, office.box, now_ms)
    if await waits_until(office.box, now_ms) is not None:
        return 0
    owed, missed = await _due(office, now_ms)
    if owed:
        off = sorted({one.period for one in missed if one.state == "off"})
        composed = await next_digest(office.ledger, office.box, office.tables, now_ms, head, off)
        return await _claim(office, owed, missed, composed, now_ms)
    return await office.box.claim(missed) if missed else 0


async def _due(office: Office, now_ms: int) -> tuple[list[tuple[Reader, Due]], list[Letter]]:
    """(each reader whose digest is due, the weeks that were missed before it)."""
    book, box, tz, hour = office.book, office.box, office.zone, hour_for(office.book)
    week = week_of(datetime.fromtimestamp(now_ms / 1000, UTC).astimezone(tz).date())
    await box.forget_off(
        [
            (reader, off)
            for reader, off, made in await box.called_off(week, now_ms)
            if made > now_ms or due_in(off, hour, tz).ms > now_ms
        ]
    )
    owed, missed = [], []
    chosen = readers(book)
    await box.call_off(
        [one.name for one in chosen if one.weekly], [one.name for one in chosen if one.urgent]
    )
    for reader in chosen:
        last = await box.last_week(reader.name, week)
        come = (
            due_since(await _owed_since(box, reader, now_ms), now_ms, hour, tz)
            if last is None
            else due_after(last, now_ms, hour, tz)
        )
        await box.give_up(reader.name, come[-1].week if come else "", now_ms - DAY)
        if come and reader.weekly:
            owed.append((reader, come.pop()))
        missed += [
            Letter(
                reader=reader.name,
                period=due.week,
                state="off" if reader.weekly else "unwanted",
                made=now_ms,
            )
            for due in come
        ]
    return owed, missed


async def _owed_since(box: MailFile, reader: Reader, now_ms: int) -> int:
    """Since when a reader who has had no week yet is owed one.

    A choice of a day to come was said by a clock that was ahead, and is owed the latest alone;
    unless later weeks are settled, for then it is this clock that is behind.
    """
    if 0 < reader.since <= now_ms or await box.last_week(reader.name, "9999-W53") is not None:
        return reader.since
    return now_ms - 7 * DAY


async def next_digest(
    ledger: Ledger,
    box: MailFile | None,
    tables: Tables,
    now_ms: int,
    head: Head | None = None,
    off: Sequence[str] = (),
) -> Composed:
    """The digest that would go out now: what changed since the last one that did comes first.

    `box` None: none ever went out. `head` None: it is looked up. `off`: weeks just found missed.
    """
    kept = None if box is None else await box.kept()
    last = None if kept is None else msgspec.json.decode(kept.said, type=Said)
    posted = [] if box is None or kept is None else await _posted(ledger, box, kept.made)
    if off:
        days = [_day_of(ledger, week) for week in (off[0], off[-1])]
        many = "digest" if len(off) == 1 else "digests"
        posted.append(f"{many} of {edtf.show('/'.join(dict.fromkeys(days)))}: {OUTCOMES['off']}")
    if head is None:
        head = await head_of(ledger)
    household = ledger.household
    return compose_next(
        ledger.book, tables, now_ms, household.timezone, household.name, last, head, posted
    )


async def _posted(ledger: Ledger, box: MailFile, since: int) -> list[str]:
    """What became of mail made since the last digest was, where it did not arrive for sure."""
    said = []
    for one in reversed(await box.letters(most=100)):
        if one.made >= since and one.state in {"refused", "unknown", "late"}:
            day, _, cause = one.period.partition(" ")
            what = f"note of {edtf.show(day)}" if cause else ""
            what = what or f"digest of {edtf.show(_day_of(ledger, one.period))}"
            answer = f" ({one.answer})" if one.answer else ""
            said.append(f"{what} to {one.reader}: {OUTCOMES[one.state]}{answer}")
    return said


def _day_of(ledger: Ledger, week: str) -> str:
    """The day on which a week's digest was due, by the hour that the household has now."""
    return due_in(week, hour_for(ledger.book), zone(ledger.household.timezone)).day.isoformat()


async def _claim(
    office: Office,
    owed: list[tuple[Reader, Due]],
    missed: list[Letter],
    composed: Composed,
    now_ms: int,
) -> int:
    sender, letters = await sender_of(office), list(missed)
    for reader, due in owed:
        digest = for_reader(composed.digest, reader)
        content = message.of_digest(digest, reader, sender, due.week, now_ms)
        letters.append(_letter(reader, sender, due.week, content, now_ms))
    kept = Kept(
        period=owed[0][1].week,
        made=now_ms,
        digest=msgspec.json.encode(composed.digest),
        said=msgspec.json.encode(composed.said),
    )
    return await office.box.claim(letters, kept)


async def settle_notes(office: Office, now_ms: int) -> int:
    """Claim a note a cause of what cannot wait, once for its day and each reader who wants them."""
    hurried = [reader for reader in readers(office.book) if reader.urgent]
    if not hurried or await waits_until(office.box, now_ms) is not None:
        return 0
    sender = await sender_of(office)
    household = office.ledger.household
    today = datetime.fromtimestamp(now_ms / 1000, UTC).astimezone(office.zone).date()
    letters = []
    for one in notes(office.book, office.tables, now_ms, household.timezone):
        day = period(one.day or today, one.cause)
        for reader in hurried:
            if not await office.box.has(reader.name, day):
                content = message.of_note(one, reader, sender, day, now_ms)
                letters.append(_letter(reader, sender, day, content, now_ms))
    return await office.box.claim(letters) if letters else 0


def _letter(reader: Reader, sender: message.From, day: str, content: bytes, now_ms: int) -> Letter:
    return Letter(
        reader=reader.name,
        period=day,
        made=now_ms,
        address=reader.address,
        message_id=message.message_id(sender.household, reader.name, day),
        message=content,
        next_try=now_ms,
    )


async def sender_of(office: Office) -> message.From:
    """As whom mail goes out; the household's secret is made when it is first wanted."""
    secret = (await office.box.meta()).get("secret")
    if secret is None:
        secret = office.ids.household() + office.ids.household()
        await office.box.know({"secret": secret})
    household = office.ledger.household
    return message.From(household.id, household.name, household.timezone, office.mail, secret)
