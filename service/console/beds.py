"""Beds as they are typed: a piece of a row as so much of the crop, and what is said of the soil.

"10 ft" of carrots that came in as "about 40 lb" beside "40 ft" is so much of that estimate, and
stays one; the length is kept beside it. Nothing is made up where no length was said.
"""

from fractions import Fraction

from events.kinds import GRAIN, Amount, Received
from events.lots.state import Lot
from events.projections.settings import Facts
from events.quantity import NotUnderstood, Said, convert, grains, show_amount
from events.readings.bed_rows import ONE_DIGGING, ROWS
from service.errors import WrongUse


def by_length(lot: Lot, said: Said) -> Amount | None:
    """So much of a row as an estimate of the lot; None where it is no length, or none was said."""
    body = lot.maker.body if lot.maker else None
    if (
        said.unit not in ROWS
        or said.unit == lot.unit
        or not said.n
        or not isinstance(body, Received)
    ):
        return None
    whole = body.amount
    if whole.n is None or not whole.beside_n or whole.beside_unit not in ROWS:
        return None
    length = convert(said.n, said.unit, whole.beside_unit)
    if length is None:
        return None
    share = length * GRAIN / whole.beside_n
    n, low, high = Fraction(whole.n, GRAIN), whole.low, whole.high
    ends = (
        (n * (1 - ONE_DIGGING), n * (1 + ONE_DIGGING))
        if low is None
        else (Fraction(low, GRAIN), None if high is None else Fraction(high, GRAIN))
    )
    most = None if ends[1] is None else ends[1] * share
    try:
        return Amount(
            unit=lot.unit,
            n=grains(n * share),
            low=grains(ends[0] * share),
            high=None if most is None else grains(most),
            said=said.text,
            said_unit=said.unit,
            basis=_basis(whole),
            beside_n=grains(length),
            beside_unit=whole.beside_unit,
        )
    except ValueError as error:
        raise WrongUse(str(error)) from error


def _basis(whole: Amount) -> str:
    rows = show_amount(whole.beside_n or 0, whole.beside_unit or "")
    return f"{rows} = {show_amount(whole.n or 0, whole.unit, whole.low, whole.high)}"


def check_soil(facts: Facts) -> None:
    """What is said of a bed's soil, and when it is closed, is understood before it is set."""
    from events.readings.soils import FACTS, closed_on, understood
    from events.tables.beds import beds

    try:
        if any(facts.get(fact) for fact in FACTS):
            understood(facts.get, beds())
        for fact in ("closed_from", "closed_to"):
            if facts.get(fact):
                closed_on(facts[fact], 2000)
    except NotUnderstood as error:
        raise WrongUse(str(error)) from error
