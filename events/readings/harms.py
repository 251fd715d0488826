"""What a store's air does to a food beside using its life: frost, chilling, sprouting, dryness.

Words and never dates: how much sooner is published for none of them. Each says the temperature and
whose limit it passes; a limit from memory is said to be common knowledge. Jars that may have frozen
are to be looked at, by the usual caution; nothing here finds food sound.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from events.keeping.curve import Curve
from events.keeping.life import Life, Lives, Question
from events.keeping.profile import Milli
from events.tables import Keeping
from events.tables.storing import Harm, Limit

FREEZES = 0
"""Thousandths of a degree Celsius at which food without a printed limit is said to freeze."""

JARS = frozenset({"home-canned", "commercially-canned", "jam"})
MOST_DAYS = 3 * 366


class Air(Struct, frozen=True):
    """A store's air over some days: coldest, mean and warmest day, and the humidity read last.

    Thousandths of a degree Celsius and per mille; None: not known.
    """

    coldest: Milli | None
    mean: Milli | None
    warmest: Milli | None
    permille: int | None = None


def air_of(curve: Curve, first: int, last: int, permille: int | None = None) -> Air:
    """The air of the days from `first` to `last` (since 1970), three years at most."""
    count = max(1, min(last - first + 1, MOST_DAYS))
    found = [milli for milli in curve.days(first, count) if milli is not None]
    if not found:
        return Air(None, None, None, permille)
    return Air(min(found), round(sum(found) / len(found)), max(found), permille)


def harms(lives: Lives, question: Question, row: Keeping | None, air: Air) -> list[str]:
    """What that air does to the food, a sentence part each, frost first."""
    said = frost(lives, question, air)
    if lives.form(question) == "fresh":
        if air.coldest is not None and not _freezes(lives, question, air.coldest):
            said += _chills(lives, question, air.coldest)
        if air.mean is not None:
            said += _sprouts(lives, question, air.mean)
    if row is not None and air.permille is not None:
        said += _damp(row, air.permille)
    return said


def frost(lives: Lives, question: Question, air: Air) -> list[str]:
    """Fresh food and jars that freeze, frozen food that thaws: what no date says."""
    form = lives.form(question)
    if form == "frozen" and air.warmest is not None and air.warmest > FREEZES:
        return [f"up to {degrees(air.warmest)}: frozen food thaws; no date counts then"]
    if air.coldest is None:
        return []
    if form == "fresh" and (frozen := _freezes(lives, question, air.coldest)):
        by = _by(lives, frozen)
        return [f"down to {degrees(air.coldest)}: freezes at {degrees(frozen.milli)} ({by})"]
    if air.coldest >= FREEZES:
        return []
    if form == "fresh" and not _limits(lives, question, "freezing"):
        return [f"down to {degrees(air.coldest)}: may freeze (no limit of its own was read)"]
    if form in JARS:
        return [
            f"down to {degrees(air.coldest)}: jars may freeze; look at the seals after it thaws"
        ]
    return []


def _freezes(lives: Lives, question: Question, coldest: Milli) -> Limit | None:
    return _worst(lives, question, "freezing", coldest)


def _chills(lives: Lives, question: Question, coldest: Milli) -> Iterator[str]:
    chilled = _worst(lives, question, "chilling", coldest)
    if chilled is not None:
        yield (
            f"down to {degrees(coldest)}: chilled below {degrees(chilled.milli)},"
            f" so it keeps less ({_by(lives, chilled)})"
        )


def _sprouts(lives: Lives, question: Question, mean: Milli) -> Iterator[str]:
    passed = [limit for limit in _limits(lives, question, "sprouting") if mean > limit.milli]
    if passed:
        limit = max(passed, key=lambda one: one.milli)
        yield f"about {degrees(mean)}: sprouts above {degrees(limit.milli)} ({_by(lives, limit)})"


def _damp(row: Keeping, permille: int) -> Iterator[str]:
    low, high = row.rh_low_pct, row.rh_high_pct
    if low is None and high is None:
        return
    printed = f"{low}-{high}" if low != high else f"{low}"
    if low is not None and permille < low * 10:
        yield f"read {percent(permille)} there: drier than the {printed} % printed, it shrivels"
    elif high is not None and permille > high * 10:
        yield f"read {percent(permille)} there: damper than the {printed} % printed"


def _limits(lives: Lives, question: Question, harm: Harm) -> list[Limit]:
    named = lives.named(question.names)
    foods: Sequence[str] = () if named is None else (*named.foods, *named.groups)
    table = lives.tables.limits
    return [limit for food in foods for limit in table.get(food, ()) if limit.harm == harm]


def _worst(lives: Lives, question: Question, harm: Harm, coldest: Milli) -> Limit | None:
    """The limit that is passed first."""
    passed = [limit for limit in _limits(lives, question, harm) if coldest < limit.milli]
    return max(passed, key=lambda one: one.milli, default=None)


def _by(lives: Lives, limit: Limit) -> str:
    source = lives.tables.sources[limit.source_id]
    if source.read_as == "memory":
        return "common knowledge, no source read"
    return source.publisher.partition(" (")[0]


def row_of(answer: object) -> Keeping | None:
    """The row that an answer rests on."""
    return answer.row if isinstance(answer, Life) else None


def degrees(milli: Milli) -> str:
    """A temperature, "4 C (39 F)"."""
    return f"{_whole(milli, 1000)} C ({_whole(9 * milli + 160_000, 5000)} F)"


def _whole(n: int, by: int) -> int:
    return (2 * n + by) // (2 * by)


def percent(permille: int) -> str:
    whole, part = divmod(permille, 10)
    return f"{whole}.{part} %" if part else f"{whole} %"
