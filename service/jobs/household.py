"""A household's jobs, for its timetable while it is served: mail, notes, checkpoints, copies.

What the jobs do is elsewhere; here they are put together, and how often each looks. Where no mail
server is set, none of mail runs, and nothing is claimed.
"""

import asyncio
import hmac
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path

from events import tables
from events.book import Book
from service.access import Access, roster
from service.clock import Clock, Ids, RandomIds, zone
from service.digests.deliver import Smtp
from service.digests.message import no_more
from service.digests.outbox import AGAIN, TRIES, Tally, send_out
from service.digests.readers import readers
from service.errors import HomeUnwritable
from service.jobs.heard import go_on, hear, heard_from, note, waits_until
from service.jobs.timetable import Job
from service.jobs.work import Office, settle, settle_notes
from service.ledger import Ledger
from service.settings import Mail
from service.storage.copies import FOLDER, copy_log
from service.storage.mail import MailFile, open_mail

BOX = "mail.db"
"""The file in a home that holds outgoing mail."""

WORD = "mail-goes-on"
"""A file that a keeper's console puts into the home: mail that waits goes out. Whoever has the mail
in hand takes it away again."""

LOG = "log.db"

DAY_S = 86_400.0
HOUR_S = 3600.0
QUARTER_S = 900.0


@asynccontextmanager
async def open_box(home: Path, clock: Clock) -> AsyncIterator[MailFile]:
    """Outgoing mail, for this process alone; what another was cut off in is marked unknown."""
    box = await open_mail(home / BOX, writing=True)
    try:
        await box.cut_off(clock.now_ms() + AGAIN, TRIES)
        yield box
    finally:
        await box.close()


async def bring_out(box: MailFile, mail: Mail, clock: Clock) -> Tally:
    """Hand over what is to go out, unless mail waits."""
    if await waits_until(box, clock.now_ms()) is not None:
        return Tally()
    door = Smtp(mail)
    try:
        return await send_out(box, door, clock)
    finally:
        await door.close()


def give_word(home: Path) -> None:
    """Put a keeper's word into the home. Raises HomeUnwritable."""
    try:
        (home / WORD).touch()
    except OSError as wrong:
        raise HomeUnwritable(
            f"{home} may not be written to ({wrong.strerror}): look at who owns it."
        ) from None


async def heed_word(home: Path, box: MailFile, ledger: Ledger, now_ms: int) -> None:
    """A keeper's word that mail goes on, where one was given; of what is known by now of the log."""
    word = home / WORD
    if word.exists():
        await hear(ledger, box, now_ms)
        await go_on(box)
        word.unlink(missing_ok=True)


async def ask_devices(box: MailFile, access: Access, ledger: Ledger, now_ms: int) -> None:
    """Where mail waits for word of other devices: whether all of them have been heard."""
    own = ledger.household.device
    await heard_from(box, roster(ledger.book, own, await access.devices()), own, now_ms)


async def reader_who(home: Path, book: Book, word: str) -> str | None:
    """The reader who says "no more" with that word (their mail's own); None: nobody does."""
    if not (home / BOX).is_file():
        return None
    box = await open_mail(home / BOX, writing=False)
    try:
        secret = (await box.meta()).get("secret")
    finally:
        await box.close()
    if secret is None:
        return None
    shown = word.encode("utf-8", "surrogateescape")
    for reader in readers(book):
        if hmac.compare_digest(no_more(secret, reader.name).encode(), shown):
            return reader.name
    return None


@asynccontextmanager
async def household_jobs(
    home: Path,
    ledger: Ledger,
    clock: Clock,
    mail: Mail | None,
    access: Access | None = None,
    ids: Ids | None = None,
) -> AsyncIterator[list[Job]]:
    """The jobs of a household that is open for writing, until the block ends.

    `access`: who may; None: no other device does.
    """

    async def copy() -> None:
        tz = zone(ledger.household.timezone)
        today = datetime.fromtimestamp(clock.now_ms() / 1000, UTC).astimezone(tz).date()
        await asyncio.to_thread(copy_log, home / LOG, home / FOLDER, today)

    others = [
        Job("the day's copy", HOUR_S, copy),
        Job("the day's checkpoint", DAY_S, ledger.put_by),
    ]
    if mail is None:
        yield others
        return
    async with open_box(home, clock) as box:
        office = Office(ledger, box, tables.load(), mail, ids or RandomIds())

        async def post() -> None:
            await heed_word(home, box, ledger, clock.now_ms())
            await settle(office, clock.now_ms())
            if access is not None:
                await ask_devices(box, access, ledger, clock.now_ms())
            await bring_out(box, mail, clock)
            await note(ledger, box, clock.now_ms())

        async def look_round() -> None:
            await settle_notes(office, clock.now_ms())

        yield [Job("what cannot wait", QUARTER_S, look_round), Job("mail", 0, post), *others]
