"""What the file and the disk may do to a log: a clear sentence each, and the log whole."""

import asyncio
import os
import resource
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from service import assemble
from service.clock import CountedIds, Fixed
from service.errors import (
    DiskFull,
    ForeignFile,
    GirnelError,
    HomeTaken,
    HomeUnwritable,
    NewerSchema,
    NoHome,
    StoreError,
    TornFile,
    WrongUse,
)
from service.storage import sqlite
from service.storage.sqlite_file import APPLICATION_ID, connect_writing, schema
from service.storage.store import Item

ROOT = Path(__file__).parents[2]
NOW = 1_790_000_000_000
NOBODY = 65534


@pytest.fixture
async def home(tmp_path: Path) -> Path:
    """A household's home, closed."""
    made = tmp_path / "home"
    ledger = await assemble.make_home(
        made, "Hollow Lane", "Europe/London", ["cook"], Fixed(NOW), CountedIds()
    )
    await ledger.close()
    return made


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


async def count(home: Path, *, writing: bool = False) -> int:
    async with assemble.open_home(home, Fixed(NOW), writing=writing) as ledger:
        return len(ledger.entries)


async def refused(home: Path, kind: type[GirnelError], words: str) -> None:
    """Both ways of opening refuse with that sentence, and leave the file as it is."""
    log = home / assemble.LOG
    before = log.read_bytes()
    for writing in (False, True):
        with pytest.raises(kind, match=words) as told:
            await count(home, writing=writing)
        assert told.value.code == 2
        assert "\n" not in told.value.sentence
        assert log.read_bytes() == before


def items(first: int, last: int, size: int = 20) -> list[Item]:
    return [Item("cook", n, f"{n:08d}".encode() * size, "cook") for n in range(first, last + 1)]


# -- the file ------------------------------------------------------------------------------------


async def test_no_household_there(tmp_path: Path) -> None:
    for writing in (False, True):
        with pytest.raises(NoHome, match="girnel init"):
            await count(tmp_path / "nowhere", writing=writing)
    assert names(tmp_path) == []


async def test_an_empty_file(home: Path) -> None:
    (home / assemble.LOG).write_bytes(b"")
    await refused(home, TornFile, "is empty")


async def test_some_other_file(home: Path) -> None:
    (home / assemble.LOG).write_bytes(b"jam, 12 jars\n" * 1000)
    await refused(home, TornFile, "not a household's log")


async def test_some_other_programs_database(home: Path) -> None:
    log = home / assemble.LOG
    log.unlink()
    with closing(sqlite3.connect(log)) as other:
        other.execute("CREATE TABLE photographs (name TEXT)")
        other.commit()
    await refused(home, ForeignFile, "some other program's")
    with pytest.raises(ForeignFile):
        await make(home)


async def test_a_database_with_another_programs_mark(home: Path) -> None:
    with closing(sqlite3.connect(home / assemble.LOG)) as raw:
        raw.execute("PRAGMA application_id = 1234")
    await refused(home, ForeignFile, "some other program's")


async def test_a_newer_schema(home: Path) -> None:
    with closing(sqlite3.connect(home / assemble.LOG)) as raw:
        raw.execute("PRAGMA user_version = 7")
    await refused(
        home, NewerSchema, f"newer program .*its form is 7, this one knows {len(schema())}"
    )


async def filled(home: Path) -> None:
    """As many records as fill some pages of the file."""
    store = await sqlite.open_writing(home / assemble.LOG)
    await store.append(items(1, 400), NOW)
    await store.close()


async def test_a_file_cut_off(home: Path) -> None:
    await filled(home)
    log = home / assemble.LOG
    os.truncate(log, log.stat().st_size // 2)
    await refused(home, TornFile, "damaged")


async def test_a_file_with_a_hole(home: Path) -> None:
    await filled(home)
    log = home / assemble.LOG
    with log.open("r+b") as file:
        file.seek(4096)
        file.write(b"\xff" * (log.stat().st_size - 8192))
    await refused(home, TornFile, "damaged")


async def test_an_entry_that_is_missing(home: Path) -> None:
    with closing(sqlite3.connect(home / assemble.LOG)) as raw:
        raw.execute("DELETE FROM entries WHERE position = 1")
        raw.commit()
    await refused(home, TornFile, "Entry 1 of the log is missing")


async def test_an_entry_that_cannot_be_read(home: Path) -> None:
    with closing(sqlite3.connect(home / assemble.LOG)) as raw:
        raw.execute("UPDATE entries SET content = x'00ff' WHERE position = 2")
        raw.commit()
    await refused(home, TornFile, "Entry 2 of the log cannot be read")


async def test_an_init_that_was_cut_off_is_said_again(home: Path) -> None:
    with closing(sqlite3.connect(home / assemble.LOG)) as raw:
        raw.executescript("DELETE FROM entries; DELETE FROM meta; DELETE FROM devices;")
    await refused(home, TornFile, "names no household")
    await make(home)
    assert await count(home) == 2


async def make(home: Path, name: str = "Hollow Lane", zone: str = "Europe/London") -> None:
    made = await assemble.make_home(home, name, zone, ["cook"], Fixed(NOW), CountedIds())
    await made.close()


async def test_a_second_household_in_one_home(home: Path) -> None:
    with pytest.raises(HomeTaken, match="Hollow Lane"):
        await make(home, "Mill Row")
    assert await count(home) == 2


async def test_an_init_that_is_not_understood_makes_nothing(tmp_path: Path) -> None:
    for name, zone in (("Hollow Lane", "Europe/Lundon"), (" ", "Europe/London"), ("a", "../x")):
        with pytest.raises(WrongUse):
            await make(tmp_path / "home", name, zone)
    assert names(tmp_path) == []


def test_every_schema_file_is_numbered_in_turn() -> None:
    folder = ROOT / "service/storage/schema"
    assert [name for name in names(folder) if name.startswith("sqlite_")] == [
        f"sqlite_{number:03d}.sql" for number in range(1, len(schema()) + 1)
    ]


async def pragma(store: sqlite.SqliteStore, text: str) -> object:
    return await store._run(lambda: store._raw.execute(f"PRAGMA {text}").fetchone()[0])


async def test_the_file_is_as_it_should_be(home: Path) -> None:
    store = await sqlite.open_writing(home / assemble.LOG)
    asked = ("journal_mode", "synchronous", "application_id", "user_version")
    pragmas = {name: await pragma(store, name) for name in asked}
    await store.close()
    full = 2
    assert pragmas == {
        "journal_mode": "wal",
        "synchronous": full,
        "application_id": APPLICATION_ID,
        "user_version": len(schema()),
    }


# -- the disk ------------------------------------------------------------------------------------


async def test_a_full_disk_leaves_the_log_whole_and_writable_again(home: Path) -> None:
    store = await sqlite.open_writing(home / assemble.LOG)
    await store.append(items(1, 5), NOW)
    pages = await pragma(store, "page_count")
    assert isinstance(pages, int)
    await pragma(store, f"max_page_count = {pages + 3}")
    newcomer = Item("newcomer", 1, b"x", "newcomer")
    with pytest.raises(DiskFull, match="full"):
        await store.append([newcomer, *items(6, 2000)], NOW)
    assert len(await store.page(0, 9999)) == 7
    assert "newcomer" not in await store.devices()
    await pragma(store, "max_page_count = 100000")
    outcomes = await store.append([newcomer, *items(6, 2000)], NOW)
    assert [o.position for o in outcomes] == list(range(8, 8 + 1996))
    await store.close()
    with closing(sqlite3.connect(home / assemble.LOG)) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone()[0] == "ok"


WRITER = """
import asyncio, resource, sys
from pathlib import Path
from service.errors import GirnelError
from service.storage import sqlite
from service.storage.store import Item

async def main(log, limit):
    store = await sqlite.open_writing(Path(log))
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
    seq = 0
    try:
        while seq < 5000:
            batch = [Item("cook", seq + n, b"x" * 400, "cook") for n in range(1, 21)]
            await store.append(batch, 0)
            seq += 20
    except GirnelError as wrong:
        print(seq, type(wrong).__name__, wrong.sentence)
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY,) * 2)
    await store.close()

asyncio.run(main(sys.argv[1], int(sys.argv[2])))
"""


@pytest.mark.parametrize("limit", [90_000, 200_000])
def test_a_disk_that_takes_no_more_in_the_middle_of_a_write(home: Path, limit: int) -> None:
    """The system itself refuses the write (a limit on the file's size stands for a full disk)."""
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[1] == resource.RLIM_INFINITY
    done = subprocess.run(
        [sys.executable, "-c", WRITER, str(home / assemble.LOG), str(limit)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    acknowledged, kind, sentence = done.stdout.split(" ", 2)
    assert kind in {"StoreError", "DiskFull"}, done.stdout
    assert "nothing was written" in sentence

    async def whole() -> None:
        store = await sqlite.open_reading(home / assemble.LOG)
        assert len(await store.page(0, 99_999)) == 2 + int(acknowledged)
        assert "cook" not in (heard := await store.devices()) or heard["cook"].gaps == ()
        await store.close()

    asyncio.run(whole())


@contextmanager
def nobody() -> Iterator[None]:
    """As a user whom permissions bind: root may write anywhere."""
    root = os.geteuid() == 0
    if root:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)


@pytest.fixture
def sealed(home: Path) -> Iterator[Path]:
    """A home that may be read and not written, where everyone can reach it."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        there = Path(folder) / "home"
        shutil.copytree(home, there)
        for path in there.iterdir():
            path.chmod(0o444)
        there.chmod(0o555)
        yield there
        there.chmod(0o755)


async def test_a_read_only_directory_can_be_looked_at_and_not_written(sealed: Path) -> None:
    before = names(sealed)
    with nobody():
        with pytest.raises(HomeUnwritable, match="may not be written to"):
            await count(sealed, writing=True)
        assert await count(sealed) == 2
    assert names(sealed) == before


async def test_a_home_that_cannot_be_made(sealed: Path, tmp_path: Path) -> None:
    with nobody(), pytest.raises(HomeUnwritable, match="cannot be made"):
        await make(sealed / "below")
    file = tmp_path / "file"
    file.write_text("not a directory")
    for taken in (file, file / "below"):
        with pytest.raises(HomeUnwritable, match="cannot be made"):
            await make(taken)


async def test_a_log_that_may_not_be_opened(home: Path) -> None:
    log = home / assemble.LOG
    kept = log.read_bytes()
    log.unlink()
    log.mkdir()
    with pytest.raises(NoHome):
        await count(home)
    with pytest.raises(HomeUnwritable, match="opened"):
        await make(home)
    log.rmdir()
    log.write_bytes(kept)
    assert await count(home) == 2


async def test_a_log_opened_for_looking_takes_no_writing(home: Path) -> None:
    store = await sqlite.open_reading(home / assemble.LOG)
    with pytest.raises(HomeUnwritable, match="looking only"):
        await store.append(items(1, 1), NOW)
    await store.close()
    with pytest.raises(StoreError, match="closed"):
        await store.page(0, 1)


async def test_opening_that_is_stopped_midway_leaves_no_thread_and_no_lock(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "log.db"
    await (await sqlite.open_writing(path, create=True)).close()
    closed: list[bool] = []

    class Watched(sqlite3.Connection):
        def close(self) -> None:  # type: ignore[explicit-override]
            closed.append(True)
            super().close()

    def slowly(where: Path, create: bool) -> sqlite3.Connection:
        connect_writing(where, create).close()
        time.sleep(0.2)
        return sqlite3.connect(where, factory=Watched, isolation_level=None)

    monkeypatch.setattr("service.storage.sqlite.connect_writing", slowly)
    before = set(threading.enumerate())
    opening = asyncio.ensure_future(sqlite.open_writing(path))
    await asyncio.sleep(0.1)
    opening.cancel()
    with pytest.raises(asyncio.CancelledError):
        await opening
    assert closed == [True]
    for thread in set(threading.enumerate()) - before:  # told to end, it does so by itself
        thread.join(0.05)
        assert not thread.is_alive()
    monkeypatch.undo()
    await (await sqlite.open_writing(path, wait_s=0)).close()
