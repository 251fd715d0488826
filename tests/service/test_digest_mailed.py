"""The demo's week as its cook would have it by mail, a week after the last one.

The golden parts are a person's to replace, after looking at every line, and at the page at 360 and
800 px, light and dark. What is worked out by hand rests on the household's story.
"""

import asyncio
from datetime import datetime
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default
from functools import cache
from zoneinfo import ZoneInfo

import pytest

from events.tables import load
from service import assemble
from service.clock import Fixed
from service.console import demo
from service.digests import message
from service.digests.compose import Composed, compose_next
from service.digests.readers import Reader
from service.digests.render import WIDTH
from service.jobs.heard import head_of
from service.ledger import Ledger
from service.settings import Mail
from tests.service.test_digest_golden import CODE, GOLDEN

TEXT = GOLDEN.with_name("alder-bend-2026-11-22-mail.txt")
PAGE = TEXT.with_suffix(".html")

COOK = Reader(
    name="cook",
    address="cook@example.org",
    weekly=True,
    urgent=False,
    headings=frozenset(),
    since=0,
)
MAIL = Mail(host="post.example.org", port=587, security="starttls", sender="larder@example.org")


def evening(day: str) -> int:
    """Six in the evening there, Unix milliseconds."""
    moment = datetime.fromisoformat(f"{day}T18:00").replace(tzinfo=ZoneInfo(demo.ZONE))
    return round(moment.timestamp() * 1000)


async def composed(ledger: Ledger, last: Composed | None, now: int) -> Composed:
    said = None if last is None else last.said
    head = await head_of(ledger)
    return compose_next(ledger.book, load(), now, demo.ZONE, demo.NAME, said, head)


async def replayed() -> Composed:
    """Two evenings: what was heard up to each is what its digest knows."""
    arrivals = list(demo.read())
    clock = Fixed(arrivals[0].received)
    ledger = await assemble.make_passing(demo.NAME, demo.ZONE, [], clock, demo.Named())
    last: Composed | None = None
    async with ledger:
        for before, now in (
            (0, evening("2026-11-15")),
            (evening("2026-11-15"), evening(demo.WEEK)),
        ):
            heard = [one for one in arrivals if before < one.received <= now]
            await demo.replay(ledger, clock, heard)
            last = await composed(ledger, last, now)
    assert last is not None
    return last


@cache
def mailed() -> EmailMessage:
    """The message of the week to Sunday 22 November 2026."""
    sender = message.From(demo.HOUSEHOLD, demo.NAME, demo.ZONE, MAIL, "word")
    digest = asyncio.run(replayed()).digest
    content = message.of_digest(digest, COOK, sender, "2026-W47", evening(demo.WEEK))
    read = message_from_bytes(content, policy=default)
    assert isinstance(read, EmailMessage)
    return read


def part(kind: str) -> str:
    found = mailed().get_body((kind,))
    assert found is not None
    content = found.get_content()
    assert isinstance(content, str)
    return content.replace("\r\n", "\n")


def test_the_demos_mail_is_as_it_was() -> None:
    assert part("plain") == TEXT.read_text(encoding="utf-8")
    assert part("html") == PAGE.read_text(encoding="utf-8")


BY_HAND = {
    # what changed stands first: the teen's phone was heard on 16 and 19 Nov, of 13 Nov (onions) and
    # of 14 Nov, a jar beside the one that the last digest had
    "changed": "Alder Bend: the week to Sunday 22 Nov 2026 Changed since the last digest "
    "corrected: eaten 1 jar tomatoes was said, it is 2 jars tomatoes "
    "corrected, heard late: eaten 2 1/2 lb onions Use first",
    # said on 15 Nov, on its day, and nobody has released it
    "standing": "to look at: 17 1/2 lb sauerkraut, kitchen (due); power cut, chest-freezer, 30 to "
    "31 Oct 2026;",
    "carry": "to carry: green beans to kitchen to get: bread flour does not add up:",
    # ordered, due on 5 Dec: within a fortnight for the first time
    "news to get": "Get 100 lb wheat berries from the mill: due 5 Dec 2026",
    "choice": "To cook of Alder Bend, who chose it. No more of it: answer this, and "
    "whoever keeps the log ends it; or say girnel member set cook digest=none.",
}


@pytest.mark.parametrize("about", BY_HAND)
def test_a_line_worked_out_by_hand_stands_in_it(about: str) -> None:
    assert BY_HAND[about] in CODE.sub("", " ".join(part("plain").split()))


def test_nothing_is_said_twice() -> None:
    """What stands is in the short list alone; what to do about it is said once."""
    plain = part("plain")
    assert plain.count("bread flour\n") == 1
    assert plain.count("girnel concerns") == 1
    lines = [line.strip() for line in plain.splitlines() if line.strip()]
    assert len(set(lines)) == len(lines)
    assert len(lines) <= 50
    assert max(map(len, plain.splitlines())) <= WIDTH


def test_the_last_line_of_the_list_has_the_logs_size_and_the_digest_of_its_head() -> None:
    """A SHA-256 of the last record's bytes, its first sixteen digits."""
    from hashlib import sha256

    async def last() -> tuple[int, str]:
        arrivals = [one for one in demo.read() if one.received <= evening(demo.WEEK)]
        clock = Fixed(arrivals[0].received)
        ledger = await assemble.make_passing(demo.NAME, demo.ZONE, [], clock, demo.Named())
        async with ledger:
            await demo.replay(ledger, clock, arrivals)
            (row,) = await ledger.page(ledger.position - 1, 1)
            return row.position, sha256(row.content).hexdigest()[:16]

    many, head = asyncio.run(last())
    assert f"The log holds {many} records; its head is {head}." in part("plain").splitlines()


if __name__ == "__main__":
    TEXT.write_text(part("plain"), encoding="utf-8")
    PAGE.write_text(part("html"), encoding="utf-8")
