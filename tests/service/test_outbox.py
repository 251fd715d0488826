"""Mail brought out under every fault that a server, a line or a program can have."""

import asyncio
import os
import shutil
import ssl
import subprocess
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from msgspec.structs import replace

from service.clock import Fixed
from service.digests.deliver import Smtp
from service.digests.outbox import AGAIN, FAR, MINUTE, STEPS, TRIES, Tally, pause, send_out
from service.errors import ForeignFile, GirnelError, HomeInUse
from service.settings import Mail
from service.storage.letters import Kept, Letter
from service.storage.mail import MailFile, open_mail
from tests.post import post_office

NOW = 1_795_370_407_000
WEEK = "2026-W47"


def letter(reader: str = "cook", period: str = WEEK, **facts: object) -> Letter:
    name = f"<{reader}-{period.replace(' ', '-')}@girnel.invalid>"
    content = f"From: l@example.org\r\nMessage-ID: {name}\r\nSubject: s\r\n\r\n.x\r\n"
    return Letter(reader=reader, period=period, made=NOW, address=f"{reader}@example.org",
                  message_id=name, message=content.encode(), next_try=NOW, **facts)  # type: ignore[arg-type]  # fmt: skip


@asynccontextmanager
async def box(home: Path, *letters: Letter) -> AsyncIterator[MailFile]:
    opened = await open_mail(home / "mail.db", writing=True, wait_s=0.2)
    try:
        await opened.claim(list(letters))
        yield opened
    finally:
        await opened.close()


async def bring_out(opened: MailFile, mail: Mail, now: int, **waits: float) -> Tally:
    door = Smtp(mail, **waits)
    try:
        return await send_out(opened, door, Fixed(now))
    finally:
        await door.close()


async def states(opened: MailFile) -> dict[str, str]:
    return {one.reader: one.state for one in await opened.letters()}


async def test_each_reader_has_one_and_a_second_round_sends_nothing(tmp_path: Path) -> None:
    async with post_office() as server, box(tmp_path, letter("cook"), letter("teen")) as opened:
        assert await bring_out(opened, server.mail(), NOW) == Tally(sent=2)
        assert await bring_out(opened, server.mail(), NOW + FAR) == Tally()
        assert server.names() == [
            "<cook-2026-W47@girnel.invalid>",
            "<teen-2026-W47@girnel.invalid>",
        ]
        assert [one.to for one in server.taken] == ["cook@example.org", "teen@example.org"]
        assert await states(opened) == {"cook": "sent", "teen": "sent"}


async def test_a_claimed_period_is_not_claimed_again(tmp_path: Path) -> None:
    async with box(tmp_path, letter("cook")) as opened:
        other = letter("cook", attempts=3)
        assert await opened.claim([other, letter("teen")]) == 1
        assert {one.reader: one.attempts for one in await opened.letters()} == {
            "cook": 0,
            "teen": 0,
        }


async def test_a_week_is_claimed_with_its_messages_and_its_digest_or_not_at_all(
    tmp_path: Path,
) -> None:
    """Where the last of it cannot be written, none of it is: the week is not claimed."""
    whole = Kept(period=WEEK, made=NOW, digest=b"{}", said=b"{}")
    torn = replace(whole, said=object())  # what no file can hold
    async with box(tmp_path) as opened:
        with pytest.raises(GirnelError):
            await opened.claim([letter("cook"), letter("teen")], torn)
        assert await opened.letters() == []
        assert await opened.kept(WEEK) is None
        assert await opened.claim([letter("cook"), letter("teen")], whole) == 2
        assert await opened.kept(WEEK) == whole


async def test_one_reader_refused_stops_nobody(tmp_path: Path) -> None:
    async with (
        post_office() as server,
        box(tmp_path, letter("cook"), letter("lodger"), letter("teen")) as opened,
    ):
        server.rcpt = lambda to: "550 no such reader" if to.startswith("lodger") else None
        assert await bring_out(opened, server.mail(), NOW) == Tally(sent=2, refused=1)
        assert await states(opened) == {"cook": "sent", "lodger": "refused", "teen": "sent"}
        (refused,) = [one for one in await opened.letters() if one.state == "refused"]
        assert refused.answer == "550 no such reader"
        assert await bring_out(opened, server.mail(), NOW + FAR) == Tally()
        assert len(server.asked) == 3


async def test_greylisting_is_tried_again_later_and_later(tmp_path: Path) -> None:
    """A server that knows nobody at first: not before its time, then with growing pauses."""
    async with post_office() as server, box(tmp_path, letter("cook"), letter("teen")) as opened:
        server.rcpt = lambda to: "451 come again" if to.startswith("cook") else None
        assert await bring_out(opened, server.mail(), NOW) == Tally(sent=1, waiting=1)
        assert await bring_out(opened, server.mail(), NOW + STEPS[0] - 1) == Tally()
        second = NOW + STEPS[0]
        assert await bring_out(opened, server.mail(), second) == Tally(waiting=1)
        assert await bring_out(opened, server.mail(), second + STEPS[1] - 1) == Tally()
        server.rcpt = lambda _: None
        assert await bring_out(opened, server.mail(), second + STEPS[1]) == Tally(sent=1)
        assert len(server.names()) == len(server.taken) == 2


async def test_a_message_that_is_not_taken_now_or_ever(tmp_path: Path) -> None:
    async with post_office() as server, box(tmp_path, letter("cook"), letter("teen")) as opened:
        answers = iter(["452 no room now", "554 not that"])
        server.data = lambda: next(answers)
        assert await bring_out(opened, server.mail(), NOW) == Tally(waiting=1, refused=1)
        server.data = lambda: None
        assert await bring_out(opened, server.mail(), NOW + STEPS[0]) == Tally(sent=1)
        assert server.names() == ["<cook-2026-W47@girnel.invalid>"]


async def test_a_server_that_answers_after_the_client_gave_up(tmp_path: Path) -> None:
    """It has the message and nobody knows: shown as unknown, sent again as the same message."""
    async with post_office() as server, box(tmp_path, letter("cook")) as opened:
        slow = asyncio.Event()

        async def wait() -> None:
            await slow.wait()

        server.before_answer = wait
        assert await bring_out(opened, server.mail(), NOW, data_s=0.2) == Tally(unknown=1)
        assert await states(opened) == {"cook": "unknown"}
        slow.set()
        server.before_answer = None
        assert await bring_out(opened, server.mail(), NOW + AGAIN - 1) == Tally()
        assert await bring_out(opened, server.mail(), NOW + AGAIN) == Tally(sent=1)
        assert len(server.taken) == 2
        assert server.taken[0].content == server.taken[1].content
        assert server.names() == ["<cook-2026-W47@girnel.invalid>"]


async def test_an_outcome_that_stays_unknown_is_left_and_shown(tmp_path: Path) -> None:
    async with post_office() as server, box(tmp_path, letter("cook")) as opened:
        slow = asyncio.Event()

        async def wait() -> None:
            await slow.wait()

        server.before_answer = wait
        now = NOW
        for _ in range(TRIES):
            assert await bring_out(opened, server.mail(), now, data_s=0.1) == Tally(unknown=1)
            now += AGAIN
        assert await bring_out(opened, server.mail(), now + FAR) == Tally()
        slow.set()
        assert await states(opened) == {"cook": "unknown"}
        assert server.names() == ["<cook-2026-W47@girnel.invalid>"]
        assert [one.state for one in await opened.unnoted()] == ["unknown"]


async def test_a_no_to_the_second_try_says_nothing_of_the_first(tmp_path: Path) -> None:
    """Some servers refuse what they have: it is not called unsent."""
    async with (
        post_office() as server,
        box(tmp_path, letter("cook", state="unknown", attempts=1)) as opened,
    ):
        server.data = lambda: "554 I have that"
        await bring_out(opened, server.mail(), NOW)
        assert await states(opened) == {"cook": "unknown"}


async def test_no_server_costs_no_reader_a_try(tmp_path: Path) -> None:
    async with post_office() as server:
        mail = server.mail()
    async with box(tmp_path, letter("cook"), letter("teen")) as opened:
        said = (await bring_out(opened, mail, NOW)).said
        assert said.startswith(f"127.0.0.1:{mail.port}: ")
        assert {one.attempts for one in await opened.letters()} == {0}
        # it is not knocked at for every letter, and not before its time
        assert await bring_out(opened, mail, NOW + STEPS[0] - 1) == Tally(said=said)
        async with post_office() as server:
            again = NOW + STEPS[0]
            assert await bring_out(opened, server.mail(), again) == Tally(sent=2)
        assert (await opened.meta())["server_failures"] == "0"


async def test_a_clock_that_was_years_ahead_holds_nothing_back(tmp_path: Path) -> None:
    years = 3 * 365 * 24 * 60 * MINUTE
    async with post_office() as server:
        mail = server.mail()
    async with box(tmp_path, letter("cook")) as opened:
        await bring_out(opened, mail, NOW + years)
        async with post_office() as server:
            assert await bring_out(opened, server.mail(), NOW) == Tally(sent=1)


@pytest.mark.filterwarnings("ignore:.*login_data is deprecated:DeprecationWarning")
@pytest.mark.filterwarnings("ignore:Requiring AUTH while not requiring TLS:UserWarning")
async def test_the_login_is_used_and_never_shown(tmp_path: Path) -> None:
    async with (
        post_office(login=("house", "s3cret-word")) as server,
        box(tmp_path, letter("cook")) as opened,
    ):
        wrong = server.mail(login="house", password="s3cret-wrong")
        tally = await bring_out(opened, wrong, NOW)
        assert tally.said.startswith("535 ")
        assert tally.sent == 0
        right = server.mail(login="house", password="s3cret-word")
        for shown in (repr(right), str(right), tally.said, repr(await opened.letters())):
            assert "s3cret" not in shown
        assert await bring_out(opened, right, NOW + STEPS[0]) == Tally(sent=1)


async def test_a_line_that_cannot_be_made_private_carries_nothing(tmp_path: Path) -> None:
    """STARTTLS is asked for: a server without it, or a certificate nobody knows, gets no mail."""
    async with post_office() as server, box(tmp_path, letter("cook")) as opened:
        tally = await bring_out(opened, server.mail(security="starttls"), NOW)
        assert tally.sent == 0
        assert tally.said
        assert server.asked == []


def test_pauses_grow_and_end() -> None:
    assert [pause(tries) for tries in (1, 2, 7, 8, 99)] == [
        5 * MINUTE, 15 * MINUTE, 360 * MINUTE, 360 * MINUTE, 360 * MINUTE,
    ]  # fmt: skip


async def test_what_was_cut_off_is_unknown_and_what_had_not_begun_is_not(tmp_path: Path) -> None:
    async with box(tmp_path, letter("cook"), letter("teen")) as opened:
        await opened.begin(("cook", WEEK))
    async with box(tmp_path) as opened:
        assert await opened.cut_off(NOW + AGAIN, TRIES) == [("cook", WEEK)]
        assert await states(opened) == {"cook": "unknown", "teen": "waiting"}
        assert (await opened.next(NOW, FAR)).reader == "teen"  # type: ignore[union-attr]


async def test_two_programs_never_write_one_file(tmp_path: Path) -> None:
    async with box(tmp_path, letter("cook")):
        with pytest.raises(HomeInUse, match="which sends it"):
            await open_mail(tmp_path / "mail.db", writing=True, wait_s=0.1)
        looking = await open_mail(tmp_path / "mail.db", writing=False)
        assert [one.reader for one in await looking.letters()] == ["cook"]
        await looking.close()


async def test_a_file_of_something_else_stays_as_it_is(tmp_path: Path) -> None:
    import sqlite3

    raw = sqlite3.connect(tmp_path / "mail.db")
    raw.execute("CREATE TABLE t (x)")
    raw.commit()
    raw.close()
    before = (tmp_path / "mail.db").read_bytes()
    with pytest.raises(ForeignFile, match="Nothing was changed"):
        await open_mail(tmp_path / "mail.db", writing=True)
    assert (tmp_path / "mail.db").read_bytes() == before


async def test_a_line_that_breaks_before_the_message_is_no_unknown_outcome(tmp_path: Path) -> None:
    async def gone(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        writer.write(b"220 here\r\n")
        for answer in (b"250 hello\r\n", b"250 go on\r\n"):
            await reader.readline()
            writer.write(answer)
            await writer.drain()
        await reader.readline()  # RCPT
        writer.close()

    running = await asyncio.start_server(gone, "127.0.0.1", 0)
    port = running.sockets[0].getsockname()[1]
    mail = Mail(host="127.0.0.1", port=port, security="none", sender="l@example.org")
    async with box(tmp_path, letter("cook")) as opened:
        tally = await bring_out(opened, mail, NOW)
        assert tally.said
        assert await states(opened) == {"cook": "waiting"}
    running.close()
    await running.wait_closed()


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A house server's own certificate, and its key beside it."""
    found = shutil.which("openssl")
    if found is None:
        assert "GIRNEL_CI" not in os.environ, "openssl is wanted here"
        pytest.skip("openssl is not here: mail over TLS was not tried")
    path = tmp_path_factory.mktemp("tls") / "house.pem"
    command = [found, "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2",
               "-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1",
               "-keyout", str(path.with_suffix(".key")), "-out", str(path)]  # fmt: skip
    subprocess.run(command, check=True, capture_output=True)
    return path


@pytest.mark.filterwarnings("ignore:.*login_data is deprecated:DeprecationWarning")
async def test_mail_goes_over_a_private_line(tmp_path: Path, certificate: Path) -> None:
    """STARTTLS with a login, to a server whose certificate is trusted, and to one whose is not."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, certificate.with_suffix(".key"))
    async with (
        post_office(login=("house", "s3cret"), tls_context=context, auth_require_tls=True,
                    require_starttls=True) as server,
        box(tmp_path, letter("cook")) as opened,
    ):  # fmt: skip
        facts = {"login": "house", "password": "s3cret", "security": "starttls"}
        stranger = await bring_out(opened, server.mail(**facts), NOW)
        assert stranger.sent == 0
        assert "certificate" in stranger.said
        trusted = server.mail(**facts, authority=str(certificate))
        assert await bring_out(opened, trusted, NOW + STEPS[0]) == Tally(sent=1)
        assert len(server.taken) == 1


async def test_mail_goes_over_tls_from_the_start(tmp_path: Path, certificate: Path) -> None:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, certificate.with_suffix(".key"))
    async with post_office(tls=context) as server, box(tmp_path, letter("cook")) as opened:
        trusted = server.mail(security="tls", authority=str(certificate))
        assert await bring_out(opened, trusted, NOW) == Tally(sent=1)
