"""What is different since the last digest: what it said wrongly, what is over, what still stands.

Pure: the last digest's own account of what it said (`Said`) is laid beside the book of today. What
was said once is not said again as news: it goes into one short list, until it is over, and that is
said once too. Limits: an amount is corrected in the week after it was said, and not in a later one.
"""

import re
from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from events.book import Book
from events.kinds import PutUp, Received
from service.digests.digest import Item, Section
from service.digests.figures import set_off, told, why_lost
from service.digests.unsettled import WHAT_TO_DO
from service.digests.words import of_food

CHANGED = "Changed since the last digest"
STANDING = "Still standing"

EVERY_WEEK = frozenset({"Use first"})
"""What is to be used first is said as long as it is so: the list is cooked from."""

SHORT = {
    "Go and look": "to look at",
    "Dig and carry": "to carry",
    "Get": "to get",
    "What does not add up": "does not add up",
}
"""How the short list calls what stands under a heading."""

MOST = 6
"""Things named in a line."""


class Figure(Struct, frozen=True, kw_only=True):
    """So much of a food came to something in a digest's week, in grains of `unit`."""

    what: str
    food: str
    unit: str
    detail: str
    n: int
    low: int
    high: int

    @property
    def about(self) -> tuple[str, str, str, str]:
        return self.what, self.food, self.unit, self.detail

    def shown(self) -> str:
        much = of_food(self.n, self.low, self.high, self.unit, self.food)
        return f"{much}{self.detail}"


class Said(Struct, frozen=True, kw_only=True):
    """What a digest said, for the next one to go by."""

    start: int
    end: int
    """the days that its figures are of, Unix milliseconds: after `start`, at the latest `end`"""
    figures: tuple[Figure, ...]
    told: dict[str, str]
    """what was told or stood, by its key, and in a word or two"""


def figures_of(book: Book, start: int, end: int) -> dict[tuple[str, str, str, str], Figure]:
    """What the week came to, by what, food, unit and detail, as the figures tell it."""
    sums: dict[tuple[str, str, str, str], Figure] = {}

    def add(figure: Figure) -> None:
        was = sums.get(figure.about)
        if was is not None:
            figure = replace(
                figure,
                n=was.n + figure.n,
                low=was.low + figure.low,
                high=was.high + figure.high,
            )
        sums[figure.about] = figure

    for one in told(book, start, end):
        posting, body, detail = one.posting, one.line.record.body, ""
        match posting.term:
            case "consumed":
                what = "eaten"
            case "in" if isinstance(body, PutUp):
                what = "put up"
            case "in" if isinstance(body, Received):
                what = "brought in"
            case "spoiled":
                what, detail = "lost", why_lost(body)
            case "given" | "planted":
                what = posting.term
            case _:
                continue
        add(Figure(what=what, food=one.lot.food, unit=one.lot.unit, detail=detail,
                   n=posting.n, low=posting.low, high=posting.high))  # fmt: skip
    for what, amounts in zip(("found", "counts miss"), set_off(book, start, end), strict=True):
        for about, n in amounts.items():
            where = f" in {about.place}" if about.place else ""
            add(Figure(what=what, food=about.food, unit=about.unit, detail=where,
                       n=n, low=n, high=n))  # fmt: skip
    return {about: figure for about, figure in sums.items() if figure.n or figure.high}


def said(book: Book, start: int, end: int, sections: Sequence[Section]) -> Said:
    """What a digest of those days, with those sections, says."""
    return Said(
        start=start,
        end=end,
        figures=tuple(figures_of(book, start, end).values()),
        told={
            key_of(section, item): item.short or short_of(item)
            for section in sections
            if section.heading in SHORT
            for item in section.items
            if not item.quiet
        },
    )


def key_of(section: Section, item: Item) -> str:
    """What an item is about: its key, else its words without amounts and days."""
    if item.key:
        return item.key
    words = re.sub(r"[^a-z]+", " ", item.text.casefold())
    return f"{section.heading}|{item.lot}|{words}"


def short_of(item: Item) -> str:
    """Its first words: what is there and where, without what is to be done."""
    due = " (due)" if item.text.startswith("due: ") else ""
    return f"{item.text.removeprefix('due: ').partition(': ')[0]}{due}"


def corrected(book: Book, last: Said) -> list[Item]:
    """Figures of the last digest that records heard since then have changed."""
    now = figures_of(book, last.start, last.end)
    was = {figure.about: figure for figure in last.figures}
    items: list[Item] = []
    late: dict[str, list[str]] = {}
    for about in sorted(now.keys() | was.keys()):
        before, after = was.get(about), now.get(about)
        if before is None and after is not None:
            late.setdefault(after.what, []).append(after.shown())
        elif before is not None and before != after:
            to = f"it is {after.shown()}" if after is not None else "it is none"
            items.append(_corrected(f": {before.what} {before.shown()} was said, {to}", about))
    for what, shown in late.items():
        items.append(_corrected(f", heard late: {what} {_named(shown, ', ')}", (what,)))
    return items


def _corrected(text: str, about: Sequence[str]) -> Item:
    return Item(
        text=f"corrected{text}",
        more="of the days up to the last digest; heard or mended since",
        key=f"corrected|{'|'.join(about)}",
    )


def over(last: Said, sections: Sequence[Section]) -> list[Item]:
    """What the last digest told and is no longer so."""
    now = {key_of(section, item) for section in sections for item in section.items}
    gone: dict[str, list[str]] = {}
    for key, short in last.told.items():
        if key not in now:
            gone.setdefault(key.partition("|")[0], []).append(short)
    words = {"low": "no longer low", "concern": "settled or accounted for"}
    return [
        Item(text=f"{words[kind]}: {_named(sorted(gone[kind]))}", key=f"over|{kind}")
        for kind in ("low", "concern")
        if kind in gone
    ]


def parted(sections: Sequence[Section], told: Mapping[str, str]) -> list[Section]:
    """The sections with what is news alone, and a short list of what was told before and stands."""
    news: list[Section] = []
    standing: list[Item] = []
    for section in sections:
        if section.heading not in SHORT:
            news.append(section)
            continue
        old = [item for item in section.items if item.quiet or key_of(section, item) in told]
        fresh = tuple(replace(item, before=False) for item in section.items if item not in old)
        if fresh:
            news.append(replace(section, items=fresh))
        if old:
            standing.append(_line(section, old, alone=not fresh))
    if standing:
        news.append(Section(heading=STANDING, items=tuple(standing), least=len(standing)))
    return news


def _line(section: Section, old: Iterable[Item], *, alone: bool) -> Item:
    """`alone`: nothing of it is news, so what the section itself says is not said above."""
    shorts = list(dict.fromkeys(_standing(item) for item in old))
    more = f"; {WHAT_TO_DO}" if alone and section.rest == WHAT_TO_DO else ""
    return Item(text=f"{SHORT[section.heading]}: {_named(shorts)}{more}")


def _standing(item: Item) -> str:
    short = item.short or short_of(item)
    return f"{short} ({item.text.rpartition(': ')[2]})" if item.quiet else short


def _named(shorts: Sequence[str], between: str = "; ") -> str:
    left = len(shorts) - MOST
    return between.join(shorts[:MOST]) + (f" and {left} more" if left > 0 else "")
