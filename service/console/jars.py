"""What is said to whoever opens or eats of jars that nobody should eat of unseen.

Two kinds: jars beside one whose seal failed, not looked at since, and home-canned jars of which
nobody here knows what is in them or how they were made. What was eaten is written down all the
same. The tables are read only where a jar may be one of them.
"""

from typing import TYPE_CHECKING

from events.kinds import Body, Received
from events.lots.state import Lot
from service.console import amounts
from service.console.desk import Desk

if TYPE_CHECKING:
    from service.console.cautions import Warn
    from service.digests.caution import Cautions


def before_eating(at: Desk, lot: Lot, body: Body) -> list[str]:
    """The look that is owed before any of it is eaten."""
    if not _unseen(at, lot, body):
        return []
    look = f"girnel look {at.code(lot.name)} --seen HOW-MANY --unsealed HOW-MANY"
    says = "A seal of this lot failed, and not all of it was looked at since. Look at each before"
    return [f"{says} any is eaten: {look}"]


def warn_of_eating(at: Desk, lot: Lot, body: Body) -> "Warn | None":
    """The caution that such jars call for."""
    if _unseen(at, lot, body):

        def seals(cautions: "Cautions") -> None:
            cautions.jars(lot)
            cautions.called.add("home-canned-seal")

        return seals
    if _nobody_knows(at, lot):
        return lambda cautions: cautions.called.add("no-process")
    return None


def _unseen(at: Desk, lot: Lot, body: Body) -> bool:
    from events.readings.beside_failed import touched, waiting

    if not touched(lot):
        return False
    from events import tables
    from events.keeping.life import Lives

    store = getattr(body, "store", "")
    stores = waiting(at.book, Lives(tables.load()), lot)
    return bool(stores) if not store else store in stores


def _nobody_knows(at: Desk, lot: Lot) -> bool:
    body = lot.maker.body if lot.maker else None
    if not isinstance(body, Received) or lot.form.casefold() not in amounts.JARRED:
        return False
    from events import tables
    from events.keeping.life import Lives
    from events.readings.made_how import Known

    return Known(at.book, Lives(tables.load())).unknown(lot)
