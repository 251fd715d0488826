"""What to use first, as data: the order, what is past a maker's use-by, and what is left out.

The order is worked out in `events/readings`; the console lays out the same values for people.
"""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from events import tables
from events.book import Book
from events.keeping.life import Life, Lives
from events.lots.places import within
from events.readings import reasons
from events.readings import rotation as reading
from events.readings.beside_failed import waiting
from events.readings.ground_late import dug_late
from events.readings.ground_shut import NONE_SHUT, Shuts
from events.readings.lots import amount_json, codes_of, measure
from events.readings.rotation import Use
from events.readings.rows import Row, parcels, to_json
from events.readings.untouched import Untouched, untouched
from events.readings.used import used
from events.tables import Tables
from service.digests.words import Calendar, ends
from service.looks import finding, stock
from service.looks.asked import Asked
from service.looks.ground import today


class Order(Struct, frozen=True, kw_only=True):
    """The order of use on one day, and what stands outside it."""

    offered: Sequence[Use]
    past: Sequence[Use]
    """past the maker's use-by: not offered"""
    apart: dict[str, list[dict[str, object]]]
    untouched: Sequence[Untouched] = ()
    """of which nobody used any for a year"""
    shut: Shuts = {}
    """what stands in the ground and is not to be counted on"""
    late: Mapping[tuple[str, str], str] = {}
    """by (store, lot): what was dug late, in a sentence"""


def order(asked: Asked, known: Tables, store: str) -> Order:
    """What is to be used first in a store and its parts; "" is the household."""
    uses = [use for use in reading.use_first(asked.book, known) if within(use.store, store)]
    return Order(
        offered=[use for use in uses if not use.lapsed(asked.now)],
        past=[use for use in uses if use.lapsed(asked.now)],
        apart=apart(asked.book, known, store),
        untouched=[
            one
            for one in untouched(asked.book, asked.now)
            if any(within(place, store) for place in one.stores)
        ],
        shut=stock.shut(asked),
        late=dug_late(asked.book, known, uses, today(asked), asked.tz),
    )


def rotation(asked: Asked, store: str | None = None) -> dict[str, object]:
    """What to use first, from when to when, and why."""
    known = tables.load()
    found = order(asked, known, finding.store(asked.book, store))
    said = Said(known, codes_of(asked.book), Calendar(asked.zone), asked.now, found)
    return {
        "order": [said.as_json(use) for use in found.offered],
        "past_use_by": [said.as_json(use) for use in found.past],
        **found.apart,
        "untouched": [said.untouched(one) for one in found.untouched],
    }


class Said:
    """What is said of a food in the order, for one household on one day."""

    def __init__(
        self, tables: Tables, codes: dict[str, str], calendar: Calendar, now: int,
        found: Order | None = None,
    ) -> None:  # fmt: skip
        self.tables = tables
        self.codes = codes
        self.calendar = calendar
        self.now = now
        self.shut = NONE_SHUT if found is None else found.shut
        self.late: Mapping[tuple[str, str], str] = {} if found is None else found.late

    def since(self, use: Use) -> str:
        """The day from which its age is reckoned, ISO 8601."""
        return self.calendar.after(use.since, use.offset, 0).isoformat()

    def dates(self, use: Use) -> tuple[str | None, str | None, str | None]:
        """From, likely and to, ISO 8601; None: no such day is known."""
        if use.from_ms is None:
            return None, None, None
        low, high = ends(use, self.calendar)
        if high is None:
            return low.isoformat(), None, None
        return low.isoformat(), (low + (high - low) / 2).isoformat(), high.isoformat()

    def untouched(self, one: Untouched) -> dict[str, object]:
        """A food that nobody uses, as plain data."""
        return {
            "food": one.food,
            "amount": amount_json(one.amount),
            "lots": [self.codes.get(lot, lot) for lot in one.lots],
            "stores": list(one.stores),
            "since": one.since_on,
            "seen": one.seen_on,
        }

    def as_json(self, use: Use) -> dict[str, object]:
        """A food in the order, as plain data: days as dates, shares in per cent."""
        low, likely, high = self.dates(use)
        share, shut = used(use, self.now), self.shut.get((use.store, use.lot))
        return {
            "lot": self.codes.get(use.lot, use.lot),
            "name": use.lot,
            "food": use.food,
            "variety": use.variety or None,
            "form": use.form or None,
            "store": use.store,
            "amount": amount_json(measure(use.unit, use.n, use.low, use.high)),
            "group": use.group,
            "in_ground": None if shut is None else shut.words,
            "dug_late": self.late.get((use.store, use.lot)),
            "opened": None if use.opened is None else self.calendar.on(use.opened).isoformat(),
            "since": self.since(use),
            "packed_from": self.codes.get(use.packed_from, use.packed_from) or None,
            "from": low,
            "likely": likely,
            "to": high,
            "used_percent": None if share is None else
            {"least": share.least, "likely": share.likely, "most": share.most},
            "rests_on": "maker" if use.by_maker else "published" if use.from_ms else None,
            "source": use.life.row.source_id if isinstance(use.life, Life) else None,
            "printed": None if use.maker is None else
            {"as": use.maker.raw, "kind": use.maker.kind, "date": use.maker.at},
            "why": reasons.reasons(use, self.tables),
        }  # fmt: skip


def apart(book: Book, known: Tables, store: str) -> dict[str, list[dict[str, object]]]:
    """What is left out of the order, by why, as plain data."""
    rows = [row for row in parcels(book) if within(row.store, store)]
    own = [row for row in rows if not row.owner and not row.in_doubt]
    codes, lives = codes_of(book), Lives(known)
    return {
        "in_doubt": to_json([row for row in rows if row.in_doubt and not row.owner]),
        "undecided": [
            {
                "lot": codes.get(one.lot, one.lot),
                "food": one.food,
                "store": ", ".join(one.stores),
                "amount": amount_json(measure(one.unit, one.n, one.low, one.high)),
            }
            for one in reading.undecided(book, known)
            if any(within(place, store) for place in one.stores)
        ],
        "to_look_at": to_json([row for row in own if _unseen(book, lives, row)]),
        "held": to_json([row for row in own if row.held]),
        "set_aside": to_json([row for row in own if row.set_aside and not row.held]),
        "others": to_json([row for row in rows if row.owner]),
    }


def _unseen(book: Book, lives: Lives, row: Row) -> bool:
    """Whether it stands beside a jar whose seal failed, and waits for a look."""
    return not (row.opened or row.held) and row.store in waiting(book, lives, row.of)
