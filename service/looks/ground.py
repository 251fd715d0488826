"""What stands in the ground, as data.

The figures are worked out in `events/readings`. What becomes of a crop (loads a week) is said by
whoever asks, and only for that look.
"""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction

from msgspec import Struct

from events import tables
from events.kinds import GRAIN
from events.quantity import convert, decimal, grains
from events.readings.bed_rows import Rows
from events.readings.digging import Plan, plan
from events.readings.ground import Bed, InGround
from events.readings.ground import ground as reading
from events.readings.ground_ends import End, crops
from events.readings.ground_words import weeks_closed
from events.readings.lots import amount_json
from events.readings.seed import Seed, seed
from events.tables import Tables
from events.tables.beds import beds as tables_of_beds
from service.errors import WrongUse
from service.looks import days, finding
from service.looks.asked import Asked

PRACTICE = (
    "Common practice, no source read: potatoes left under straw are dug before the soil warms, "
    "about April in a cool place by the sea."
)


class Becoming(Struct, frozen=True, kw_only=True):
    """What a crop becomes: how much a load takes, and how many are put up in a week."""

    n: Fraction
    unit: str
    a_week: int


def today(asked: Asked) -> date:
    """The day that is looked at."""
    return asked.today or days.local(asked.now, asked.clock.offset(asked.now, asked.zone)).date()


def beds(asked: Asked, store: str | None = None, food: str | None = None) -> list[Bed]:
    """Every bed, or those in a store; with `food` as typed, only what of it stands there."""
    place = finding.store(asked.book, store)
    if place and asked.book.settings.kind_of(place) != "ground":
        inside = [name for name in asked.book.settings.stores
                  if name.startswith(f"{place}/") and asked.book.settings.kind_of(name) == "ground"]  # fmt: skip
        if not inside:
            raise WrongUse(
                f"{place} is no bed: girnel store set {place} kind=ground says that it is one."
            )
    found = reading(asked.book, tables.load(), today(asked), asked.tz, place)
    if food is None:
        return found
    meant = finding.one_food(asked.book, food)
    if meant is None:
        raise WrongUse(f'No food here is called "{food}".')
    kept = [_only(asked, bed, meant) for bed in found]
    return [bed for bed in kept if bed.lots]


def _only(asked: Asked, bed: Bed, food: str) -> Bed:
    from msgspec.structs import replace

    lots = (one for one in bed.lots if finding.same_food(asked.book, one.food, food))
    return replace(bed, lots=tuple(lots))


def ground(asked: Asked, store: str | None = None, food: str | None = None,
           becoming: Becoming | None = None) -> dict[str, object]:  # fmt: skip
    """What stands in every bed, and by when it has to be dug."""
    found = beds(asked, store, food)
    return {
        "on": today(asked).isoformat(),
        "beds": [_bed(bed, becoming, today(asked)) for bed in found],
        "seed": [_seed(one) for one in (seeds(asked, found) if not (store or food) else ())],
        "notes": notes(asked, found),
    }


def seeds(asked: Asked, found: Sequence[Bed]) -> list[Seed]:
    """Seed that is kept back, and from when it may be planted in these beds."""
    courses = [(bed.store, bed.on) for bed in found if bed.on is not None]
    return seed(asked.book, tables.load(), tables_of_beds(), today(asked), courses)


def _seed(one: Seed) -> dict[str, object]:
    return {
        "lot": one.lot,
        "name": one.name,
        "food": one.food,
        "store": one.store,
        "amount": amount_json(one.amount),
        "planting": [
            {"bed": p.bed, "from": p.first.isoformat(), "to": p.last and p.last.isoformat(),
             "celsius": p.celsius, "source": p.publisher}
            for p in one.planting
        ],
        "longer": [{"store": store, "times": round(times, 1)} for store, times in one.longer],
    }  # fmt: skip


def _bed(bed: Bed, becoming: Becoming | None, on: date) -> dict[str, object]:
    soil = bed.soil
    return {
        "store": bed.store,
        "diggable": bed.reach,
        "celsius": None if bed.celsius is None else
        dict(zip(("low", "likely", "high"), (round(c, 1) for c in bed.celsius), strict=True)),
        "soil": None if soil is None else
        {"site": soil.site or None, "depth_cm": round(soil.depth, 1), "mulch": soil.mulch or None,
         "mulch_by": soil.mulch_by or None, "sources": list(soil.sources)},
        "read": None if bed.read is None else
        {"on": bed.read[0].isoformat(), "celsius": bed.read[1]},
        "closed": [{"from": s.first.isoformat(), "to": s.last.isoformat(), "sure": s.sure,
                    "why": "closed" if s.own else "frozen"} for s in bed.closed],
        "not_understood": bed.unread or None,
        "lots": [_lot(bed, one, becoming, on) for one in bed.lots],
    }  # fmt: skip


def _lot(bed: Bed, one: InGround, becoming: Becoming | None, on: date) -> dict[str, object]:
    dig = None if becoming is None else digging(bed, one, becoming, on)
    return {
        "lot": one.lot,
        "name": one.name,
        "food": one.food,
        "variety": one.variety or None,
        "since": one.since.isoformat(),
        "offered": amount_json(one.offered),
        "apart": [{"why": why, "amount": amount_json(much)} for why, much in one.apart],
        "rows": None if one.rows is None else _rows(one.rows),
        "ends": [_end(end) for end in one.ends],
        "why_no_end": one.why_none or None,
        "stands_frost": one.stands_frost,
        "weeks_closed": weeks_closed(bed, one, on),
        "digging": None if dig is None else
        {"loads": dig.loads, "by": None if dig.by is None else dig.by.isoformat(),
         "loads_without_a_week": dig.short,
         "days": [{"day": d.day.isoformat(), "loads": d.loads, "amount": decimal(grains(d.n))}
                  for d in dig.days]},
    }  # fmt: skip


def _rows(rows: Rows) -> dict[str, object]:
    return {
        "unit": rows.unit,
        "whole": decimal(grains(rows.whole)),
        "dug": decimal(grains(rows.dug)),
        "lost": decimal(grains(rows.lost)),
        "causes": list(rows.causes),
        "left": decimal(grains(rows.left)),
        "left_by_length": None if rows.rest is None else amount_json(rows.rest),
    }


def _end(end: End) -> dict[str, object]:
    return {
        "what": end.what,
        "from": end.first.isoformat(),
        "likely": None if end.likely is None else end.likely.isoformat(),
        "to": None if end.last is None else end.last.isoformat(),
        "celsius": list(end.celsius),
        "measured_in": list(end.measured_in),
        "sources": list(end.sources),
    }


def notes(asked: Asked, found: Sequence[Bed]) -> list[str]:
    """What is said once: how the figures were come by, practice without a source, cautions."""
    known = tables.load()
    said = []
    if any(bed.soil for bed in found):
        said.append(
            "A wave through the monthly normals, set right by what was read in the bed; it knows no "
            "weather, wet or mice. Frozen: a week's mean at the roots of 0 °C or below."
        )
    if any(bed.soil and bed.soil.mulch_by in known.sources for bed in found):
        said.append(THIN)
    if any(bed.lots and not bed.soil and not bed.unread for bed in found):
        said.append(HOW_SOIL)
    lots = [one for bed in found for one in bed.lots]
    if any("potato" in crops([one.food], known) for one in lots):
        said += [PRACTICE, potato_caution(known)]
    return said


THIN = (
    "What a mulch does is taken from a thin one, 1 to 2 F in winter (Kohnke and Werkhoven 1963); "
    "where yours holds more, mulch_share says how much of the swing comes through, like 60 %."
)
HOW_SOIL = (
    "No day to dig by without the temperature of the soil: girnel store set BED "
    'soil_months="1 1 3 7 12 16 18 17 14 9 5 2 C at 10 cm" (twelve monthly means of where you live).'
)


def potato_caution(known: Tables) -> str:
    one = known.cautions["potato"]
    return f"{one.caution} ({known.sources[one.source_id].publisher})"


# -- what becomes of it ----------------------------------------------------------------------------


def digging(bed: Bed, one: InGround, becoming: Becoming, on: date) -> Plan:
    """When to dig how much of a lot, for what becomes of it, what is kept back not counted.

    WrongUse where its unit does not fit.
    """
    load = convert(becoming.n, becoming.unit, one.offered.unit)
    if load is None:
        raise WrongUse(
            f"A load in {becoming.unit} is no amount of {one.food}, which is kept in "
            f"{one.offered.unit}: say the load in that, or name another food with --of."
        )
    rest = one.rows.rest if one.rows and one.rows.rest else None
    kept = sum(much.n for _, much in one.apart)
    n = one.offered.n
    if rest is not None:
        left = max(0, rest.n - kept)
        n = left if one.offered.high is None else min(left, one.offered.high)
    by = next((day for end in one.ends for day in (end.first, end.likely, end.last)
               if day is not None and day > on), None)  # fmt: skip
    return plan(Fraction(n, GRAIN), load, becoming.a_week, on, by, bed.reachable)
