"""A digest as plain text for a console or a mail: 72 columns, about thirty lines.

What has no room is counted, but the least that a section must show, and cautions, always have room:
a rough week is a little longer. Nothing is worked out here.
"""

from collections.abc import Sequence
from textwrap import wrap

from service.digests.digest import Digest, Item, Section

WIDTH = 72
LINES = 30
MOST = 6
"""Items of a section at first; the longest sections give some up until the whole fits."""


def text(digest: Digest, width: int = WIDTH, lines: int = LINES) -> str:
    """The digest in `width` columns, ending with a line feed."""
    if not digest.sections:
        return _joined([digest.title], [digest.quiet], [digest.closing], width=width)
    shown = [min(max(MOST, section.least), len(section.items)) for section in digest.sections]
    cautions = _cautions(digest, width)
    while len(_laid(digest, shown, width, cautions)) > lines:
        longest = _longest(digest, shown, width)
        if longest is None:
            break
        shown[longest] -= 1
    laid = _laid(digest, shown, width, cautions)
    return "\n".join(laid) + "\n"


def _longest(digest: Digest, shown: Sequence[int], width: int) -> int | None:
    """The section that takes most lines, of those that may still give one up."""
    return max(
        (n for n, most in enumerate(shown) if most > digest.sections[n].least),
        key=lambda n: len(_section(digest.sections[n], shown[n], width)),
        default=None,
    )


def _joined(*parts: Sequence[str], width: int) -> str:
    return "\n".join(line for part in parts for said in part for line in wrap(said, width)) + "\n"


def _cautions(digest: Digest, width: int) -> list[str]:
    briefs = [caution.brief for caution in digest.cautions if caution.brief]
    if not briefs:
        return []
    lines = ["", "Take care"]
    for brief in briefs:
        lines += _hung(brief, width, "  ")
    return lines


def _laid(digest: Digest, shown: Sequence[int], width: int, cautions: Sequence[str]) -> list[str]:
    lines = wrap(digest.title, width)
    for section, most in zip(digest.sections, shown, strict=True):
        lines += ["", *_section(section, most, width)]
    return [*lines, *cautions, "", *wrap(digest.closing, width)]


def _section(section: Section, most: int, width: int) -> list[str]:
    lines = [section.heading]
    for item in section.items[:most]:
        lines += _item(item, width)
    left = len(section.items) - most
    rest = [f"and {left} more"] if left > 0 else []
    if section.rest:
        rest.append(section.rest)
    return lines + (_hung("; ".join(rest), width, "  ") if rest else [])


def _item(item: Item, width: int) -> list[str]:
    lines = _hung(item.text, width, "  ")
    return lines + (_hung(item.why, width, "    ") if item.why else [])


def _hung(said: str, width: int, indent: str) -> list[str]:
    return wrap(
        said,
        width,
        initial_indent=indent,
        subsequent_indent=f"{indent}  ",
        break_on_hyphens=False,
        break_long_words=False,
    )
