"""Why a food stands where it does in the order of use: what was printed, who says it, who differs.

Sentences for a person who wants the source at hand. Nothing is worked out here that the order did
not rest on; rows read second-hand are told as such and never as published.
"""

from fractions import Fraction

from events.keeping.life import Life
from events.keeping.rates import WHOLE, End
from events.readings.harms import Air, air_of, degrees, frost, harms, row_of
from events.readings.lived import Stay
from events.readings.rotation import DAY, Use
from events.readings.stamped import means
from events.tables import Keeping, Source, Tables

ENDS: tuple[End, End] = ("high", "low")
LITTLE = 5
"""Per cent of a life; what was used elsewhere is said in short only where it is as much."""


def short(use: Use) -> str:
    """The reason in a few words, with its source's name."""
    if use.by_maker and use.maker is not None:
        return means(use.maker)
    answer = use.life
    if not isinstance(answer, Life):
        return f"{answer.reason}: by age" if use.group == "by age" else answer.reason
    derived = ("low end derived",) if answer.derived else ()
    before = tuple(clause for clause in (used_before(use),) if clause)
    warmth = any(answer.row.temp_as_printed in clause for clause in answer.said)
    life = answer.row.life_as_printed if warmth else printed(answer.row)
    clauses = (life, *derived, *answer.said, *before)
    return f"{', '.join(clauses)} ({publisher(answer.source)})"


def reasons(use: Use, tables: Tables) -> list[str]:
    """All that the place of a food in the order rests on, a sentence each."""
    said: list[str] = []
    if use.maker is not None:
        opened = "" if use.opened is None else " It was printed for a closed package."
        said.append(f"{_full(means(use.maker))}{opened}")
    answer = use.life
    if not isinstance(answer, Life):
        if not use.by_maker:
            said.append(_full(answer.reason))
        said += [_second_hand(row, tables) for row in answer.second_hand]
        return said
    beside = "Published beside it: " if use.by_maker else ""
    said.append(f"{beside}{_row(answer.row, answer.source)}.")
    if answer.derived:
        said.append(
            "Its low end is not printed: it is the high one cut as such ranges usually are."
        )
    if not use.by_maker and use.likely_ms not in (None, use.from_ms):
        said.append("Likely is the middle of its range: none is published.")
    said += [_full(clause) for clause in answer.said]
    if use.packed_from:
        said.append("Packed anew: it keeps the age of the food that it came from.")
    said += [*lived(use), *done_there(use), *cured(use)]
    if answer.assumed and use.milli is None:
        said.append(f"Assumed by the kind of store: {answer.assumed}.")
    for row in answer.fitting:
        if row != answer.row:
            said.append(f"Elsewhere: {_row(row, tables.sources[row.source_id])}.")
    return said


def used_before(use: Use) -> str:
    """In a few words, what it used of its life elsewhere, where that is more than a little."""
    if use.by_maker or len(use.path.stays) < 2:
        return ""
    since = use.path.stays[-1].since
    least, most = (_percent(use.path.used(end, since)) for end in ENDS)
    return f"{_span(least, most)} used before it stood here" if most >= LITTLE else ""


def lived(use: Use) -> list[str]:
    """Where it lived since its keeping started, and what it used there of its life, a sentence each."""
    said: list[str] = []
    gone = [(0, 0)]
    for stay in use.path.stays[:-1]:
        until = max(stay.until or 0, use.path.earliest, use.path.latest)
        gone.append((use.path.used("high", until), use.path.used("low", until)))
        (least, most), (least_before, most_before) = gone[-1], gone[-2]
        days = (max(0, until - max(stay.since, use.path.earliest)) + DAY // 2) // DAY
        if most > most_before and stay.exposure is not None:
            share = _span(_percent(least - least_before), _percent(most - most_before))
            where = stay.store or "the household"
            said.append(
                f"{days} days in {where} before{_at(stay)}: {share} of its life used there."
            )
    if use.milli is not None:
        said.append(f"About {degrees(use.milli)} where it stands, {_rests(use.path.stays[-1])}.")
    return said


def done_there(use: Use) -> list[str]:
    """Frost, chilling, sprouting and thaw where it stands, from when it came there to its *to*; damp."""
    last, air = use.path.stays[-1], _air(use)
    if last.exposure is None or air is None:
        return []
    rates = last.exposure.rates
    row = row_of(use.life)
    return [_full(one) for one in harms(rates.lives, rates.question, row, air)]


def frozen_there(use: Use) -> list[str]:
    """Of that what is about frost and thaw alone, in a few words."""
    last, air = use.path.stays[-1], _air(use)
    if last.exposure is None or air is None:
        return []
    rates = last.exposure.rates
    return frost(rates.lives, rates.question, air)


def _air(use: Use) -> Air | None:
    last = use.path.stays[-1]
    if last.exposure is None or not (last.exposure.curve.known or last.exposure.curve.humid):
        return None
    first, ends = max(last.since, use.path.earliest), use.to_ms or use.from_ms
    humid = last.exposure.curve.humid
    permille = humid[1] if humid is not None and humid[0] >= first else None
    return air_of(last.exposure.curve, first // DAY, (ends or first) // DAY, permille)


def cured(use: Use) -> list[str]:
    """How a crop that is cured before it is stored is cured, by the first source that says so."""
    last = use.path.stays[-1].exposure
    named = None if last is None else last.rates.lives.named(last.rates.question.names)
    if last is None or named is None or last.rates.lives.form(last.rates.question) != "fresh":
        return []
    tables = last.rates.lives.tables
    rows = [row for food in named.foods for row in tables.curing.get(food, ())]
    if "acorn" in {named.variety, use.variety.casefold()}:  # Iowa State: acorn types are not cured
        return []
    for row in rows:
        if row.days_low and row.low_milli is not None:
            days = _span_of(row.days_low, row.days_high)
            warm = degrees(row.low_milli)
            by = publisher(tables.sources[row.source_id])
            return [(f"Cured before it is stored, {days} days at {warm} or so ({by});"
                    " keeping starts with its end where that is said.")]  # fmt: skip
    return []


def _span_of(low: Fraction, high: Fraction | None) -> str:
    least, most = round(low), None if high is None else round(high)
    if most is None:
        return f"{least} or more"
    return f"{least}" if least == most else f"{least}-{most}"


def _at(stay: Stay) -> str:
    assert stay.exposure is not None
    found = air_of(stay.exposure.curve, stay.since // DAY, (stay.until or stay.since) // DAY)
    if found.mean is not None:
        return f" at about {degrees(found.mean)}, {_rests(stay)}"
    answer = stay.exposure.rates.assumed
    return f" (assumed {answer.assumed})" if isinstance(answer, Life) and answer.assumed else ""


def _rests(stay: Stay) -> str:
    curve = None if stay.exposure is None else stay.exposure.curve
    if curve is None or not curve.seen:
        return "as stated"
    if curve.stated:
        return "as stated and read there"
    return "as read there" if curve.cycle is None else "as mostly read there"


def _percent(parts: int) -> int:
    return round(100 * parts / WHOLE)


def _span(least: int, most: int) -> str:
    return f"{most} %" if least == most else f"{least}-{most} %"


def printed(row: Keeping) -> str:
    """What the row prints, with the temperature that it prints it for."""
    if not _degrees(row):
        return row.life_as_printed
    joint = " " if row.temp_as_printed.startswith(("at ", "above ", "below ")) else " at "
    return f"{row.life_as_printed}{joint}{row.temp_as_printed}"


def publisher(source: Source) -> str:
    return source.publisher.partition(" (")[0]


def _degrees(row: Keeping) -> bool:
    return any(sign.isdigit() for sign in row.temp_as_printed)


def _row(row: Keeping, source: Source) -> str:
    """A row with its source, by the id that the household can choose it by."""
    food = "any food" if row.food == "any" else row.food.replace("-", " ")
    what = " ".join(word for word in (row.variety, food) if word)
    form = row.form
    for acid in ("-low-acid", "-high-acid"):
        form = form.replace(acid, f", {acid[1:]}")
    how = f", {row.packaging}" if row.packaging not in {"", row.temp_as_printed} else ""
    where = "" if _degrees(row) or not row.temp_as_printed else f", {row.temp_as_printed}"
    when = f", {source.year}" if source.year else ""
    return (
        f"{what}, {form}{how}{where}: {printed(row)}. {source.title}, {publisher(source)}{when}"
        f" [{source.source_id}]"
    )


def _second_hand(row: Keeping, tables: Tables) -> str:
    source = tables.sources[row.source_id]
    how = "from memory" if source.read_as == "memory" else f"quoted second-hand from {source.title}"
    return f"Not gone by, {how}: {printed(row)} [{source.source_id}]."


def _full(text: str) -> str:
    """A clause as a sentence; what has its full stop gets no second one."""
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."
