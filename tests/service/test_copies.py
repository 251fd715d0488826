"""The day's copy of a log: whole, read back, a few kept."""

import sqlite3
from datetime import date, timedelta
from pathlib import Path

import pytest

from service import assemble
from service.clock import CountedIds, Fixed
from service.errors import GirnelError
from service.storage.copies import KEEP_DAYS, KEEP_MONTHS, copy_log

NOW = 1_795_370_400_000


async def log(home: Path) -> Path:
    ledger = await assemble.make_home(
        home, "Hollow Lane", "Europe/London", ["cook"], Fixed(NOW), CountedIds()
    )
    await ledger.close()
    return home / "log.db"


async def test_a_copy_put_back_is_the_household(tmp_path: Path) -> None:
    path = await log(tmp_path / "h")
    async with assemble.open_home(tmp_path / "h", Fixed(NOW), writing=True) as ledger:
        copy = copy_log(path, tmp_path / "copies", date(2026, 11, 22))
        wanted = ledger.book.state_hash()
    assert copy is not None
    assert copy.name == "log-2026-11-22.db"
    assert [one.name for one in (tmp_path / "copies").iterdir()] == [copy.name]
    (tmp_path / "again").mkdir()
    (tmp_path / "again/log.db").write_bytes(copy.read_bytes())
    async with assemble.open_home(tmp_path / "again", Fixed(NOW), writing=True) as ledger:
        assert ledger.book.state_hash() == wanted


async def test_one_a_day_and_the_oldest_are_let_go(tmp_path: Path) -> None:
    path = await log(tmp_path / "h")
    first, folder = date(2026, 1, 1), tmp_path / "copies"
    assert copy_log(path, folder, first) is not None
    assert copy_log(path, folder, first) is None
    for days in range(1, 300):
        copy_log(path, folder, first + timedelta(days=days))
    names = sorted(one.name for one in folder.iterdir())
    months = ["05", "06", "07", "08", "09", "10"]
    assert len(months) == KEEP_MONTHS
    assert names[:KEEP_MONTHS] == [f"log-2026-{month}-01.db" for month in months]
    assert len(names) == KEEP_MONTHS + KEEP_DAYS
    assert names[-1] == "log-2026-10-27.db"


async def test_a_log_that_is_torn_gives_no_copy_and_keeps_the_older_ones(tmp_path: Path) -> None:
    path = await log(tmp_path / "h")
    folder = tmp_path / "copies"
    copy_log(path, folder, date(2026, 11, 21))
    raw = sqlite3.connect(path)
    raw.execute("DELETE FROM entries WHERE position = 1")
    raw.commit()
    raw.close()
    with pytest.raises(GirnelError, match="not whole"):
        copy_log(path, folder, date(2026, 11, 22))
    assert sorted(one.name for one in folder.glob("*.db")) == ["log-2026-11-21.db"]
