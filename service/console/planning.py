"""The look that orders food by what is to be used first.

They read and write nothing. The order is worked out in `events/readings`; here it is laid out, for
people or as JSON. How much of its life a food has used is a line of signs with the days beside it
in words: no colour says anything here.
"""

from argparse import Namespace
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from events import edtf
from events.readings.lots import codes_of, shown
from events.readings.used import Shares, line, used
from service.console import names
from service.console.commands import Commands, look
from service.console.desk import desk
from service.console.words import bold, listed, print_json, width, wrap

if TYPE_CHECKING:
    from events.readings.rotation import Use
    from events.readings.untouched import Untouched
    from service.looks.rotation import Said

HEADS = {
    "open": "Open: longest open first",
    "dug late": "Dug too late: use soon",
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
    from service.digests.words import Calendar
    from service.looks import rotation as looked

    async with desk(args, writing=False) as at:
        asked = at.asked()
        if args.json:
            print_json(looked.rotation(asked, args.store))
            return 0
        known, store = tables.load(), names.store(asked.book, args.store)
        found = looked.order(asked, known, store)
        said = looked.Said(known, codes_of(asked.book), Calendar(at.zone), asked.now, found)
        page = Page(said, why=args.why)
        if not found.offered and not found.past and not any(found.apart.values()):
            print(wrap(f"Nothing is there to use{f' in {store}' if store else ''}."))
        for line in [*page.order(found.offered), *page.past(found.past),
                     *page.untouched(found.untouched), *_left_out(found.apart)]:  # fmt: skip
            print(line)
    return 0


class Page:
    """The order as it is laid out for one household on one day."""

    def __init__(self, said: "Said", *, why: bool) -> None:
        self.said = said
        self.now = said.now
        self.why = why

    def order(self, uses: "Sequence[Use]") -> Iterator[str]:
        head = ""
        for number, use in enumerate(uses, 1):
            if head != HEADS[use.group]:
                head = HEADS[use.group]
                yield bold(wrap(head))
            yield from self._told(f"{number:>3}  ", use)
        if any(use.from_ms is not None for use in uses):
            yield wrap(
                "In a line: = used, . left; f from, l likely (the middle, where no likely is "
                "published), t to. About quality only."
            )

    def past(self, uses: "Sequence[Use]") -> Iterator[str]:
        if uses:
            yield bold(wrap("Past the maker's use-by: not offered, yours to decide"))
        for use in uses:
            yield from self._told("  -  ", use)

    def untouched(self, foods: "Sequence[Untouched]") -> Iterator[str]:
        """What nobody uses: in no order, and nothing is wrong with it."""
        if foods:
            yield bold(wrap("None used for a year: use it, give it, or make no more"))
        for one in foods:
            day, seen = edtf.show(one.since_on), edtf.show(one.seen_on)
            where = listed([store or "somewhere" for store in one.stores])
            codes = listed([self.said.codes.get(lot, lot) for lot in one.lots])
            said = f"{shown(one.amount)} {one.food} {codes}, {where}: none since {day}"
            yield wrap(f"{said}, seen {seen}" if seen != day else said, INDENT, "  -  ")

    def _told(self, first: str, use: "Use") -> Iterator[str]:
        from events.readings import reasons
        from service.digests.words import of_food

        much = of_food(use.n, use.low, use.high, use.unit, use.food, use.variety)
        where = f", {use.store}" if use.store else ""
        yield wrap(f"{self.said.codes.get(use.lot, use.lot)} {much}{where}", INDENT, first)
        share = used(use, self.now)
        if share is not None:
            drawn = line(use, self.now, max(10, min(LINE, width() - len(INDENT) - 3)))
            yield wrap(f"{drawn} {_shares(share)}", INDENT, INDENT)
        reason = "" if self.why else f"; {reasons.short(use)}"
        place = use.store, use.lot
        if place in self.said.shut:
            reason += f"; {self.said.shut[place].words}"
        yield wrap(self._days(use) + reason, INDENT, INDENT)
        if place in self.said.late:
            yield wrap(self.said.late[place], INDENT, INDENT)
        if not self.why:
            for harm in reasons.frozen_there(use):
                yield wrap(f"{harm[:1].upper()}{harm[1:]}", INDENT, INDENT)
        if self.why:
            for sentence in reasons.reasons(use, self.said.tables):
                yield wrap(sentence, INDENT + "  ", INDENT)

    def _days(self, use: "Use") -> str:
        """From, likely and to; else since when it has been open or there."""
        opened = "" if use.opened is None else f"open since {self.said.calendar.day(use.opened)}"
        low, likely, high = (edtf.show(day) if day else None for day in self.said.dates(use))
        if low is None:
            since = edtf.show(self.said.since(use))
            if use.packed_from:
                code = self.said.codes.get(use.packed_from, use.packed_from)
                return f"since {since}, packed anew from {code}"
            return opened or f"there since {since}"
        days = f"from {low}, likely {likely}, to {high}"
        if high is None:
            days = f"from {low} or longer"
        elif low == high:
            days = f"to {high}"
        return f"{opened}; {days}" if opened else days


def _shares(share: Shares) -> str:
    if share.least is None:
        return f"up to {share.most} % used"
    same = share.least == share.most
    return f"{share.most} % used" if same else f"{share.least}-{share.most} % used"


# -- what is not in the order ------------------------------------------------------------------


def _left_out(apart: dict[str, list[dict[str, object]]]) -> Iterator[str]:
    for key, head in (
        ("in_doubt", "In doubt: not in the order until somebody looks"),
        ("undecided", "Contents or making not known: not offered"),
        ("to_look_at", "A seal of its lot failed: not offered until each was looked at"),
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
