"""What the looks share: a lot's code, its date, when it was seen, its food's one name, its amounts.

Not a look itself; the looks do not know each other, they know this. Nothing here changes the book.
"""

from collections.abc import Iterable

from msgspec import Struct

from events.book import Book
from events.codes import shortest, signs
from events.edtf import date_of, span
from events.kinds import Checked, Counted, Redated, Spoiled, StoreCounted
from events.lots.places import within
from events.lots.state import UNBOUNDED, Line, Lot, Posting
from events.quantity import decimal, exact, show_amount
from events.readings.starting import ageless

SEEN_IN = frozenset({"in", "consumed", "spoiled", "given", "planted", "drawn", "opened", "moved"})
"""Terms of a posting that say: somebody had that food before their eyes."""


class Measure(Struct, frozen=True):
    """So much in grains of `unit`: `low <= n <= high`, `high` None where nobody knows."""

    unit: str
    n: int
    low: int
    high: int | None

    @property
    def exact(self) -> bool:
        return self.low == self.high

    def plus(self, other: "Measure") -> "Measure":
        """The sum of two of the same unit. Raises ValueError for unlike units."""
        if other.unit != self.unit:
            raise ValueError(f"{self.unit} and {other.unit} do not add up")
        high = None if self.high is None or other.high is None else self.high + other.high
        return Measure(self.unit, self.n + other.n, self.low + other.low, high)


def measure(unit: str, n: int, low: int, high: int) -> Measure:
    """A measure from what a parcel or posting holds, whose open end is a large number."""
    return Measure(unit, n, low, None if high >= UNBOUNDED else high)


def amount_json(amount: Measure) -> dict[str, object]:
    """`value` a decimal text, `exact` where that rounds, `low` and `high` where estimated."""
    said: dict[str, object] = {"value": decimal(amount.n), "unit": amount.unit}
    if (fraction := exact(amount.n)) is not None:
        said["exact"] = fraction
    if not amount.exact:
        said["low"] = decimal(amount.low)
        said["high"] = None if amount.high is None else decimal(amount.high)
    return said


def shown(amount: Measure) -> str:
    """An amount in words: "7 qt", "about 26 (22-30) lb"."""
    if amount.exact:
        return show_amount(amount.n, amount.unit)
    return show_amount(amount.n, amount.unit, amount.low, amount.high)


class Codes(dict[str, str]):
    """The short code of every name of every lot, doubles' too; worked out when it is asked for."""

    def __init__(self, book: Book) -> None:
        super().__init__()
        self._book = book

    def __missing__(self, lot: str) -> str:
        if not lot or self._book.lot(lot) is None:
            raise KeyError(lot)
        self[lot] = found = shortest(lot, *self._book.near(signs(lot)))
        return found

    def get(self, lot: str, default: str = "") -> str:  # type: ignore[override, explicit-override]
        try:
            return self[lot]
        except KeyError:
            return default


def codes_of(book: Book) -> dict[str, str]:
    """The short code of every name of every lot, doubles' too."""
    return Codes(book)


def code_of(lot: str, codes: dict[str, str]) -> str:
    """The code of a lot, or its name where nothing is known of it."""
    return codes.get(lot, lot)


def recipient(lot: Lot | None, to: str | None) -> str:
    """To whom some of a lot went; "" where nobody said, or where the names were taken out."""
    return to or "" if lot is None or names_recipients(lot) else ""


def names_recipients(lot: Lot) -> bool:
    """Whether those who got some of it may be named: their names were not taken out."""
    return lot.facts.get("recipients") != ""


# -- when ------------------------------------------------------------------------------------------


def made(book: Book, lot: Lot) -> str | None:
    """The date the food was made or came in, EDTF as said; None for a lot nobody brought in, or
    that was found and is of no known age.

    A clock time is left off. What was learnt later wins, then what the making says of it, then
    the making's own date, as redated.
    """
    maker = lot.maker
    if maker is None:
        return None
    said = lot.facts.get("made_at") or getattr(maker.body, "made_at", None)
    if said:
        return without_clock(said, maker.offset)
    if ageless(lot):
        return None
    at, offset = maker.at, maker.offset
    if (lot.made_earliest, lot.made_place) != _plain_span(at, offset, maker.stamp.ms):
        at, offset = redated(book, maker.name) or (at, offset)
    return without_clock(at, offset)


def _plain_span(at: str, offset: int, stamp: int) -> tuple[int | None, int]:
    earliest, latest = span(at, offset)
    place = stamp if latest is None else min(latest, stamp)
    return (earliest if earliest is None else min(earliest, place)), place


def redated(book: Book, record: str) -> tuple[str, int] | None:
    """When a record really happened: (EDTF, offset), by the newest redating that stands, if any."""
    found: tuple[tuple[int, str, int], str, int] | None = None
    for entry in book.naming(record):
        by = entry.record
        body = by.body
        if not isinstance(body, Redated) or body.at is None or not book.stands(by.name):
            continue
        key = (by.stamp.ms << 16 | by.stamp.counter, by.device, by.seq)
        if found is None or key > found[0]:
            found = (key, body.at, by.offset if body.offset is None else body.offset)
    return None if found is None else found[1:]


def without_clock(at: str, offset: int) -> str:
    """An EDTF text with its clock times left off: the calendar dates where it was written."""
    return "/".join(_date(part, offset) for part in at.split("/"))


def _date(part: str, offset: int) -> str:
    date, clock, rest = part.partition("T")
    if not clock:
        return part
    sure = rest[-1] if rest[-1:] in ("~", "?", "%") else ""
    if rest.rstrip("~?%").endswith("Z") and offset:
        start, _ = span(part.rstrip("~?%"), offset)
        if start is not None:
            return date_of(start, offset) + sure
    return date + sure


def last_seen(lot: Lot, store: str) -> int | None:
    """When somebody last saw or handled food of the lot in the store or a part of it, Unix ms.

    A count that saw none, a hold and a record of what is missing are no sight of it. None: never,
    as far as is known.
    """
    for line in reversed(lot.lines):
        if any(_sees(line, posting, store) for posting in line.postings):
            return line.place
    return None


def _sees(line: Line, posting: Posting, store: str) -> bool:
    body = line.record.body
    if posting.term == "seen":
        some = posting.n > 0 or posting.high > posting.low
        around = within(store, posting.store) and not posting.part
        return some and (around or within(posting.store, store))
    if posting.term == "moved" and posting.to and within(posting.to, store):
        return True
    if isinstance(body, Counted | Checked | StoreCounted) or posting.term not in SEEN_IN:
        return False
    if isinstance(body, Spoiled) and body.cause == "not found":
        return False
    return within(posting.store, store)


# -- which -----------------------------------------------------------------------------------------


def whole_count_after(lots: Iterable[Lot], store: str, place: int) -> bool:
    """Whether one of the lots was counted whole in the store, or in one around it, after `place`."""
    for lot in lots:
        for line in lot.lines:
            body = line.record.body
            if (
                line.place > place
                and isinstance(body, Counted)
                and not body.part
                and within(store, body.store)
            ):
                return True
    return False
