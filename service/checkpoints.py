"""A ledger's book put by, so that the next start need not read the log again.

What is put by follows from the log and may be lost at any time. Rules: another program's code is
not trusted with it; a log that is looked at and not written is not put by; where putting by fails,
nothing has happened but that the next start takes longer.
"""

from contextlib import suppress

from events import kept
from events.book import Book
from service.errors import GirnelError
from service.storage.shelf import Shelf, ShelfPast, Still

FEW = 32
"""Entries that a start reads on without minding: fewer are not put by at a close."""

MANY = 20_000
"""Entries after which a book is put by in between, so that a start after a crash is short."""


class Checkpoints:
    """The shelf of one log; `code` names the program that works the book out."""

    def __init__(self, shelf: Shelf, code: str, *, writing: bool) -> None:
        self._shelf = shelf
        self._code = code
        self._writing = writing
        self._past: ShelfPast | None = None
        self._upto = 0

    @property
    def code(self) -> str:
        """Names the program that works the book out."""
        return self._code

    def still(self) -> Still:
        """The log and what was put by of it, as of now, for the thread that asks."""
        return self._shelf.still()

    def take_up(self) -> Book:
        """The book as it was put by, else an empty one."""
        self._past = self._shelf.past()
        taken = self._past.taken_up(self._code)
        if taken is None:
            return Book(self._past) if self._writing else Book()
        thin = kept.take_up_thin(taken.thin)
        self._upto = thin.upto
        return Book(self._past, thin, taken.lots)

    async def put_by(self, book: Book) -> None:
        """Put by what has changed. Raises a StoreError where the disk does not do its part."""
        if not self._writing or book.thin.upto == self._upto:
            return
        lots, gone = book.to_put_by()
        thin = kept.put_by_thin(book.thin)
        await self._shelf.put_by(self._code, book.thin.upto, thin, lots, gone)
        book.was_put_by(lots)
        self._upto = book.thin.upto

    async def appended(self, book: Book) -> None:
        """Put by once much was appended."""
        if book.thin.upto - self._upto >= MANY:
            with suppress(GirnelError):  # the log has it all
                await self.put_by(book)

    async def close(self, book: Book) -> None:
        """Put by what there is, and let go."""
        if book.thin.upto - self._upto >= FEW:
            with suppress(GirnelError):  # the log has it all
                await self.put_by(book)
        if self._past is not None:
            self._past.close()
            self._past = None
