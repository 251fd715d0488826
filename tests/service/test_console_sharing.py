"""A replica at the console: joined, logging without a network, exchanging, retired, rebuilt."""

import asyncio
import json
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from msgspec.structs import replace

from events import codec
from events.kinds import GRAIN, Amount, Received, StoreSet
from service import access, assemble
from service.clock import Fixed, RandomIds, moment
from service.console import main, pairing
from service.console.sharing import CODE
from service.drafts import Draft
from service.sync import client, following, ticket
from service.sync.client import Client
from tests.console import NOW, Console
from tests.serving import said
from tests.wire import BadWay
from tests.world import URL, World


class Hub:
    """The service beside the test, and the one way to it that every console here goes."""

    def __init__(self, world: World, monkeypatch: pytest.MonkeyPatch) -> None:
        self.world = world
        self.way: BadWay = world.way()
        made = Client.__init__

        def over_it(one: Client, url: str, token: str | None = None, ca: str | None = None) -> None:
            made(one, url, token, ca, transport=self.way)

        monkeypatch.setattr(client.Client, "__init__", over_it)

    def away(self) -> None:
        """Nobody gets through from here on."""
        self.way._faults = ["lost"] * 1000

    def back(self) -> None:
        self.way.mend()

    def code(self, **wish: str) -> str:
        return asyncio.run(self.world.who_may.pair(**wish)).code  # type: ignore[arg-type]

    def retire(self, device: str) -> None:
        asyncio.run(self.world.who_may.retire(device))

    def records(self) -> list[str]:
        return [e.record.name for e in self.world.hub.entries]


@pytest.fixture
def hub(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Hub]:
    clock = Fixed(moment(NOW))

    async def make() -> World:
        hub = await assemble.make_passing(
            "Hollow Lane", "Europe/London", ["cook"], clock, RandomIds()
        )
        return World(hub, access.at(tmp_path, clock, RandomIds()), clock)

    world = asyncio.run(make())
    with closing(world.who_may):
        yield Hub(world, monkeypatch)


@pytest.fixture
def tablet(
    tmp_path: Path,
    hub: Hub,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Console:
    """A console with nothing in its home yet."""
    return Console(tmp_path / "tablet", monkeypatch, capsys)


def joined(tablet: Console, hub: Hub, **wish: str) -> str:
    """The tablet, paired; its device name."""
    device = tablet.json("join", URL, hub.code(**{"name": "barn tablet", **wish}))["device"]
    assert isinstance(device, str)
    return device


def status(tablet: Console) -> dict[str, object]:
    found = tablet.json("sync", "--status")
    assert isinstance(found, dict)
    return found


# -- join ------------------------------------------------------------------------------------------


def test_a_home_that_joins_has_the_households_log(tablet: Console, hub: Hub) -> None:
    said = tablet.does("join", URL, hub.code(name="barn tablet"))
    assert said.startswith(f"barn tablet follows Hollow Lane at {URL}, in")
    assert "3 records came in" in said
    assert tablet.json("member", "list") == [{"member": "cook", "facts": {}}]
    assert tablet.does("sync") == "Sent 0, received 0; nothing waits."


def test_where_the_service_goes_away_before_all_was_held_beside_it_the_next_sync_does_so(
    tablet: Console, hub: Hub
) -> None:
    hub.way._faults = ["", "", "lost"]  # the code, the log, and then nothing more
    said = tablet.does("join", URL, hub.code(name="barn tablet"))
    assert "3 records came in" in said
    assert "does not answer" in said
    assert tablet.json("member", "list") == [{"member": "cook", "facts": {}}]
    hub.way._faults = ["", "lost"]
    said = tablet.does("sync")
    assert said.startswith("Sent 0, received 0; nothing waits.")
    assert "does not answer" in said
    hub.back()
    assert "The log is the service's" in tablet.does("sync")
    assert tablet.does("sync") == "Sent 0, received 0; nothing waits."
    told = tablet.json("sync", "--rebuild")
    assert (told["received"], told["snapshot"], told["checked"]) == (3, False, True)


def test_a_log_that_is_not_the_services_ends_with_one(tablet: Console, hub: Hub) -> None:
    hub.way._faults = ["", "", "lost"]
    tablet.does("join", URL, hub.code(name="barn tablet"))
    with closing(sqlite3.connect(tablet.home / "log.db", isolation_level=None)) as raw:
        raw.execute(
            "UPDATE entries SET content = CAST(replace(CAST(content AS TEXT), 'cook', 'teen') AS BLOB)"
        )
    hub.back()
    assert tablet.run("sync") == 1
    assert "is not the service's" in " ".join(tablet.out.split())
    assert tablet.run("sync", "--rebuild") == 1  # what stood here otherwise is set aside, and named
    assert "The log is the service's" in tablet.out
    assert tablet.json("member", "list") == [{"member": "cook", "facts": {}}]


def test_the_token_is_for_the_owner_alone_and_in_no_other_file(tablet: Console, hub: Hub) -> None:
    joined(tablet, hub)
    token = ticket.read(tablet.home).joined.token
    assert (tablet.home / ticket.FILE).stat().st_mode & 0o777 == 0o600
    said = [tablet.does(*words) for words in (("sync",), ("sync", "--status"), ("devices",))]
    assert [text for text in said if token in text] == []
    others = [path for path in tablet.home.iterdir() if path.name != ticket.FILE]
    assert [path.name for path in others if token.encode() in path.read_bytes()] == []
    assert token.encode() not in tablet.log()


def test_the_address_of_the_picture_does_as_well(tablet: Console, hub: Hub) -> None:
    code = hub.code()
    assert tablet.json("join", f"{URL}/{CODE}{code[:4].lower()}-{code[4:]}")["role"] == "member"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((URL, "00000000"), "not good"),
        ((URL,), "code is missing"),
        (("http://girnel.example:8470", "00000000"), "use https://"),
        (("http://203.0.113.9", "00000000"), "use https://"),
        (("ftp://hub.local", "00000000"), "no address"),
        (("http://cook:pw@hub.local", "00000000"), "no address"),
        (("https://hub.local:99999", "00000000"), "no address"),
        (("https://hub.local", "00000000", "--ca", "nothing.pem"), "no certificate"),
    ],
)
def test_what_cannot_be_joined_is_said_and_makes_no_household(
    tablet: Console, hub: Hub, words: tuple[str, ...], says: str
) -> None:
    assert says in tablet.refuses("join", *words)
    assert not (tablet.home / "log.db").exists()


@pytest.mark.parametrize(
    ("host", "near"),
    [("127.0.0.1", True), ("::1", True), ("192.168.7.9", True), ("10.0.0.3", True),
     ("172.31.1.1", True), ("fd00::7", True), ("fe80::1", True), ("localhost", True),
     ("attic", True), ("attic.local", True), ("8.8.8.8", False), ("172.32.0.1", False),
     ("203.0.113.9", False), ("2001:db8::1", False), ("local.example", False)],
)  # fmt: skip
def test_plain_http_goes_to_this_machine_and_home_networks_only(host: str, near: bool) -> None:
    assert client.near(host) == near


def test_a_home_with_a_log_of_its_own_does_not_join_and_the_code_stays_good(
    lane: Console, hub: Hub
) -> None:
    code = hub.code()
    assert "household in" in lane.refuses("join", URL, code)
    assert asyncio.run(hub.world.who_may.redeem(code)).token


def test_a_home_stays_with_its_household(
    tablet: Console, hub: Hub, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    joined(tablet, hub)
    kept = ticket.read(tablet.home)
    clock = Fixed(moment(NOW))
    other = asyncio.run(assemble.make_passing("Elsewhere", "Europe/London", [], clock, RandomIds()))
    (tmp_path / "other").mkdir()
    with closing(access.at(tmp_path / "other", clock, RandomIds())) as who_may:
        hub.way = World(other, who_may, clock).way()
        code = asyncio.run(who_may.pair()).code
        assert "Elsewhere" in tablet.refuses("join", URL, code)
        (made,) = asyncio.run(who_may.devices())
        assert made.retired is not None
    assert ticket.read(tablet.home) == kept


# -- sync ------------------------------------------------------------------------------------------


def test_deeds_are_done_without_a_network_and_go_out_when_there_is_one(
    tablet: Console, hub: Hub
) -> None:
    asyncio.run(beans_of(hub))
    device = joined(tablet, hub)
    hub.away()
    said = tablet.does("take", "2", "green beans", "--in", "barn")
    assert "10 jars left in all" in said
    assert said.endswith("Waiting to go out: 1 record (girnel sync)")
    assert "2 records" in tablet.does("take", "1", "green beans", "--in", "barn")
    assert tablet.amounts() == {("green beans", "barn"): "9 jar"}
    assert "does not answer" in tablet.refuses("sync", code=1)
    assert (status(tablet)["waiting"], status(tablet)["since"]) == (2, moment(NOW))
    told = tablet.does("sync", "--status")
    assert "2 records waiting to go out (the oldest of Sun 22 Nov 10:00)" in told
    assert "Tried last Sun 22 Nov 10:00: The household's service does not answer" in told
    assert hub.records()[-1].split(":")[0] != device
    hub.back()
    assert tablet.does("sync") == "Sent 2, received 0; nothing waits."
    assert hub.records()[-2:] == [f"{device}:1", f"{device}:2"]
    assert status(tablet)["failure"] is None
    assert tablet.amounts() == {("green beans", "barn"): "9 jar"}
    assert "said on barn tablet" in tablet.does("trail", "green beans")


async def beans_of(hub: Hub) -> None:
    beans = Received(food="green beans", amount=Amount(unit="jar", n=12 * GRAIN), store="barn")
    barn = StoreSet(store="barn", facts={"kind": "outbuilding"})
    await hub.world.hub.write([Draft(body=barn), Draft(body=beans)])


def test_a_look_says_nothing_of_what_waits_and_json_stays_json(tablet: Console, hub: Hub) -> None:
    asyncio.run(beans_of(hub))
    joined(tablet, hub)
    hub.away()
    assert tablet.json("take", "1", "green beans", "--in", "barn")["in_all"]["value"] == "11"
    assert "Waiting" not in tablet.does("on-hand")


def test_what_was_done_on_a_replica_is_taken_back_there(tablet: Console, hub: Hub) -> None:
    asyncio.run(beans_of(hub))
    joined(tablet, hub)
    hub.away()
    tablet.does("take", "1", "green beans", "--in", "barn")
    assert "Taken back" in tablet.does("undo")
    assert tablet.amounts() == {("green beans", "barn"): "12 jar"}
    hub.back()
    assert tablet.does("sync") == "Sent 2, received 0; nothing waits."


def test_a_replica_is_not_served(tablet: Console, hub: Hub) -> None:
    joined(tablet, hub)
    assert "serve the home that keeps the log" in tablet.refuses("serve", "--port", "0")


def test_a_home_that_keeps_its_own_log_has_nothing_to_sync(lane: Console) -> None:
    assert "follows no service" in lane.refuses("sync")
    assert "follows no service" in lane.refuses("sync", "--status")


def test_where_there_is_no_home_it_is_said(tablet: Console) -> None:
    assert "girnel join URL CODE" in tablet.refuses("sync")


def test_following_takes_in_what_comes_and_ends_when_it_is_stopped(
    tablet: Console, hub: Hub, monkeypatch: pytest.MonkeyPatch
) -> None:
    joined(tablet, hub)
    monkeypatch.setattr(following, "LOOK_S", 0.01)
    monkeypatch.setattr(following, "ASK_S", 0.05)
    monkeypatch.setattr(following, "FIRST_S", 0.01)
    hub.way._faults = ["lost"] * 6

    async def follow() -> None:
        args = main.parser().parse_args(["sync", "--follow"])
        going = asyncio.create_task(args.run(args))
        await asyncio.sleep(0.2)
        await beans_of(hub)
        for _ in range(200):
            await asyncio.sleep(0.1)
            told.append(tablet.capsys.readouterr().out)
            if "received 2" in " ".join(" ".join(told).split()):
                break
        going.cancel()
        assert await going == 0

    tablet.capsys.readouterr()
    told: list[str] = []
    asyncio.run(follow())
    said = " ".join(" ".join([*told, tablet.capsys.readouterr().out]).split())
    assert re.search(r"Following Hollow Lane .* does not answer; .* Sent 0, received 2;", said)
    assert tablet.amounts() == {("green beans", "barn"): "12 jar"}


# -- roles, retiring, another name ------------------------------------------------------------------


def test_a_reader_logs_nothing_and_is_told_so(tablet: Console, hub: Hub) -> None:
    joined(tablet, hub, role="reader")
    assert "reads and logs nothing" in tablet.refuses("member", "add", "lodger")
    assert "nothing waits" in tablet.does("sync")


def test_a_retired_device_hands_over_what_waits_once_a_keeper_agrees(
    tablet: Console, hub: Hub
) -> None:
    old = joined(tablet, hub)
    tablet.does("member", "add", "lodger")
    hub.retire(old)
    said = tablet.refuses("sync", code=1)
    assert f"girnel pair --formerly {old}" in said
    assert status(tablet)["waiting"] == 1
    tablet.does("join", URL, hub.code(name="barn tablet"))
    assert tablet.run("sync") == 1
    told = tablet.does("sync", "--status")
    assert "1 record not taken by the service" in told
    assert f"girnel pair --formerly {old}" in told
    tablet.does("join", URL, hub.code(formerly=old))
    assert status(tablet)["waiting"] == status(tablet)["refused"] == 0
    assert f"{old}:1" in hub.records()
    tablet.does("member", "add", "guest")
    new = status(tablet)["device"]
    assert new != old
    tablet.does("sync")
    assert f"{new}:1" in hub.records()


def test_what_was_set_aside_is_named_with_why(tablet: Console, hub: Hub) -> None:
    device = joined(tablet, hub)
    hub.away()
    tablet.does("member", "add", "lodger")

    ledger = hub.world.hub
    other = replace(said(device, 1), household=ledger.household.id)
    assert asyncio.run(ledger.accept([codec.encode(other)], device))[0].state == "new"
    hub.back()
    assert tablet.run("sync") == 1
    assert "1 record set aside" in tablet.out
    assert f"{device}:1: Another record has that name" in tablet.does("sync", "--status")
    assert tablet.run("sync") == 1
    assert f"{device}:1: Another record has that name" in tablet.does("sync", "--status")


def test_a_keepers_replica_pairs_names_and_retires_through_the_service(
    tablet: Console, hub: Hub
) -> None:
    device = joined(tablet, hub, role="keeper")
    code = tablet.json("pair", "--role", "sensor", "--name", "cellar thermometer")
    assert code["url"] == URL
    made = asyncio.run(hub.world.who_may.redeem(code["code"]))
    assert (made.holder.role, made.holder.name) == ("sensor", "cellar thermometer")
    assert {one["device"] for one in tablet.json("devices")} >= {device, made.holder.device}
    tablet.does("devices", "cellar thermometer", "--name", "damp thermometer")
    tablet.does("devices", "damp", "--retire")
    assert asyncio.run(hub.world.who_may.who(made.token)) is None
    hub.away()
    assert device in tablet.does("devices")


def test_a_member_pairs_nobody(tablet: Console, hub: Hub) -> None:
    joined(tablet, hub)
    assert "may not do that" in tablet.refuses("pair", code=1)
    assert "may not do that" in tablet.refuses("devices", "barn tablet", "--name", "x", code=1)


# -- rebuilt ---------------------------------------------------------------------------------------


def test_rebuilt_by_one_command_and_what_waits_stays(tablet: Console, hub: Hub) -> None:
    asyncio.run(beans_of(hub))
    joined(tablet, hub)
    hub.away()
    tablet.does("take", "1", "green beans", "--in", "barn")
    assert tablet.run("sync", "--rebuild") == 1
    assert tablet.amounts() == {("green beans", "barn"): "11 jar"}
    hub.back()
    assert tablet.does("sync", "--rebuild").startswith("Sent 1,")
    assert tablet.amounts() == {("green beans", "barn"): "11 jar"}


@pytest.mark.parametrize("how", ["gone", "damaged"])
def test_a_log_that_is_gone_or_damaged_is_fetched_anew(tablet: Console, hub: Hub, how: str) -> None:
    asyncio.run(beans_of(hub))
    device = joined(tablet, hub)
    tablet.does("take", "1", "green beans", "--in", "barn")
    tablet.does("sync")
    log = tablet.home / "log.db"
    if how == "gone":
        log.unlink()
        assert "--rebuild" in tablet.refuses("sync")
    else:
        log.write_bytes(b"\xff" * 8192)
        assert tablet.run("sync") == 2
    hub.away()
    assert tablet.run("sync", "--rebuild") == 1
    assert tablet.run("member", "add", "lodger") == 2
    assert "not here whole" in " ".join(tablet.err.split())
    hub.back()
    tablet.does("sync", "--rebuild")
    assert tablet.amounts() == {("green beans", "barn"): "11 jar"}
    assert (tablet.home / "log.db.damaged").exists() == (how == "damaged")
    tablet.does("take", "1", "green beans", "--in", "barn")
    tablet.does("sync")
    assert hub.records()[-1] == f"{device}:2"


def state(home: Path) -> str:
    async def read() -> str:
        async with assemble.open_home(home, Fixed(moment(NOW)), writing=False) as ledger:
            return ledger.book.state_hash()

    return asyncio.run(read())


def put_by(home: Path) -> int:
    """The position as of which the book is put by."""
    with closing(sqlite3.connect(home / "log.db")) as raw:
        return int(raw.execute("SELECT upto FROM put_by").fetchone()[0])


def test_what_was_put_by_of_a_replica_never_holds_what_waits(tablet: Console, hub: Hub) -> None:
    """A log long enough to be put by, deeds before and after, and the mirror begun anew."""

    def more(count: int) -> None:
        body = Received(food="oats", amount=Amount(unit="lb", n=GRAIN), store="barn")
        asyncio.run(hub.world.hub.write([Draft(body=body)] * count, deed=False))

    asyncio.run(beans_of(hub))
    more(60)
    joined(tablet, hub)
    for again in ("sync", "sync", "sync --rebuild", "sync"):
        hub.away()
        tablet.does("take", "1", "green beans", "--in", "barn")
        tablet.does("member", "set", "cook", f"role={again}")
        tablet.does("on-hand")
        more(40)
        hub.back()
        tablet.does(*again.split())
        assert state(tablet.home) == hub.world.hub.book.state_hash()
        assert (upto := put_by(tablet.home)) == hub.world.hub.position
        tablet.does("undo")
        assert put_by(tablet.home) == upto
        tablet.does("sync")
        assert state(tablet.home) == hub.world.hub.book.state_hash()


# -- pair, in the home that keeps the log -------------------------------------------------------------


def test_a_code_is_made_beside_the_log(lane: Console) -> None:
    said = lane.does("pair", "--name", "barn tablet", "--member", "cook")
    assert re.match(r"Code [0-9A-Z]{4}-[0-9A-Z]{4}, good once and until Sun 22 Nov 10:10\.", said)
    assert "No service is running here" in said
    told = lane.json("pair")
    assert (told["url"], told["until"]) == (None, moment(NOW) + access.GOOD_FOR_MS)
    file = lane.home / "serving.json"
    file.write_text(json.dumps({"socket": "s", "token": "t", "url": URL, "process": 1}))
    assert lane.json("pair")["url"] == URL
    assert f"girnel join {URL} " in lane.does("pair")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--role", "cook"), "cook"),
        (("--member", "stranger"), "stranger"),
        (("--formerly", "nobody"), "nobody"),
        (("--formerly", "the home computer"), "still in use"),
        (("--name", " "), "empty"),
    ],
)
def test_what_cannot_be_paired_is_said(lane: Console, words: tuple[str, ...], says: str) -> None:
    assert says in lane.refuses("pair", *words)


def test_the_picture_of_a_code_is_dark_on_light_whatever_the_terminal() -> None:
    """Read back square by square, with its quiet border of four."""
    import segno

    text = f"{URL}/#code=7K3QF2ZD"
    wanted = [
        [bool(square) for square in row]
        for row in segno.make_qr(text, error="m").matrix_iter(border=4)
    ]
    squares = {sign: pair for pair, sign in pairing.BLOCKS.items()}
    lines = (
        pairing.picture(text).translate({v: k for k, v in pairing.INSIDE_OUT.items()}).splitlines()
    )
    read = []
    for line in lines:
        read += [[squares[sign][half] for sign in line] for half in (0, 1)]
    assert read[: len(wanted)] == wanted
    assert not any(any(row) for row in read[:4])
    assert not any(row[0] or row[-1] for row in read)
