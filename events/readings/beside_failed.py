"""Jars beside one whose seal failed: somebody looks at each before it is offered again.

One failed jar does not damn its lot, and nothing here throws any out. But how many were looked at
since is counted, store by store: a look at two of six leaves four to be looked at, and a look in
the kitchen says nothing of what stands in the back room. What was looked at goes along when it is
carried. Nothing here finds a jar good.
"""

from events.book import Book
from events.keeping.life import Lives
from events.kinds import Checked, Spoiled
from events.lots.places import within
from events.lots.state import Line, Lot, Posting
from events.readings.batch import ALL_SEALED, SEAL_FAILED
from events.readings.lived import plainly

CANNED = frozenset({"home-canned", "commercially-canned"})
"""Forms whose keeping hangs on a seal."""

GOES = frozenset({"consumed", "spoiled", "given", "planted", "drawn", "missing"})


def waiting(book: Book, lives: Lives, lot: Lot) -> dict[str, int]:
    """`unlooked` of canned food; of other food nothing hangs on a seal."""
    # its form is asked first: a story may be long, and not be to hand
    if not touched(lot) or lives.form(plainly(book, lot)) not in CANNED:
        return {}
    return unlooked(lot)


def touched(lot: Lot) -> bool:
    """Whether jars of it were thrown out or are held, so that a seal may have failed."""
    return lot.packed and bool(lot.totals.get("spoiled") or any(p.holds for p in lot.parcels))


def unlooked(lot: Lot) -> dict[str, int]:
    """Where closed jars of a lot stand that nobody looked at since a seal of it failed.

    By store the moment (Unix ms) of the last failure; empty where none failed, or all were seen.
    """
    if not touched(lot):
        return {}
    left: dict[str, int] = {}
    for parcel in lot.parcels:
        if parcel.high > 0 and parcel.opened is None and not parcel.holds:
            left[parcel.store] = left.get(parcel.store, 0) + max(parcel.n, 1)
    failed, looked = _looked_at(lot) if left else (0, {})
    if not failed:
        return {}
    for place, n in looked.items():
        there = {store for store in left if within(store, place)}
        if n >= sum(left[store] for store in there):
            left = {store: much for store, much in left.items() if store not in there}
    return dict.fromkeys(left, failed)


def _looked_at(lot: Lot) -> tuple[int, dict[str, int]]:
    """When a seal last failed, 0 for never; and how many were looked at since, by store."""
    failed = 0
    looked: dict[str, int] = {}
    for line in lot.lines:
        body = line.record.body
        if isinstance(body, Spoiled) and body.cause == SEAL_FAILED and not (failed and _held(line)):
            failed, looked = line.place, {}
            continue
        if isinstance(body, Checked):
            if body.wrong is not None and body.wrong.n != 0:
                failed, looked = line.place, {}
            seen = _covers(body)
            looked[body.store] = max(looked.get(body.store, 0), seen)
        if looked:
            _follow(looked, line)
    return failed, looked


def _held(line: Line) -> bool:
    """Whether what was thrown out was held: the failure is known, and the others were seen."""
    return all(posting.holds for posting in line.postings if posting.term == "spoiled")


def _covers(look: Checked) -> int:
    """How many jars a look speaks for."""
    if look.sound is not None:
        return look.sound.n or 0
    if look.seen is not None:
        wrong = look.wrong.n if look.wrong is not None else 0
        return 0 if wrong is None else max(0, (look.seen.n or 0) - wrong)
    return 2**62 if look.finding == ALL_SEALED else 0


def _follow(looked: dict[str, int], line: Line) -> None:
    """What was looked at goes where it was carried, and goes away when it is eaten."""
    for posting in line.postings:
        if posting.opened or posting.holds:
            continue
        if posting.term == "moved":
            gone = _lower(looked, posting)
            looked[posting.to] = looked.get(posting.to, 0) + gone
        elif posting.term in GOES or posting.term == "opened":
            _lower(looked, posting)


def _lower(looked: dict[str, int], posting: Posting) -> int:
    gone = min(looked.get(posting.store, 0), max(0, posting.n))
    if gone:
        looked[posting.store] -= gone
    return gone
