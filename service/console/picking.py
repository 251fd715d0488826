"""Which lot a taker gets who names a food and not a lot: first to use there.

The rule: what the order of use has first there, then what it does not offer, in the order in which
it came to that store; never what is held or somebody else's. What is set aside or in doubt is taken
only where there is no other: nobody is refused what they ate. It is applied when the record is
written and not again at replay. Where the log knows none there, the lot that would be first
elsewhere is named, and the log books what it lacks.
"""

from collections.abc import Callable, Sequence

from msgspec import Struct

from events.book import Book
from events.lots.places import levels, within
from events.lots.state import Lot, Parcel
from service.console import names
from service.console.words import listed
from service.errors import NeedsChoice, WrongUse


class Share(Struct, frozen=True):
    """So much (grains) that a lot has there, for the taking."""

    lot: Lot
    n: int


def first_to_use(book: Book, food: str, store: str, typed: str) -> list[Share]:
    """The lots of a food in the order in which they are to be used there, with what is free."""
    lots = names.had(book, food, typed)
    here = _in_order(book, lots, store, free) or _in_order(book, lots, store, not_held)
    if here:
        return here
    kept = [lot for lot in lots if any(p.n and _near(p, store) for p in lot.parcels)]
    if kept:
        raise NeedsChoice(_only_kept_back(book, kept, store, typed))
    elsewhere = _in_order(book, lots, "", free)
    return [Share(share.lot, 0) for share in elsewhere[:1]] or [Share(lots[-1], 0)]


def oldest_first(book: Book, food: str, store: str, typed: str) -> list[Share]:
    """The lots of a food that stand free in a store, the one made longest ago first."""
    from events.readings.packed import keeping_start

    shares = []
    lots = names.had(book, food, typed)
    for lot in sorted(
        lots, key=lambda one: (keeping_start(book, one)[1], one.made_place, one.name)
    ):
        n = sum(parcel.n for parcel in lot.parcels if free(parcel) and within(parcel.store, store))
        if n:
            shares.append(Share(lot, n))
    if not shares:
        raise WrongUse(f"The log knows no {typed} in {place(store)} that is free to carry.")
    return shares


def free(parcel: Parcel) -> bool:
    return parcel.n > 0 and not (parcel.holds or parcel.asides or parcel.doubt)


def not_held(parcel: Parcel) -> bool:
    return parcel.n > 0 and not parcel.holds


def owner(lot: Lot) -> str:
    """Whose the lot is, where it is not the household's."""
    made = (lot.identity.owner if lot.identity else None) or ""
    return lot.facts.get("owner", made)


def place(store: str) -> str:
    return store or "the household"


def _near(parcel: Parcel, store: str) -> bool:
    """Whether it stands in the store, or is known only for a store around it."""
    return within(parcel.store, store) or parcel.store in levels(store)


def _in_order(
    book: Book, lots: Sequence[Lot], store: str, may_go: Callable[[Parcel], bool]
) -> list[Share]:
    found: list[tuple[tuple[bool, bool, int, int, str], Share]] = []
    for lot in lots:
        parcels = [parcel for parcel in lot.parcels if may_go(parcel) and _near(parcel, store)]
        if parcels and not owner(lot):
            rank = min(
                (not within(p.store, store), p.opened is None, stood_since(p, store))
                for p in parcels
            )
            share = Share(lot, sum(parcel.n for parcel in parcels))
            found.append(((*rank, lot.made_place, lot.name), share))
    ranked = [share for _, share in sorted(found, key=lambda pair: pair[0])]
    if len(ranked) < 2:
        return ranked
    first = _order_of_use(book, [share.lot for share in ranked], store)
    return sorted(ranked, key=lambda share: first.get(share.lot.name, len(first)))


def _order_of_use(book: Book, lots: Sequence[Lot], store: str) -> dict[str, int]:
    """The place of each lot in the order of use there; none for what is not offered."""
    from events import tables
    from events.readings.lived import Keeping
    from events.readings.rotation import ordered

    uses = ordered(Keeping(book, tables.load()), {lot.name for lot in lots})
    here = [use for use in uses if within(use.store, store)]
    found: dict[str, int] = {}
    for use in (*here, *uses):
        found.setdefault(use.lot, len(found))
    return found


def stood_since(parcel: Parcel, store: str) -> int:
    """Since when it has stood in the store without leaving it, Unix ms."""
    since, link = parcel.lived.since, parcel.lived.before
    while link is not None and within(link.store, store):
        since, link = link.since, link.before
    return since


def _only_kept_back(book: Book, lots: Sequence[Lot], store: str, typed: str) -> str:
    said = listed(f"{names.code(book, lot.name)} ({_why(lot, store)})" for lot in lots)
    return (
        f"All the {typed} in {place(store)} is kept back: {said}. "
        "To take of it all the same, name the lot by its code."
    )


def _why(lot: Lot, store: str) -> str:
    parcels = [parcel for parcel in lot.parcels if parcel.n and _near(parcel, store)]
    why = [
        ("of " + owner(lot), bool(owner(lot))),
        ("held", any(parcel.holds for parcel in parcels)),
        ("set aside", any(parcel.asides for parcel in parcels)),
        ("in doubt", any(parcel.doubt for parcel in parcels)),
    ]
    return listed(word for word, so in why if so)
