"""The usual caution where a deed touches what can hurt someone, each with its source.

What is said, and of what, stands with the digest and in the tables; here only when a deed asks.
The tables are read only for deeds that may need one.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING, TypeAlias

from events.book import Book
from events.kinds import Body, Held, Spoiled
from events.lots.state import Lot

if TYPE_CHECKING:
    from service.digests.caution import Cautions

Warn: TypeAlias = "Callable[[Cautions], None]"


def said(book: Book, warn: "Warn | None") -> tuple[str, ...]:
    """The cautions that a deed calls for, in words."""
    if warn is None:
        return ()
    from events import tables
    from service.digests.caution import Cautions

    cautions = Cautions(book, tables.load())
    warn(cautions)
    return cautions.said()


def for_coming(lot: Lot) -> "Warn | None":
    """Home-canned food that may be low in acid."""

    def warn(cautions: "Cautions") -> None:
        cautions.jars(lot)
        cautions.called &= {"home-canned-low-acid", "home-canned-unknown-acid"}

    return warn if lot.form else None


def for_loss(lot: Lot, loss: Body) -> "Warn | None":
    """Food that went off, for what is left of it."""
    if isinstance(loss, Spoiled) and loss.cause is not None:
        return lambda cautions: cautions.loss_told(lot, loss)
    return None


def for_hold(lot: Lot, hold: Held) -> "Warn":
    return lambda cautions: cautions.held(lot, hold)
