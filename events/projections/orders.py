"""What was ordered, and what of it is still to come.

An order is answered by bringings-in that name it. What came is told against what was ordered where
both are in one unit; in other units whatever came answers all of it.
"""

from collections.abc import Iterable

from events.kinds import Amount, Received


def left(ordered: Amount, came: Iterable[Received]) -> Amount | None:
    """What is still to come, None where it is answered."""
    amounts = [body.amount for body in came]
    if not amounts:
        return ordered
    least = ordered.n if ordered.low is None else ordered.low
    if ordered.n is None or not least:
        return None
    if any(amount.n is None or amount.unit != ordered.unit for amount in amounts):
        return None
    here = sum(amount.n or 0 for amount in amounts)
    if here >= least:
        return None
    return Amount(unit=ordered.unit, n=ordered.n - here)
