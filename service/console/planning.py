"""The look that orders food by what is to be used first.

They read and write nothing. The order is worked out in `events/readings`; here it is laid out, for
people or as JSON. How much of its life a food has used is a line of signs with the days beside it
in words: no colour says anything here.
"""

from argparse import Namespace
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from events import edtf
from events.keeping.life import Life
from events.lots.places import within
from events.readings.lots import amount_json, codes_of, measure
from events.readings.used import Shares, line, used
from service.console import names
from service.console.commands import Commands, look
from service.console.desk import desk
from service.console.words import bold, listed, print_json, width, wrap

if TYPE_CHECKING:
    from events.book import Book
    from events.readings.rotation import Use
    from events.tables import Tables
    from service.digests.words import Calendar

HEADS = {
    "open": "Open: longest open first",
    "dated": "By what keeps least",
    "by age": "No published life: by age",
    "in the ground": "Still in the ground",
}
LINE = 24
"""Signs in the line of a life."""
INDENT = "     "


def add(commands: Commands) -> None:
    parser = look(commands, "rotation", rotation, "what to use first, from when to when, and why")
    parser.add_argument(
        "--in", dest="store", metavar="STORE", help="in this store and its parts only"
    )
    parser.add_argument("--why", action="store_true", help="with every source, also who differs")


async def rotation(args: Namespace) -> int:
    from events import tables
    from events.readings import rotation as reading
    from service.digests.words import Calendar

    async with desk(args, writing=False) as at:
        book, known = at.look_at(), tables.load()
        now = at.moment()
        store = names.store(book, args.store)
        uses = [use for use in reading.use_first(book, known) if within(use.store, store)]
        page = Page(known, codes_of(book), Calendar(at.zone), now, why=args.why)
        offered = [use for use in uses if not use.lapsed(now)]
        past = [use for use in uses if use.lapsed(now)]
        apart = _apart(book, known, store)
        if args.json:
            print_json(
                {
                    "order": [page.as_json(use) for use in offered],
                    "past_use_by": [page.as_json(use) for use in past],
                    **apart,
                }
            )
            return 0
        if not uses and not any(apart.values()):
            print(wrap(f"Nothing is there to use{f' in {store}' if store else ''}."))
        for line in [*page.order(offered), *page.past(past), *_left_out(apart)]:
            print(line)
    return 0


class Page:
    """The order as it is laid out for one household on one day."""

    def __init__(
        self, tables: "Tables", codes: dict[str, str], calendar: "Calendar", now: int, *, why: bool
    ) -> None:
        self.tables = tables
        self.codes = codes
        self.calendar = calendar
        self.now = now
        self.why = why

    def order(self, uses: "Sequence[Use]") -> Iterator[str]:
        head = ""
        for number, use in enumerate(uses, 1):
            if head != HEADS[use.group]:
                head = HEADS[use.group]
                yield bold(wrap(head))
            yield from self._told(f"{number:>3}  ", use)
        if any(use.from_ms is not None for use in uses):
            yield wrap("In a line: = used, . left; f from, l likely, t to. About quality only.")

    def past(self, uses: "Sequence[Use]") -> Iterator[str]:
        if uses:
            yield bold(wrap("Past the maker's use-by: not offered, yours to decide"))
        for use in uses:
            yield from self._told("  -  ", use)

    def _told(self, first: str, use: "Use") -> Iterator[str]:
        from events.readings import reasons
        from service.digests.words import of_food

        much = of_food(use.n, use.low, use.high, use.unit, use.food, use.variety)
        where = f", {use.store}" if use.store else ""
        yield wrap(f"{self.codes.get(use.lot, use.lot)} {much}{where}", INDENT, first)
        share = used(use, self.now)
        if share is not None:
            drawn = line(use, self.now, max(10, min(LINE, width() - len(INDENT) - 3)))
            yield wrap(f"{drawn} {_shares(share)}", INDENT, INDENT)
        reason = "" if self.why else f"; {reasons.short(use)}"
        yield wrap(self._days(use) + reason, INDENT, INDENT)
        if self.why:
            for sentence in reasons.reasons(use, self.tables):
                yield wrap(sentence, INDENT + "  ", INDENT)

    def _days(self, use: "Use") -> str:
        """From, likely and to; else since when it has been open or there."""
        opened = "" if use.opened is None else f"open since {self.calendar.day(use.opened)}"
        low, likely, high = (edtf.show(day) if day else None for day in self._dates(use))
        if low is None:
            return opened or f"there since {edtf.show(self._since(use))}"
        days = f"from {low}, likely {likely}, to {high}"
        if high is None:
            days = f"from {low} or longer"
        elif low == high:
            days = f"to {high}"
        return f"{opened}; {days}" if opened else days

    def _since(self, use: "Use") -> str:
        return self.calendar.after(use.since, use.offset, 0).isoformat()

    def _dates(self, use: "Use") -> tuple[str | None, str | None, str | None]:
        from service.digests.words import ends

        if use.from_ms is None:
            return None, None, None
        low, high = ends(use, self.calendar)
        if high is None:
            return low.isoformat(), None, None
        return low.isoformat(), (low + (high - low) / 2).isoformat(), high.isoformat()

    def as_json(self, use: "Use") -> dict[str, object]:
        """A food in the order, as plain data: days as dates, shares in per cent."""
        from events.readings import reasons

        low, likely, high = self._dates(use)
        share = used(use, self.now)
        return {
            "lot": self.codes.get(use.lot, use.lot),
            "name": use.lot,
            "food": use.food,
            "variety": use.variety or None,
            "form": use.form or None,
            "store": use.store,
            "amount": amount_json(measure(use.unit, use.n, use.low, use.high)),
            "group": use.group,
            "opened": None if use.opened is None else self.calendar.on(use.opened).isoformat(),
            "since": self._since(use),
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


def _shares(share: Shares) -> str:
    if share.least is None:
        return f"up to {share.most} % used"
    same = share.least == share.most
    return f"{share.most} % used" if same else f"{share.least}-{share.most} % used"


# -- what is not in the order ------------------------------------------------------------------


def _apart(book: "Book", tables: "Tables", store: str) -> dict[str, list[dict[str, object]]]:
    """What is left out of the order, by why, as plain data."""
    from events.readings.rotation import undecided
    from events.readings.rows import parcels, to_json

    rows = [row for row in parcels(book) if within(row.store, store)]
    own = [row for row in rows if not row.owner and not row.in_doubt]
    codes = codes_of(book)
    return {
        "in_doubt": to_json([row for row in rows if row.in_doubt and not row.owner]),
        "undecided": [
            {
                "lot": codes.get(one.lot, one.lot),
                "food": one.food,
                "store": ", ".join(one.stores),
                "amount": amount_json(measure(one.unit, one.n, one.low, one.high)),
            }
            for one in undecided(book, tables)
            if any(within(place, store) for place in one.stores)
        ],
        "held": to_json([row for row in own if row.held]),
        "set_aside": to_json([row for row in own if row.set_aside and not row.held]),
        "others": to_json([row for row in rows if row.owner]),
    }


def _left_out(apart: dict[str, list[dict[str, object]]]) -> Iterator[str]:
    for key, head in (
        ("in_doubt", "In doubt: not in the order until somebody looks"),
        ("undecided", "Contents or making not known: not offered"),
    ):
        if apart[key]:
            yield bold(wrap(head))
        for one in apart[key]:
            where = f", {one['store']}" if one["store"] else ""
            yield wrap(f"{one['lot']} {one['food']}{where}", INDENT, "  -  ")
    kept = [f"{len(apart[key])} {word}" for key, word in
            (("held", "held"), ("set_aside", "set aside"), ("others", "of somebody else"))
            if apart[key]]  # fmt: skip
    if kept:
        yield wrap(f"Left out: {listed(kept)}; girnel on-hand shows them.")
