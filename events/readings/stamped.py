"""What a maker printed on a package, and what that comes to for the one who keeps it.

Best-by is about quality and is heeded as a date; a use-by is heeded as it says; packed-on is when
keeping starts; sell-by is for the shop and dates nothing here; a closed code is no date until
somebody says how to read it, nor is a print that can be read two ways. None of them makes food
safe, and none is about a package that was opened.
"""

from datetime import UTC, datetime
from typing import TypeAlias, get_args

from msgspec.structs import replace

from events.dates import Printed, printed
from events.edtf import span
from events.kinds import DateKind, Received
from events.lots.state import Lot

Span: TypeAlias = tuple[int, int | None]
"""(first, last moment), Unix milliseconds."""

HEEDED: tuple[DateKind, ...] = ("best by", "use by")


def maker_of(lot: Lot) -> Printed | None:
    """What stands on the lot's packages, and its date where it is one; None: nothing was noted.

    What somebody said of it later goes first, a kind that was said before one that is printed.
    """
    body = lot.maker.body if lot.maker else None
    received = body if isinstance(body, Received) else None
    raw = lot.facts.get("printed", (received.printed if received else None) or "")
    if not raw or lot.maker is None:
        return None
    came = datetime.fromtimestamp(lot.made_place / 1000, UTC).date()
    found = printed(raw, came)
    said = lot.facts.get("printed_kind", (received.printed_kind if received else None) or "")
    kind = next((known for known in get_args(DateKind) if known == said.casefold().strip()), None)
    if kind is None or kind == found.kind:
        return found
    if kind == "code":
        return Printed(raw, kind, None, f"“{raw}” is a maker's code: no date until it is read.")
    return replace(found, kind=kind)


def span_of(maker: Printed, lot: Lot) -> Span | None:
    """The days of a best-by or use-by; None where it is no date, or one of another kind."""
    if maker.at is None or maker.kind not in HEEDED or lot.maker is None:
        return None
    first, last = span(maker.at, lot.maker.offset)
    if last is None:
        return None
    return (last if first is None else first), last


def means(maker: Printed) -> str:
    """What a print comes to here, in a sentence part."""
    match maker.kind:
        case "best by":
            said = f"the maker's best-by, about quality ({maker.raw})"
        case "use by":
            said = f"the maker's use-by ({maker.raw}): not used after it"
        case "sell by":
            said = f"the maker's sell-by ({maker.raw}) is for the shop and dates nothing here"
        case "packed":
            said = f"packed when the maker says ({maker.raw})"
        case "code":
            return f"the maker's code {maker.raw} is no date until you say how to read it"
        case _:
            said = f"the maker's print ({maker.raw}) does not say what it is a date of"
    return f"{said}; {maker.question}" if maker.question else said
