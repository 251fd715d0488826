"""Pushes that arrive together go into the log together: one transaction, one wait for the disk.

It stands before `Ledger.accept` and says the same: what is acknowledged is on disk. Rules: one
append at a time takes all that waits, oldest first; whoever stops waiting stops nobody else; it
keeps nothing once it has answered.
"""

import asyncio
from collections import deque
from collections.abc import Sequence

from msgspec import Struct

from service.drafts import Receipt
from service.errors import GirnelError
from service.ledger import Ledger

MOST = 2000
"""Records in one append: more would keep everybody else waiting."""


class _Push(Struct):
    contents: Sequence[bytes]
    sent_by: str
    answer: "asyncio.Future[list[Receipt]]"


class Gather:
    """A ledger's door for many at once."""

    def __init__(self, ledger: Ledger, most: int = MOST) -> None:
        self._ledger = ledger
        self._most = most
        self._waiting: deque[_Push] = deque()
        self._drain: asyncio.Task[None] | None = None

    async def accept(self, contents: Sequence[bytes], sent_by: str) -> list[Receipt]:
        """Take in records from another device, as `Ledger.accept` does."""
        if not contents:
            return []
        push = _Push(contents, sent_by, asyncio.get_running_loop().create_future())
        self._waiting.append(push)
        if self._drain is None:
            self._drain = asyncio.create_task(self._work())
        return await push.answer

    async def _work(self) -> None:
        try:
            while self._waiting:
                await self._append(self._together())
        finally:
            self._drain = None

    def _together(self) -> list[_Push]:
        """All that waits, as far as one append goes; at least one push, however long."""
        taken = [self._waiting.popleft()]
        count = len(taken[0].contents)
        while self._waiting and count + len(self._waiting[0].contents) <= self._most:
            taken.append(self._waiting.popleft())
            count += len(taken[-1].contents)
        return taken

    async def _append(self, pushes: Sequence[_Push]) -> None:
        contents = [content for push in pushes for content in push.contents]
        senders = [push.sent_by for push in pushes for _ in push.contents]
        try:
            receipts = iter(await self._ledger.accept(contents, senders))
        except BaseException as wrong:
            for push in pushes:
                if not push.answer.done():
                    push.answer.set_exception(_alike(wrong))
            if not isinstance(wrong, Exception):
                raise
            return
        for push in pushes:
            own = [next(receipts) for _ in push.contents]
            if not push.answer.done():
                push.answer.set_result(own)


def _alike(wrong: BaseException) -> BaseException:
    """Each who waits gets an error of his own: one that is raised twice grows its traceback."""
    if isinstance(wrong, GirnelError):
        return type(wrong)(wrong.sentence)
    if isinstance(wrong, asyncio.CancelledError):
        return asyncio.CancelledError()
    return RuntimeError(f"the append failed: {type(wrong).__name__}")
