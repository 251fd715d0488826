"""The usual caution where a deed touches what can hurt someone, each with its source.

What is said, and of what, stands with the digest and in the tables; here only when a deed asks.
The tables are read only for deeds that may need one.
"""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeAlias

from events.book import Book
from events.kinds import Body, Checked, Held, Incident, Spoiled
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
    return tuple(one.says for one in cautions.said())


def all_of(warns: "Sequence[Warn]") -> "Warn":
    """Several at once, each caution still told once."""

    def warn(cautions: "Cautions") -> None:
        called: set[str] = set()
        for one in warns:
            cautions.called = set()
            one(cautions)
            called |= cautions.called
        cautions.called = called

    return warn


def for_coming(lot: Lot) -> "Warn":
    """Home-canned food that may be low in acid, and wild food, that comes in or is put up."""
    return lambda cautions: cautions.coming(lot)


def for_loss(lot: Lot, loss: Body) -> "Warn | None":
    """Food that went off, for what is left of it."""
    if isinstance(loss, Spoiled) and loss.cause is not None:
        return lambda cautions: cautions.loss_told(lot, loss)
    return None


def for_hold(lot: Lot, hold: Held) -> "Warn":
    return lambda cautions: cautions.held(lot, hold)


def for_look(lot: Lot, look: Checked) -> "Warn":
    """What somebody saw that is not as it should be."""
    return lambda cautions: cautions.looked(lot, look)


def for_incident(lots: "Sequence[Lot]", incident: Incident) -> "Warn":
    """What befell the store where they stood."""

    def warn(cautions: "Cautions") -> None:
        for lot in lots:
            cautions.befell(lot, incident)

    return warn


def for_learnt(lot: Lot, facts: dict[str, str]) -> "Warn":
    """What was learnt of how a lot was put up."""
    return lambda cautions: cautions.learnt(lot, facts)
