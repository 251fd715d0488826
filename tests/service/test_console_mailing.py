"""The digest on the console: readers set up, what would go out, what went out, and wrong use."""

import asyncio
import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.console import Console, household
from tests.post import Server, post_office

SUNDAY = "2026-11-22T18:00:00+00:00"
NEXT = "2026-11-29T18:00:00+00:00"


@pytest.fixture
def console(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Iterator[Console]:
    for name in ("SERVER", "FROM", "LOGIN", "PASSWORD", "SECURITY", "CA"):
        monkeypatch.delenv(f"GIRNEL_MAIL_{name}", raising=False)
    monkeypatch.delenv("GIRNEL_PUBLIC_URL", raising=False)
    with household(
        tmp_path, monkeypatch, capsys, ("12 qt", "green beans", "--in", "back-room")
    ) as made:
        yield made


@contextmanager
def server(console: Console) -> Iterator[Server]:
    """A mail server in a thread of its own: the console has the loop of this one."""
    ready, end = threading.Event(), threading.Event()
    found: list[Server] = []

    async def serve() -> None:
        async with post_office() as running:
            found.append(running)
            ready.set()
            await asyncio.to_thread(end.wait)

    thread = threading.Thread(target=asyncio.run, args=(serve(),))
    thread.start()
    assert ready.wait(10)
    console.monkeypatch.setenv("GIRNEL_MAIL_SERVER", f"127.0.0.1:{found[0].port}")
    console.monkeypatch.setenv("GIRNEL_MAIL_FROM", "larder@example.org")
    console.monkeypatch.setenv("GIRNEL_MAIL_SECURITY", "none")
    try:
        yield found[0]
    finally:
        end.set()
        thread.join()


def test_a_reader_a_trial_two_weeks_and_what_became_of_them(console: Console) -> None:
    with server(console) as post:
        console.does("member", "set", "cook", "mail=cook@example.org", "digest=urgent")
        assert "The server took it for cook@example.org: 250" in console.does(
            "digest", "--test-mail", "cook"
        )
        assert post.taken[0].message["Subject"] == "Hollow Lane: mail arrives"
        assert console.does("digest", "--send") == "Nothing is due."
        console.now(SUNDAY)
        assert console.does("digest", "--send") == "1 sent."
        assert console.does("digest", "--send") == "Nothing is due."
        console.now(NEXT)
        assert console.does("digest", "--send") == "1 sent."
        assert len(post.taken) == 3
    rows = console.json("digest", "--sent")
    assert [(row["period"], row["reader"], row["outcome"], row["tries"]) for row in rows] == [
        ("2026-W48", "cook", "sent", 1),
        ("2026-W47", "cook", "sent", 1),
    ]
    assert rows[1]["message_id"] == post.taken[1].name
    assert post.taken[1].name in console.does("digest", "--sent")
    again = console.does("digest", "--sent", "--week", "2026-W47")
    assert again.startswith("Hollow Lane: the week to Sunday 22 Nov 2026")
    assert re.search(r"The log holds [0-9]+ records; its head is [0-9a-f]{16}\.", again)
    assert console.json("digest", "--sent", "--week", "2026-W47")["title"].endswith("22 Nov 2026")


def test_a_digest_that_went_out_is_not_what_undo_takes_back(console: Console) -> None:
    with server(console):
        console.does("member", "set", "cook", "mail=cook@example.org")
        console.does("take", "1", "green beans", "--in", "back-room")
        console.now(SUNDAY)
        assert console.does("digest", "--send") == "1 sent."
        assert "Taken back: take" in console.does("undo")


def test_a_replica_sends_no_digest(console: Console) -> None:
    """The home that keeps the log sends; two that send would send twice."""
    with server(console) as post:
        console.does("member", "set", "cook", "mail=cook@example.org")
        console.now(SUNDAY)
        (console.home / "replica.json").write_text("{}")
        assert "the home that keeps the log sends the digests" in console.refuses(
            "digest", "--send"
        )
        assert post.taken == []


def test_refused_is_said_and_is_no_success(console: Console) -> None:
    with server(console) as post:
        post.rcpt = lambda _: "550 no such reader"
        console.does("member", "set", "cook", "mail=cook@example.org")
        console.now(SUNDAY)
        assert console.run("digest", "--send") == 1
        assert console.out.strip() == "1 refused by the server."
        assert console.json("digest", "--sent")[0]["answer"] == "550 no such reader"
        assert console.run("digest", "--test-mail", "cook") == 1
        assert "The server refused it for cook@example.org" in " ".join(console.out.split())


def test_a_server_that_is_not_there_is_said_without_the_password(console: Console) -> None:
    console.monkeypatch.setenv("GIRNEL_MAIL_SERVER", "localhost:9")
    console.monkeypatch.setenv("GIRNEL_MAIL_FROM", "larder@example.org")
    console.monkeypatch.setenv("GIRNEL_MAIL_LOGIN", "house")
    console.monkeypatch.setenv("GIRNEL_MAIL_PASSWORD", "s3cret-word")
    console.does("member", "set", "cook", "mail=cook@example.org")
    console.now(SUNDAY)
    assert console.run("digest", "--send") == 1
    assert "the mail server was not reached (localhost:9: " in " ".join(console.out.split())
    assert "s3cret" not in console.out + console.err
    for file in console.home.iterdir():
        assert b"s3cret" not in file.read_bytes(), file


def test_the_households_hour(console: Console) -> None:
    assert console.does("digest", "--every", "fri 7:30") == (
        "The digest is of every Friday 07:30; the next comes due at 2026-11-27T07:30:00+00:00."
    )
    assert console.json("digest", "--every", "Sunday 18:00")["next"] == SUNDAY
    # it is a fact of the household, and no store of the list or of a line of words
    assert [row["store"] for row in console.json("store", "list")] == [
        "back-room", "barn", "bed-3", "kitchen",
    ]  # fmt: skip
    console.does("log", "took a jar of green beans from the back room")


def test_the_mail_as_it_would_go_out(console: Console, tmp_path: Path) -> None:
    file = tmp_path / "next.html"
    console.does("digest", "--preview", str(file))
    assert "Hollow Lane: the week to Sunday 22 Nov 2026" in file.read_text()
    assert "is there already" in console.refuses("digest", "--preview", str(file))
    assert "cannot be written" in console.refuses("digest", "--preview", str(tmp_path / "no/x"))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["--send"], "No mail server is set: GIRNEL_MAIL_SERVER"),
        (["--test-mail", "cook"], "No mail server is set"),
        (["--every", "now and then"], "write it like Sunday 18:00"),
        (["--send", "--sent"], "--send and --sent are several things"),
        (["--go-on"], "--go-on goes with --send"),
        (["--week", "2026-W47"], "--week goes with --sent"),
        (["--sent", "--week", "2026-W47"], "No digest of 2026-W47 was sent from here"),
        (["--send", "--on", "2026-11-20"], "does not go with --send"),
    ],
)
def test_wrong_use_is_one_sentence(console: Console, typed: list[str], said: str) -> None:
    assert said in console.refuses("digest", *typed)


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("SERVER", "mail.example.org", "write it like host:587"),
        ("SERVER", "mail.example.org:0", "write it like host:587"),
        ("FROM", "larder", "write it like name@host"),
        ("SECURITY", "none", "write starttls or tls"),
        ("SECURITY", "maybe", "write starttls or tls"),
    ],
)
def test_a_setting_that_is_wrong_is_said(console: Console, name: str, text: str, said: str) -> None:
    console.monkeypatch.setenv("GIRNEL_MAIL_SERVER", "mail.example.org:587")
    console.monkeypatch.setenv("GIRNEL_MAIL_FROM", "larder@example.org")
    console.monkeypatch.setenv(f"GIRNEL_MAIL_{name}", text)
    assert said in console.refuses("digest", "--send")
    console.does("on-hand")  # what is wrong with mail is in nobody else's way


@pytest.mark.parametrize(
    "address",
    [
        "http://larder.example.org",
        "larder.example.org",
        "https://a b",
        "https://x>, <y",
        "https://",
    ],
)
def test_the_world_reaches_the_house_by_https_or_not_at_all(console: Console, address: str) -> None:
    console.monkeypatch.setenv("GIRNEL_MAIL_SERVER", "mail.example.org:587")
    console.monkeypatch.setenv("GIRNEL_MAIL_FROM", "larder@example.org")
    console.monkeypatch.setenv("GIRNEL_PUBLIC_URL", address)
    assert "write it like https://larder.example.org" in console.refuses("digest", "--send")


def test_one_press_is_offered_where_the_house_can_be_reached(console: Console) -> None:
    with server(console) as post:
        console.monkeypatch.setenv("GIRNEL_PUBLIC_URL", "https://larder.example.org/house/")
        console.does("member", "set", "cook", "mail=cook@example.org")
        console.now(SUNDAY)
        assert console.does("digest", "--send") == "1 sent."
        mail = post.taken[0].message
        assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
        assert mail["List-Unsubscribe"].startswith("<https://larder.example.org/house/v1/no-more/")


@pytest.mark.parametrize(
    "fact", ["mail=cook", "mail=a@b, c@d", "digest=daily", "sections=get; jam"]
)
def test_a_reader_who_cannot_be_is_not_set(console: Console, fact: str) -> None:
    console.refuses("member", "set", "cook", fact)
    console.refuses("member", "add", "teen", fact)


def test_a_member_without_an_address_gets_no_trial(console: Console) -> None:
    with server(console):
        said = console.refuses("digest", "--test-mail", "gardener")
    assert 'girnel member set "gardener" mail=name@host' in said


def test_nothing_was_sent_yet(console: Console) -> None:
    assert console.does("digest", "--sent") == "No mail has gone out from here."
