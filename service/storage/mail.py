"""Outgoing mail in a SQLite file of its own, beside the log.

A row is the claim of a reader's period and the message in one, so neither is there without the
other. Rules: one process writes (the lock of this file, which the system takes back when the
process ends), so a row found `sending` by whoever holds the lock belongs to one that was cut off,
and its outcome is unknown; a period that is settled is never taken back to waiting. No WAL: two
processes that checkpoint one have hurt files, and here a write a minute is much.
"""

import asyncio
import json
import sqlite3
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from importlib import resources
from pathlib import Path
from typing import Any, TypeVar

import aiosqlite

from service.errors import ForeignFile, HomeInUse, StoreError
from service.storage import lock
from service.storage.letters import OUTCOMES, Kept, Letter, Told
from service.storage.sqlite_file import told

APPLICATION_ID = 0x4769724D
"""Stands in the file's head: this file is a household's outgoing mail."""

VERSION = 1

COLUMNS = ("reader, period, state, made, address, message_id, message, attempts, next_try, answer")  # fmt: skip

T = TypeVar("T")


class MailFile:
    """The file, open. Make one with `open_mail`, and close it."""

    def __init__(self, path: Path, held: lock.Lock | None) -> None:
        self._path = path
        self._lock = held
        self._raw: sqlite3.Connection
        self._db: aiosqlite.Connection | None = None

    async def _open(self) -> None:
        failed: list[Exception] = []

        def connected() -> sqlite3.Connection:
            try:
                self._raw = _connect(self._path, writing=self._lock is not None)
            except (sqlite3.Error, StoreError) as wrong:
                failed.append(wrong)  # raised here it would leave the thread running on its own
                self._raw = sqlite3.connect(":memory:")
            return self._raw

        def begun() -> None:
            for wrong in failed:
                raise wrong

        try:
            self._db = await aiosqlite.Connection(connected, iter_chunk_size=1)
            await self._run(begun)
        except BaseException:
            await self.close()
            raise

    async def _run(self, function: Callable[[], T]) -> T:
        """A function on the connection's own thread, whole: one hop a transaction."""
        if self._db is None:
            raise StoreError(f"{self._path} is closed.")
        try:
            done: T = await self._db._execute(function)  # type: ignore[no-untyped-call]
        except sqlite3.Error as wrong:
            raise told(wrong, self._path) from wrong
        return done

    async def _change(self, function: Callable[[], T]) -> T:
        """A function as one transaction."""

        def whole() -> T:
            self._raw.execute("BEGIN IMMEDIATE")
            try:
                done = function()
                self._raw.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):
                    self._raw.execute("ROLLBACK")
                raise
            return done

        return await self._run(whole)

    async def close(self) -> None:
        if self._db is not None:
            db, self._db = self._db, None
            await db.close()
        if self._lock is not None:
            self._lock.release()

    # -- what is known -------------------------------------------------------------------------

    async def meta(self) -> dict[str, str]:
        """What is known of the file itself, by name."""
        return await self._run(
            lambda: dict(self._raw.execute("SELECT name, value FROM meta").fetchall())
        )

    async def know(self, meta: Mapping[str, str]) -> None:
        await self._change(lambda: self._know(meta))

    async def letters(self, *, most: int = 1000) -> list[Letter]:
        """The newest letters, the newest first."""
        return await self._run(
            lambda: self._letters("ORDER BY made DESC, period DESC, reader LIMIT ?", most)
        )

    async def last_week(self, reader: str, until: str) -> str | None:
        """The last week, up to that one, of which a reader's digest is settled or claimed."""
        return await self._run(
            lambda: self._raw.execute(
                "SELECT max(period) FROM mail WHERE reader = ? AND period <= ?"
                " AND period GLOB '????-W??'",
                (reader, until),
            ).fetchone()[0]
        )

    async def called_off(self, since: str, now: int) -> list[tuple[str, str, int]]:
        """(reader, week, when it was said) of weeks in which nothing was sent, nor tried.

        Of weeks from `since` on, and of what was said by a clock that was ahead of `now` (Unix ms).
        """
        return await self._run(
            lambda: self._raw.execute(
                "SELECT reader, period, made FROM mail WHERE (period >= ? OR made > ?)"
                " AND period GLOB '????-W??' AND state IN ('off', 'unwanted')",
                (since, now),
            ).fetchall()
        )

    async def has(self, reader: str, period: str) -> bool:
        row = "SELECT 1 FROM mail WHERE reader = ? AND period = ?"
        return await self._run(
            lambda: self._raw.execute(row, (reader, period)).fetchone() is not None
        )

    async def kept(self, period: str | None = None) -> Kept | None:
        """The digest of a period; without one, the newest that went out to somebody, or may have."""
        if period is not None:
            return await self._run(lambda: self._kept("WHERE period = ?", period))
        return await self._run(
            lambda: self._kept(
                "WHERE period IN (SELECT period FROM mail WHERE state IN ('sent', 'unknown'))"
                " ORDER BY period DESC LIMIT 1"
            )
        )

    async def unnoted(self) -> list[Letter]:
        """What has come to an outcome that the log does not know yet, oldest first."""
        marks = ", ".join("?" * len(OUTCOMES))
        return await self._run(
            lambda: self._letters(
                f"WHERE noted <> state AND state IN ({marks}) ORDER BY period, reader", *OUTCOMES
            )
        )

    # -- what changes --------------------------------------------------------------------------

    async def claim(self, letters: Sequence[Letter], kept: Kept | None = None) -> int:
        """Put letters by, each the claim of its reader's period; how many were not claimed yet.

        A digest is kept in the same transaction.
        """
        return await self._change(lambda: self._claim(letters, kept))

    async def learn(
        self, told: Sequence[Told], meta: Mapping[str, str], *, anew: bool = False
    ) -> None:
        """What the log says of messages is so: “sent” always, other outcomes of what is not here.

        `anew`: that is all the log says, and what else is known here it has to be told again.
        """
        await self._change(lambda: self._learn(told, meta, anew))

    async def cut_off(self, retry: int, tries: int) -> list[tuple[str, str]]:
        """What was being handed over when its process ended: its outcome is unknown.

        It is tried again at `retry` (Unix ms), unless it was tried so often.
        """
        answer = "the program was cut off while it was handed over"
        return await self._change(
            lambda: self._raw.execute(
                "UPDATE mail SET state = 'unknown', next_try = iif(attempts < ?, ?, NULL),"
                " answer = ? WHERE state = 'sending' RETURNING reader, period",
                (tries, retry, answer),
            ).fetchall()
        )

    async def next(self, now: int, far: int) -> Letter | None:
        """The next letter that may go out at `now` (Unix ms).

        A time to try at that is more than `far` ahead was set by a wrong clock, and is now.
        """
        found = await self._run(
            lambda: self._letters(
                "WHERE state IN ('waiting', 'unknown') AND (next_try <= ? OR next_try > ?)"
                " ORDER BY next_try, period, reader LIMIT 1",
                now,
                now + far,
            )
        )
        return found[0] if found else None

    async def begin(self, key: tuple[str, str]) -> None:
        """From here on a letter is being handed over, and may be in a reader's mailbox."""
        await self._change(
            lambda: self._raw.execute(
                "UPDATE mail SET state = 'sending', attempts = attempts + 1"
                " WHERE reader = ? AND period = ?",
                key,
            )
        )

    async def settle(self, letter: Letter) -> None:
        """What became of a letter that was tried: state, answer, tries and when it is tried next."""
        await self._change(
            lambda: self._raw.execute(
                "UPDATE mail SET state = ?, answer = ?, next_try = ?, attempts = ?"
                " WHERE reader = ? AND period = ?",
                (letter.state, letter.answer, letter.next_try, letter.attempts, *letter.key),
            )
        )

    async def give_up(self, reader: str, week: str, notes_before: int) -> None:
        """What never left and is old by now: digests of weeks before that one, notes made before
        that moment (Unix ms).
        """
        await self._change(
            lambda: self._raw.execute(
                "UPDATE mail SET state = 'late', next_try = NULL"
                " WHERE reader = ? AND state = 'waiting' AND iif(period GLOB '????-W??',"
                " period < ?, made < ?)",
                (reader, week, notes_before),
            )
        )

    async def call_off(self, weekly: Sequence[str], urgent: Sequence[str]) -> None:
        """What waits for readers who do not want it any more: digests for all but those, notes."""
        wanted = json.dumps(list(weekly)), json.dumps(list(urgent))
        await self._change(
            lambda: self._raw.execute(
                "UPDATE mail SET state = iif(state = 'waiting', 'unwanted', state), next_try = NULL"
                " WHERE state IN ('waiting', 'unknown') AND next_try IS NOT NULL AND reader NOT IN"
                " (SELECT value FROM json_each(iif(period GLOB '????-W??', ?, ?)))",
                wanted,
            )
        )

    async def forget_off(self, keys: Sequence[tuple[str, str]]) -> None:
        """Weeks that a wrong clock had called missed, and that have not come yet."""
        await self._change(
            lambda: self._raw.executemany(
                "DELETE FROM mail WHERE reader = ? AND period = ? AND state IN ('off', 'unwanted')",
                list(keys),
            )
        )

    async def note(self, letters: Sequence[Letter]) -> None:
        """The log knows these outcomes now."""
        await self._change(
            lambda: self._raw.executemany(
                "UPDATE mail SET noted = ? WHERE reader = ? AND period = ?",
                [(one.state, *one.key) for one in letters],
            )
        )

    # -- on the connection's thread ------------------------------------------------------------

    def _letters(self, rest: str, *values: object) -> list[Letter]:
        rows = self._raw.execute(f"SELECT {COLUMNS} FROM mail {rest}", values)  # noqa: S608 - ours
        return [_letter(row) for row in rows]

    def _kept(self, rest: str, *values: object) -> Kept | None:
        row = self._raw.execute(
            f"SELECT period, made, digest, said FROM digests {rest}",  # noqa: S608 - ours
            values,
        ).fetchone()
        return row and Kept(period=row[0], made=row[1], digest=row[2], said=row[3])

    def _know(self, meta: Mapping[str, str]) -> None:
        self._raw.executemany(
            "INSERT INTO meta VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value",
            list(meta.items()),
        )

    def _claim(self, letters: Sequence[Letter], kept: Kept | None) -> int:
        done = 0
        for one in letters:
            done += self._raw.execute(
                f"INSERT INTO mail ({COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"  # noqa: S608
                " ON CONFLICT DO NOTHING",
                (one.reader, one.period, one.state, one.made, one.address, one.message_id,
                 one.message, one.attempts, one.next_try, one.answer),
            ).rowcount  # fmt: skip
        if kept is not None and done:
            self._raw.execute(
                "INSERT INTO digests VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
                (kept.period, kept.made, kept.digest, kept.said),
            )
        return done

    def _learn(self, told: Sequence[Told], meta: Mapping[str, str], anew: bool) -> None:
        if anew:
            self._raw.execute("UPDATE mail SET noted = ''")
        for one in told:
            self._raw.execute(
                "INSERT INTO mail (reader, period, state, made, address, message_id, noted)"
                " VALUES (?, ?, ?, ?, '', ?, ?) ON CONFLICT DO UPDATE SET state = excluded.state,"
                " noted = excluded.noted, next_try = iif(excluded.state = 'sent', NULL, next_try)"
                " WHERE excluded.state IN ('sent', mail.state)",
                (one.reader, one.period, one.state, one.made, one.message_id, one.state),
            )
        self._know(meta)


def _letter(row: Sequence[Any]) -> Letter:
    return Letter(reader=row[0], period=row[1], state=row[2], made=row[3], address=row[4],
                  message_id=row[5], message=row[6], attempts=row[7], next_try=row[8],
                  answer=row[9])  # fmt: skip


# -- opening -----------------------------------------------------------------------------------


async def open_mail(path: Path, *, writing: bool, wait_s: float = 5.0) -> MailFile:
    """The file; writing, it is made where none is, and this process alone has it.

    Raises HomeInUse when another process sends mail there, still after `wait_s` seconds.
    """
    held = await _locked(path, wait_s) if writing else None
    box = MailFile(path, held)
    await box._open()
    return box


async def _locked(path: Path, wait_s: float) -> lock.Lock:
    file = path.with_suffix(".lock")
    end = asyncio.get_running_loop().time() + wait_s
    while (taken := lock.take(file)) is None:
        if asyncio.get_running_loop().time() >= end:
            raise HomeInUse(
                f"The mail of {path.parent} is in the hands of {lock.holder(file)}, "
                "which sends it: nothing is to be done here."
            )
        await asyncio.sleep(0.05)
    return taken


def _connect(path: Path, *, writing: bool) -> sqlite3.Connection:
    if writing and not path.exists():
        path.touch(mode=0o600)  # addresses, and the secret of the household's "no more"
    mode = "rwc" if writing else "ro"
    raw = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}", uri=True, isolation_level=None, timeout=10.0
    )
    try:
        if _is_new(raw, path, writing=writing):
            text = (resources.files("service.storage") / "schema" / "mail_001.sql").read_text()
            head = f"PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {VERSION};"
            raw.executescript(f"BEGIN IMMEDIATE; {text}; {head} COMMIT;")
        raw.execute("PRAGMA synchronous = FULL")
    except BaseException:
        raw.close()
        raise
    return raw


def _is_new(raw: sqlite3.Connection, path: Path, *, writing: bool) -> bool:
    """Whether nothing is in the file yet, once it is sure that the file is ours."""
    application = raw.execute("PRAGMA application_id").fetchone()[0]
    version = raw.execute("PRAGMA user_version").fetchone()[0]
    empty = raw.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0] == 0
    if (application, version) != (APPLICATION_ID, VERSION) and not (empty and writing):
        raise ForeignFile(
            f"{path} is not outgoing mail that this program can read: a newer one made it, or it "
            "is something else's. Nothing was changed."
        )
    return bool(empty)
