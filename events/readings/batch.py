"""How a lot was put up: the facts of its load, the lots that share it, and its seals as looked at.

The making says the facts; what was learnt of a lot later goes before that. Nothing is concluded
from them: whether a load was put up well enough is no question for a log.
"""

from datetime import tzinfo

from msgspec import Struct

from events.book import Book
from events.kinds import Cause, Checked, Package, PutUp, Repacked, Spoiled
from events.lots.state import Line, Lot
from events.readings.lineage import on_hand
from events.readings.lots import Measure, amount_json, code_of, measure, shown
from events.readings.words import happened

FACTS = ("method", "minutes", "pressure", "altitude", "recipe", "acid", "machine", "trays",
         "lid_box")  # fmt: skip
"""What a making may say of how it was done, in the order in which it is told."""

LEARNT = ("altitude", "acid")
"""Of those, what may be learnt later."""

NOT_SEALED, ALL_SEALED = "not sealed", "all sealed"
"""What a look at the seals found, as the deed writes it."""

SEAL_FAILED: Cause = "seal failed"
"""The cause of a jar that was thrown out for its seal."""


class Shares(Struct, frozen=True, kw_only=True):
    """A lot of the load: what it gave, and what is left of it."""

    lot: str
    """its short code"""
    name: str
    food: str
    variety: str
    package: Package | None
    made: Measure
    left: Measure


class Seals(Struct, frozen=True, kw_only=True):
    """One look at the seals of a lot, or one of its jars thrown out for its seal."""

    record: str
    at: str
    offset: int
    sealed: Measure | None
    """None: nobody said how many were looked at"""
    open: Measure | None
    """not sealed; None: none was"""
    later: bool
    """it was thrown out because its seal failed"""


class Batch(Struct, frozen=True, kw_only=True):
    """How a lot was put up."""

    record: str
    facts: dict[str, str]
    supplies: dict[str, str]
    lots: tuple[Shares, ...]
    """all that the load gave, the lot itself among them"""
    seals: tuple[Seals, ...]


def batch(book: Book, lot: Lot, codes: dict[str, str]) -> Batch | None:
    """How a lot was put up or packed anew; None for what came in as it is."""
    if lot.maker is None or not isinstance(lot.maker.body, PutUp | Repacked):
        return None
    body = lot.maker.body
    name = lot.maker.name
    found = (book.lot(f"{name}:{number}") for number in range(len(body.yields)))
    return Batch(
        record=name,
        facts=_facts(lot, body),
        supplies=dict((body.supplies or {}) if isinstance(body, PutUp) else {}),
        lots=tuple(_shares(one, codes) for one in found if one is not None),
        seals=tuple(seals for line in lot.lines if (seals := _seals(lot, line)) is not None),
    )


def _facts(lot: Lot, body: PutUp | Repacked) -> dict[str, str]:
    said = {fact: getattr(body, fact, None) for fact in FACTS}
    said |= {fact: lot.facts[fact] for fact in LEARNT if fact in lot.facts}
    return {fact: str(text) for fact, text in said.items() if text not in (None, "")}


def _shares(lot: Lot, codes: dict[str, str]) -> Shares:
    made = lot.totals.get("in", 0)
    return Shares(
        lot=code_of(lot.name, codes),
        name=lot.name,
        food=lot.food,
        variety=lot.variety,
        package=lot.identity.package if lot.identity else None,
        made=measure(lot.unit, made, made, made),
        left=on_hand(lot),
    )


def _seals(lot: Lot, line: Line) -> Seals | None:
    body, record = line.record.body, line.record
    found: tuple[Measure | None, Measure | None]
    if isinstance(body, Checked) and body.finding in (NOT_SEALED, ALL_SEALED):
        found = _looked_at(lot, body)
    elif isinstance(body, Spoiled) and body.cause == SEAL_FAILED:
        found = None, _gone(lot, line)
    else:
        return None
    return Seals(record=record.name, at=record.at, offset=record.offset, sealed=found[0],
                 open=found[1], later=isinstance(body, Spoiled))  # fmt: skip


def _looked_at(lot: Lot, look: Checked) -> tuple[Measure | None, Measure | None]:
    """(sealed, not sealed) as somebody saw them."""
    wrong = 0 if look.wrong is None else look.wrong.n
    seen = None if look.seen is None else look.seen.n
    if wrong is None:
        return None, Measure(lot.unit, 0, 0, None)
    sealed = None if seen is None else measure(lot.unit, *(seen - wrong,) * 3)
    return sealed, measure(lot.unit, wrong, wrong, wrong) if wrong else None


def _gone(lot: Lot, line: Line) -> Measure:
    went = [posting for posting in line.postings if posting.term == "spoiled"]
    n, low, high = (sum(getattr(one, end) for one in went) for end in ("n", "low", "high"))
    return measure(lot.unit, n, low, high)


# -- in words --------------------------------------------------------------------------------------


def sentences(found: Batch, lot: str, zone: tzinfo) -> list[str]:
    """How the lot of that code was put up, what shares its load, and its seals; a line each."""
    said = [f"{fact.replace('_', ' ')}: {text}" for fact, text in found.facts.items()]
    said += [f"with {amount} {supply}" for supply, amount in found.supplies.items()]
    lines = [f"How: {'; '.join(said)}"] if said else []
    others = [one for one in found.lots if one.lot != lot]
    if others:
        lines.append(f"Of the same load: {'; '.join(_told(one) for one in others)}")
    return lines + [_seals_told(one, zone) for one in found.seals]


def _told(one: Shares) -> str:
    package = one.package
    size = (
        f" ({package.content} {package.content_unit} each)" if package and package.content else ""
    )
    left = "none" if one.left.n == 0 and one.left.high == 0 else shown(one.left)
    return f"{one.lot} {one.food}, {shown(one.made)}{size}, {left} left"


def _seals_told(one: Seals, zone: tzinfo) -> str:
    when = happened(one.at, one.offset, zone)
    if one.later:
        return f"Seals: {when} {shown(one.open) if one.open else 'some'} thrown out, seal failed"
    sealed = "all sealed" if one.sealed is None else f"{shown(one.sealed)} sealed"
    if one.open is None:
        return f"Seals: looked at {when}: {sealed}"
    if one.sealed is None:
        return f"Seals: looked at {when}: {shown(one.open)} not sealed"
    return f"Seals: looked at {when}: {sealed}, {shown(one.open)} not"


# -- for programs ----------------------------------------------------------------------------------


def to_json(found: Batch) -> dict[str, object]:
    """How a lot was put up, as plain data."""
    return {
        "record": found.record,
        "facts": found.facts,
        "supplies": found.supplies,
        "lots": [
            {
                "lot": one.lot,
                "name": one.name,
                "food": one.food,
                "variety": one.variety or None,
                "holds": None if one.package is None or one.package.content is None else
                f"{one.package.content} {one.package.content_unit}",
                "made": amount_json(one.made),
                "left": amount_json(one.left),
            }
            for one in found.lots
        ],
        "seals": [
            {
                "record": one.record,
                "at": one.at,
                "sealed": None if one.sealed is None else amount_json(one.sealed),
                "not_sealed": None if one.open is None else amount_json(one.open),
                "thrown_out": one.later,
            }
            for one in found.seals
        ],
    }  # fmt: skip
