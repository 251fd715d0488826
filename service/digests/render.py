"""A digest as plain text for a console or a mail: 72 columns, about thirty lines.

What has no room is counted, but the least that a section must show, and cautions, always have room:
a rough week goes without blank lines, then without published lives (the order of use has them) and
what was assumed for them, and is a little longer. Nothing is worked out here.
"""

from collections.abc import Sequence
from textwrap import wrap

from msgspec import Struct

from service.digests.digest import Digest, Item, Section

WIDTH = 72
LINES = 30
MOST = 6
"""Items of a section at first; the longest sections give some up until the whole fits."""


def text(digest: Digest, width: int = WIDTH, lines: int = LINES) -> str:
    """The digest in `width` columns, ending with a line feed."""
    if not digest.sections:
        return _joined([digest.title], [digest.quiet], [digest.closing], width=width)
    return "\n".join(_laid_out(digest, width, lines)[1]) + "\n"


class Layout(Struct, frozen=True):
    """What there is room for: blank lines between sections, and what may be left off."""

    blank: bool = True
    spare: bool = True


def shown_of(digest: Digest, width: int = WIDTH, lines: int = LINES) -> list[int]:
    """How many items of each section have room; the rest is counted."""
    return _laid_out(digest, width, lines)[0]


def _laid_out(digest: Digest, width: int, lines: int) -> tuple[list[int], list[str]]:
    """The roomiest layout that fits, else the tightest: items shown of each section, lines."""
    found: tuple[list[int], list[str]] = [], []
    for how in (Layout(), Layout(blank=False), Layout(blank=False, spare=False)):
        found = _fitted(digest, width, lines, how)
        if len(found[1]) <= lines:
            break
    return found


def _fitted(digest: Digest, width: int, lines: int, how: Layout) -> tuple[list[int], list[str]]:
    """As many items as there is room for, the longest sections giving some up first."""
    fresh = [sum(not item.before for item in section.items) for section in digest.sections]
    most = zip(digest.sections, fresh, strict=True)
    shown = [min(max(MOST, section.least), many) for section, many in most]
    while len(laid := _laid(digest, shown, width, how)) > lines:
        longest = _longest(digest, shown, width, how)
        if longest is None:
            break
        shown[longest] -= 1
    return shown, laid


def _longest(digest: Digest, shown: Sequence[int], width: int, how: Layout) -> int | None:
    """The section that takes most lines, of those that may still give one up."""
    return max(
        (n for n, most in enumerate(shown) if most > digest.sections[n].least),
        key=lambda n: len(_section(digest.sections[n], shown[n], width, how)),
        default=None,
    )


def _joined(*parts: Sequence[str], width: int) -> str:
    return "\n".join(line for part in parts for said in part for line in wrap(said, width)) + "\n"


def _cautions(digest: Digest, width: int) -> list[str]:
    briefs = [caution.brief for caution in digest.cautions if caution.brief]
    if not briefs:
        return []
    lines = ["Take care"]
    for brief in briefs:
        lines += _hung(brief, width, "  ")
    return lines


def _laid(digest: Digest, shown: Sequence[int], width: int, how: Layout) -> list[str]:
    parts = [wrap(digest.title, width)]
    for section, most in zip(digest.sections, shown, strict=True):
        parts.append(_section(section, most, width, how))
    parts += [_cautions(digest, width), wrap(digest.closing, width)]
    lines: list[str] = []
    for part in parts:
        lines += ["", *part] if how.blank and lines and part else part
    return lines


def _section(section: Section, most: int, width: int, how: Layout) -> list[str]:
    lines = [section.heading]
    fresh = [item for item in section.items if not item.before]
    for item in fresh[:most]:
        lines += _item(item, width, how)
    left = len(section.items) - min(most, len(fresh))
    counted = f"and {left} more" if fresh[:most] else f"{left} from earlier weeks"
    rest = [counted] if left > 0 else []
    rest += [said for said in (section.rest, section.assumed if how.spare else "") if said]
    return lines + (_hung("; ".join(rest), width, "  ") if rest else [])


def _item(item: Item, width: int, how: Layout) -> list[str]:
    """In one line where that is enough, else what it rests on in a second, in fewer words."""
    if not item.why or (item.spare and not how.spare):
        return _hung(item.text, width, "  ")
    for why in (item.why, item.brief or item.why):
        if len(whole := f"  {item.text}; {why}") <= width:
            return [whole]
    why = item.why if len(item.why) + 4 <= width or not item.brief else item.brief
    return [*_hung(item.text, width, "  "), *_hung(why, width, "    ")]


def _hung(said: str, width: int, indent: str) -> list[str]:
    return wrap(
        said,
        width,
        initial_indent=indent,
        subsequent_indent=f"{indent}  ",
        break_on_hyphens=False,
        break_long_words=False,
    )
