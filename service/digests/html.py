"""A digest as HTML for a mail: the same value that the text is laid out from.

It reads without tables and images, and where a mail program takes its styles away; up to 600 px wide,
on a phone too; dark where the reader's screen is. A bar is a few plain boxes with its meaning in
words beside it, so neither colour nor place alone says anything. Nothing is worked out here.
"""

from functools import cache
from importlib import resources
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from service.digests.digest import Bar, Digest, Section
from service.digests.render import shown_of

if TYPE_CHECKING:
    import jinja2

COLOURS = {
    "ground": ("#efece4", "#14161a"),
    "sheet": ("#fbfaf6", "#1d2025"),
    "text": ("#22231f", "#e6e3da"),
    "dim": ("#55564e", "#b3b0a6"),
    "fill": ("#4d5d6c", "#93a5b7"),
    "track": ("#e4e1d6", "#343941"),
}
"""Each colour by what it is for, on a light and on a dark screen."""

GROUNDS = frozenset({"ground", "sheet", "fill", "track"})


class Part(NamedTuple):
    """A piece of a bar: its width in per cent, whether that much is used, a tick at its end."""

    width: int
    used: bool
    tick: bool


class _Bar(NamedTuple):
    says: str
    parts: list[Part]


class _Item(NamedTuple):
    text: str
    why: str
    bar: _Bar | None


class _Section(NamedTuple):
    heading: str
    items: list[_Item]
    rest: str
    bars: bool


def page(digest: Digest, foot: tuple[str, ...] = ()) -> str:
    """The digest as one HTML page without anything from elsewhere. `foot`: lines under it."""
    return _template("digest.html.j2").render(
        digest=digest,
        sections=[_section(*one) for one in zip(digest.sections, shown_of(digest), strict=True)],
        cautions=[care.brief for care in digest.cautions if care.brief],
        foot=foot,
        colours=COLOURS,
        grounds=GROUNDS,
    )


def note(title: str, lines: tuple[str, ...], foot: tuple[str, ...] = ()) -> str:
    """A note of a few lines as HTML."""
    return _template("note.html.j2").render(title=title, lines=lines, foot=foot)


def _section(section: Section, most: int) -> _Section:
    """What the text shows of a section, and what it counts."""
    fresh = [item for item in section.items if not item.before]
    left = len(section.items) - min(most, len(fresh))
    counted = f"and {left} more" if fresh[:most] else f"{left} from earlier weeks"
    items = [
        _Item(item.text, item.why, _bar(item.bar) if item.bar else None) for item in fresh[:most]
    ]
    said = (counted if left > 0 else "", section.rest, section.assumed)
    rest = "; ".join(part for part in said if part)
    return _Section(section.heading, items, rest, any(item.bar for item in items))


def _bar(bar: Bar) -> _Bar:
    return _Bar(bar.says, parts(bar))


def parts(bar: Bar) -> list[Part]:
    """The boxes of a bar, left to right, a hundred per cent in all."""
    ticks = {bar.start, bar.likely} - {None, 100}
    ends = sorted({0, bar.used, 100, *(tick for tick in ticks if tick is not None)})
    return [Part(end - start, end <= bar.used, end in ticks) for start, end in pairwise(ends)]


@cache
def _template(name: str) -> "jinja2.Template":
    import jinja2  # a fifth of the start of whoever writes no mail that day

    text = (resources.files("service.digests") / "templates" / name).read_text(encoding="utf-8")
    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined)
    return environment.from_string(text)
