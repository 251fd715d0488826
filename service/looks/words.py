"""A few words that every look says alike."""

from collections.abc import Iterable

from events.kinds import Amount, Package
from events.lots.state import UNBOUNDED
from events.readings.lots import measure, shown


def listed(things: Iterable[str], last: str = "and") -> str:
    """One sentence part of many things: a, b and c."""
    said = list(things)
    if len(said) < 2:
        return "".join(said)
    return f"{', '.join(said[:-1])} {last} {said[-1]}"


def said_amount(amount: Amount, package: Package | None = None) -> str:
    """An amount of a record: as typed where it has no number; with what one package holds."""
    if amount.n is None:
        return amount.said or "some"
    low, high = amount.n, amount.n
    if amount.low is not None:
        low, high = amount.low, UNBOUNDED if amount.high is None else amount.high
    text = shown(measure(amount.unit, amount.n, low, high))
    if package is not None and package.content is not None:
        text += f" ({package.content} {package.content_unit} each)"
    return text
