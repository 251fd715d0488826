"""A digest as a mail: what a mailbox, read by the standard library, has of it after a real server."""

from datetime import UTC, datetime
from email import message_from_bytes
from email.policy import default

from msgspec.structs import replace

from events.kinds import MemberSet
from service.digests.deliver import Smtp
from service.digests.digest import Care, Digest, Item, Section
from service.digests.message import From, message_id, no_more, of_digest, of_note, of_trial
from service.digests.readers import Reader, readers
from service.digests.urgent import Note
from service.settings import Mail
from service.storage.letters import Letter
from tests.build import Household
from tests.post import Taken, post_office

NOW = round(datetime(2026, 11, 22, 18, 0, 7, 500_000, tzinfo=UTC).timestamp() * 1000)
MAIL = Mail(host="mail.example.org", port=587, security="starttls", sender="larder@example.org")
SENDER = From("hollow-lane-1", "Hollow Lane", "Europe/London", MAIL, "a secret of the house")
COOK = Reader(name="cook", address="cook@example.org", weekly=True, urgent=True,
              headings=frozenset(), since=0)  # fmt: skip
WEEK = Digest(
    title="Hollow Lane: the week to Sunday 22 Nov 2026",
    sections=(
        Section(
            heading="Use first",
            items=(
                Item(text="3 jars crème fraîche & <quince>, kitchen: ½ used", why="“a few days”"),
                Item(text=".dill, by the bunch: best ends " + "now and then " * 20),
                Item(text="..\r\n.\r\nsaid over three lines"),
            ),
        ),
    ),
    cautions=(Care(about="all", says="Full words.", brief="Tested recipes go first."),),
    quiet="",
    closing="The log holds 7 records; its head is 0123456789abcdef.",
)


async def begin() -> None:
    """Nothing to be marked."""


async def through_a_server(content: bytes) -> Taken:
    async with post_office() as server:
        door = Smtp(server.mail())
        letter = Letter(reader="cook", period="p", made=NOW, address=COOK.address, message=content)
        answer = await door.hand_over(letter, begin)
        await door.close()
        assert answer == ("taken", "250 taken")
        return server.taken[0]


async def test_both_parts_and_the_headers_arrive_as_they_were_meant() -> None:
    sent = of_digest(WEEK, COOK, SENDER, "2026-W47", NOW)
    got = await through_a_server(sent)
    mail = got.message
    assert mail.get_content_type() == "multipart/alternative"
    assert [part.get_content_type() for part in mail.iter_parts()] == ["text/plain", "text/html"]
    assert mail["Subject"] == "Hollow Lane: the week to Sunday 22 Nov 2026"
    assert mail["From"] == "Hollow Lane <larder@example.org>"
    assert mail["To"] == "cook <cook@example.org>"
    assert mail["Date"].datetime == datetime(2026, 11, 22, 18, 0, 7, tzinfo=UTC)
    assert got.name == message_id("hollow-lane-1", "cook", "2026-W47")
    assert mail["Auto-Submitted"] == "auto-generated"
    for name in ("Date", "From", "To", "Subject", "Message-ID", "MIME-Version", "List-Unsubscribe"):
        assert len(mail.get_all(name, [])) == 1, name
    assert mail["List-Unsubscribe"] == "<mailto:larder@example.org?subject=no%20more%3A%20cook>"
    assert mail["List-Unsubscribe-Post"] is None
    plain, page = got.part("plain"), got.part("html")
    for said in ("crème fraîche", "½ used", "Tested recipes go first.", "0123456789abcdef"):
        assert said in plain
        assert said in page
    assert "& <quince>" in plain
    assert "&amp; &lt;quince&gt;" in page
    assert got.content == sent


async def test_a_line_that_begins_with_a_point_arrives_with_it() -> None:
    got = await through_a_server(
        of_digest(replace(WEEK, closing=".\n..\n.x"), COOK, SENDER, "2026-W47", NOW)
    )
    assert ". .. .x" in " ".join(got.part("plain").split())
    raw = b"From: a@example.org\r\nMessage-ID: <1@x>\r\n\r\n.\r\n..\r\n...three\r\n.end\r\n"
    assert (await through_a_server(raw)).content == raw


def test_no_line_is_longer_than_the_rule_allows() -> None:
    """RFC 5322, 2.1.1: 78 signs without the line's end is what should be kept to; RFC 2045: 76."""
    long = replace(WEEK, title="Hollow Lane: " + "a very long name of a week " * 9)
    content = of_digest(long, replace(COOK, name="the gärtner " * 9), SENDER, "2026-W47", NOW)
    head, _, body = content.partition(b"\r\n\r\n")
    links = [line for line in head.split(b"\r\n") if b"<mailto:" in line]
    assert max(len(line) for line in head.split(b"\r\n") if line not in links) <= 78
    assert max(map(len, links)) <= 998  # these are not cut: the rule's other limit
    assert max(map(len, body.split(b"\r\n"))) <= 76
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert content.isascii()
    read = message_from_bytes(content, policy=default)
    assert read["To"].addresses[0].display_name == ("the gärtner " * 9)[:30]
    assert read["To"].addresses[0].addr_spec == "cook@example.org"


def test_the_name_is_the_same_for_ever_and_nobody_elses() -> None:
    # printf 'hollow-lane-1\ncook\n2026-W47' | sha256sum, the first 40 digits
    assert message_id("hollow-lane-1", "cook", "2026-W47") == (
        "<7ef0027fafbe70cbc1ce5f565dc836eba7064fcf@girnel.invalid>"
    )
    names = {
        message_id(household, reader, period)
        for household in ("a", "b")
        for reader in ("cook", "teen")
        for period in ("2026-W47", "2026-W48", "2026-11-22 frost-bed")
    }
    assert len(names) == 12
    again = of_digest(WEEK, COOK, SENDER, "2026-W47", NOW)
    assert again == of_digest(WEEK, COOK, SENDER, "2026-W47", NOW)


async def test_one_press_only_where_the_world_can_reach_the_house() -> None:
    """RFC 8058, 3.1: one https address, a mailto may stand beside it, and the other header."""
    public = SENDER._replace(
        mail=replace(MAIL, public="https://the-larder-of-hollow-lane.example.org")
    )
    got = await through_a_server(of_digest(WEEK, COOK, public, "2026-W47", NOW))
    token = no_more(SENDER.secret, "cook")
    assert got.message["List-Unsubscribe"].strip() == (
        f"<https://the-larder-of-hollow-lane.example.org/v1/no-more/{token}>, "
        "<mailto:larder@example.org?subject=no%20more%3A%20cook>"
    )
    assert got.message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    # whole and in plain letters: a mail program looks for <https: in it, and decodes nothing
    link = (
        f"\r\nList-Unsubscribe: <https://the-larder-of-hollow-lane.example.org/v1/no-more/{token}>,"
    )
    assert f"{link}\r\n <mailto:".encode() in got.content
    assert token != no_more(SENDER.secret, "teen")
    assert token != no_more("another secret", "cook")
    assert len(token) == 32


async def test_a_note_and_a_trial_are_whole_mails_too() -> None:
    frost = Note(cause="frost-bed", title="Frost may come", lines=("1.5 °C <now>", "cover it"))
    got = await through_a_server(of_note(frost, COOK, SENDER, "2026-11-22 frost-bed", NOW))
    assert got.message["Subject"] == "Hollow Lane: Frost may come"
    assert "1.5 °C <now>\ncover it" in got.part("plain")
    assert "1.5 °C &lt;now&gt;" in got.part("html")
    trial = await through_a_server(of_trial(COOK, SENDER, NOW))
    assert trial.message["Subject"] == "Hollow Lane: mail arrives"
    assert trial.message["List-Unsubscribe"] is None  # it is one message, and its word is nobody's


def test_no_name_makes_a_header() -> None:
    """Names are checked where they are typed; a record from elsewhere may hold anything."""
    content = of_digest(WEEK, replace(COOK, name='cook" <x@example.org>, "'), SENDER, "p", NOW)
    read = message_from_bytes(content, policy=default)
    assert [one.addr_spec for one in read["To"].addresses] == ["cook@example.org"]
    home = Household()
    for name in ("cook\r\nBcc: all@example.org", "cook"):
        home.say(MemberSet(member=name, facts={"mail": "cook@example.org"}))
    home.say(MemberSet(member="teen", facts={"mail": "teen@example.org\r\nBcc: all@example.org"}))
    assert [reader.name for reader in readers(home.book)] == ["cook"]
