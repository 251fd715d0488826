"""Who may: tokens and codes, what is kept of them, and two programs at one file."""

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from service import access, assemble
from service.access import GOOD_FOR_MS, TRIES, Access
from service.clock import CountedIds, Fixed, RandomIds
from service.errors import BadCode, NewerSchema, TornFile, WrongUse

NOW = 1_790_000_000_000


@pytest.fixture
def clock() -> Fixed:
    return Fixed(NOW)


@pytest.fixture
def ids() -> RandomIds:
    return RandomIds()


@pytest.fixture
def who_may(tmp_path: Path, clock: Fixed, ids: RandomIds) -> Iterator[Access]:
    made = access.at(tmp_path, clock, ids)
    yield made
    made.close()


async def paired(who_may: Access, **wish: str) -> access.Redeemed:
    code = await who_may.pair(**wish)  # type: ignore[arg-type]
    return await who_may.redeem(code.code)


async def test_a_code_makes_a_device_with_a_role_and_a_token_of_its_own(who_may: Access) -> None:
    made = await paired(who_may, role="sensor", name="barn thermometer", member="gardener")
    holder = made.holder
    assert (holder.role, holder.name, holder.member) == (
        "sensor",
        "barn thermometer",
        "gardener",
    )
    assert await who_may.who(made.token) == holder
    other = await paired(who_may)
    assert other.holder.device != holder.device
    assert (await who_may.who(other.token)) == other.holder
    assert other.holder.name == other.holder.device


async def test_what_is_no_token_is_nobodys(who_may: Access) -> None:
    made = await paired(who_may)
    device, _, secret = made.token.partition(".")
    other = (await paired(who_may)).token.partition(".")[2]
    wrong = ["", ".", device, f"{device}.", f"{device}.{other}", f"{device}.{secret}x", secret,
             f"nobody.{secret}", f"{device}.{secret[:-1]}", "\udcff.\udcff", "x" * 100_000]  # fmt: skip
    assert [token for token in wrong if await who_may.who(token) is not None] == []


def test_a_token_has_256_bits_and_a_code_eight_signs_that_are_not_taken_for_others() -> None:
    ids = RandomIds()
    assert {len(ids.token()) for _ in range(20)} == {43}  # 43 signs of 6 bits: 256 and two over
    codes = {ids.code() for _ in range(200)}
    assert len(codes) == 200
    assert all(re.fullmatch("[0-9A-HJKMNP-TV-Z]{8}", code) for code in codes)


async def test_a_code_is_read_however_it_was_written_down(
    tmp_path: Path, clock: Fixed, who_may: Access
) -> None:
    for said in ("c0de-0001", "CODE 0OOl", " codeoooi ", "C0DE0001"):
        (tmp_path / said).mkdir()
        one = access.at(tmp_path / said, clock, CountedIds())
        try:
            wanted = "C0DE0002"  # the first name went to the file's salt
            assert (await one.pair()).code == wanted
            shown = said.replace("0001", "0002").replace("0OOl", "0oo2").replace("oooi", "ooo2")
            assert (await one.redeem(shown)).token
        finally:
            one.close()


async def test_a_code_works_once(who_may: Access) -> None:
    code = await who_may.pair()
    await who_may.redeem(code.code)
    with pytest.raises(BadCode, match="works once"):
        await who_may.redeem(code.code)
    assert len(await who_may.devices()) == 1


async def test_a_code_lasts_ten_minutes(who_may: Access, clock: Fixed) -> None:
    code, other = await who_may.pair(), await who_may.pair()
    assert code.until == NOW + GOOD_FOR_MS
    clock.ms = NOW + GOOD_FOR_MS - 1
    await who_may.redeem(other.code)
    clock.ms += 1
    with pytest.raises(BadCode):
        await who_may.redeem(code.code)


async def test_five_wrong_tries_close_a_code(who_may: Access) -> None:
    code = await who_may.pair()
    for n in range(TRIES - 1):
        with pytest.raises(BadCode):
            await who_may.redeem(f"0000000{n}")
    other = await who_may.pair()
    with pytest.raises(BadCode):
        await who_may.redeem("not a code at all")
    with pytest.raises(BadCode):
        await who_may.redeem(code.code)
    assert (await who_may.redeem(other.code)).token


async def test_a_retired_device_is_out_at_once_and_stays_on_the_list(
    who_may: Access, clock: Fixed
) -> None:
    made, kept = await paired(who_may, name="old phone"), await paired(who_may)
    clock.ms += 5
    await who_may.retire(made.holder.device)
    assert await who_may.who(made.token) is None
    assert await who_may.who(kept.token) == kept.holder
    clock.ms += 5
    await who_may.retire(made.holder.device)
    rows = {row.device: row for row in await who_may.devices()}
    assert rows[made.holder.device].retired == NOW + 5


async def test_what_another_program_changes_counts_at_the_next_question(
    tmp_path: Path, who_may: Access, clock: Fixed, ids: RandomIds
) -> None:
    console = access.at(tmp_path, clock, ids)
    try:
        code = await console.pair(name="tablet")
        made = await who_may.redeem(code.code)
        assert await console.who(made.token) == made.holder
        await console.name(made.holder.device, "slate")
        holder = await who_may.who(made.token)
        assert holder is not None
        assert holder.name == "slate"
        await console.retire(made.holder.device)
        assert await who_may.who(made.token) is None
    finally:
        console.close()


async def test_one_code_shown_at_two_doors_makes_one_device(
    tmp_path: Path, who_may: Access, clock: Fixed, ids: RandomIds
) -> None:
    other = access.at(tmp_path, clock, ids)
    try:
        code = (await who_may.pair()).code
        await who_may.redeem(code)
        with pytest.raises(BadCode):
            await other.redeem(code)
    finally:
        other.close()


async def test_a_devices_waiting_records_are_handed_over_only_once_it_is_retired(
    who_may: Access,
) -> None:
    old = await paired(who_may, name="barn tablet", role="member")
    with pytest.raises(WrongUse, match="still in use"):
        await who_may.pair(formerly=old.holder.device)
    await who_may.retire(old.holder.device)
    new = await paired(who_may, formerly=old.holder.device)
    assert new.holder.formerly == {old.holder.device}
    assert new.holder.name == "barn tablet"
    assert await who_may.who(new.token) == new.holder
    assert (await paired(who_may)).holder.formerly == frozenset()


async def test_when_a_device_was_heard_last_is_kept_to_the_minute(
    who_may: Access, clock: Fixed
) -> None:
    made = await paired(who_may)
    clock.ms += 30_000
    await who_may.who(made.token)
    clock.ms += 31_000
    await who_may.who(made.token)
    (row,) = await who_may.devices()
    assert row.heard == NOW + 30_000
    clock.ms += 60_000
    await who_may.who(made.token)
    (row,) = await who_may.devices()
    assert row.heard == NOW + 121_000


async def test_only_hashes_are_kept_and_only_the_owner_may_read_them(
    tmp_path: Path, who_may: Access
) -> None:
    code = (await who_may.pair()).code
    made = await paired(who_may)
    who_may.close()
    file = tmp_path / access.FILE
    assert file.stat().st_mode & 0o777 == 0o600
    content = file.read_bytes()
    for secret in (code, code.lower(), made.token, made.token.partition(".")[2]):
        assert secret.encode() not in content


async def test_the_log_learns_of_its_devices_once(who_may: Access, clock: Fixed) -> None:
    ledger = await assemble.make_passing("Hollow Lane", "Europe/London", [], clock, CountedIds())
    async with ledger:
        made = await paired(who_may, name="tablet", member="cook")
        device = made.holder.device
        assert await who_may.announce(ledger) == 1
        assert await who_may.announce(ledger) == 0
        said = {"name": "tablet", "role": "member", "member": "cook"}
        assert ledger.book.settings.devices[device] == said
        await who_may.name(device, "slate")
        await who_may.retire(device)
        await who_may.announce(ledger)
        assert ledger.book.settings.devices[device] == {**said, "name": "slate", "retired": "yes"}


def test_a_file_of_another_program_is_left_as_it_is(tmp_path: Path) -> None:
    file = tmp_path / access.FILE
    with closing(sqlite3.connect(file)) as raw:
        raw.executescript("PRAGMA application_id = 7; CREATE TABLE theirs (a);")
    before = file.read_bytes()
    with pytest.raises(TornFile, match="another program"):
        access.at(tmp_path, Fixed(NOW), RandomIds())
    assert file.read_bytes() == before
    file.write_bytes(b"not a database, and long enough to be looked at as one" * 20)
    with pytest.raises(TornFile):
        access.at(tmp_path, Fixed(NOW), RandomIds())


def test_a_newer_programs_file_is_left_as_it_is(tmp_path: Path) -> None:
    access.at(tmp_path, Fixed(NOW), RandomIds()).close()
    with closing(sqlite3.connect(tmp_path / access.FILE)) as raw:
        raw.execute("PRAGMA user_version = 99")
    with pytest.raises(NewerSchema):
        access.at(tmp_path, Fixed(NOW), RandomIds())
