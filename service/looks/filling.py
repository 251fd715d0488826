"""Filling vessels, jars and trays, as data: how many, what is left over, and what each figure rests on.

The figures are worked out in `events/readings`; what was typed is understood here. Where the tables
have no row for a food that is said, and how to go on; nothing is made up.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import TypeAlias

from msgspec import Struct

from events import tables
from events.keeping.life import Lives
from events.kinds import GRAIN
from events.quantity import (
    UNITS,
    NotUnderstood,
    Said,
    convert,
    number,
    parse,
    plural,
    through,
    weight_range,
)
from events.readings import filling, loads
from events.readings.filling import Filling, Vessel, Way
from events.readings.finding import Foods
from events.readings.loads import Dried, Jars
from events.readings.stock_marks import equals, own_units
from events.tables import Tables
from events.tables.packing import Packing, packing
from service.digests.caution import Cautions
from service.errors import WrongUse, of_typed
from service.looks.asked import Asked

WEIGH = 'weigh some and say it, like --weighs "1 qt = 1.3 lb"'
FORMS = ("dried", "freeze-dried")


class Typed(Struct, frozen=True, kw_only=True):
    """What was typed."""

    amount: str
    food: str
    into: str | None = None
    headroom: str | None = None
    weighs: str | None = None
    form: str = ""
    a_load: str | None = None
    becomes: str | None = None
    """dried or freeze-dried"""
    water: str | None = None
    trays: str | None = None
    on_a_tray: str | None = None


class Filled(Struct, frozen=True, kw_only=True):
    """A staple in vessels."""

    said: Said
    food: str
    filling: Filling


class Measured(Struct, frozen=True, kw_only=True):
    """A volume in vessels, which needs no density."""

    said: Said
    food: str
    vessel: Vessel
    count: int
    last: Fraction
    headroom: Fraction


class PutUp(Struct, frozen=True, kw_only=True):
    """A crop in jars and canner loads."""

    said: Said
    food: str
    vessel: Vessel
    ways: tuple[Jars, ...]
    low_acid: bool


class Drying(Struct, frozen=True, kw_only=True):
    """Fresh food dried or freeze-dried, and the loads that takes."""

    said: Said
    food: str
    becomes: str
    dried: Dried
    trays: int | None
    a_tray: Fraction | None
    """grams"""
    loads: tuple[int, int] | None


Answer: TypeAlias = Filled | Measured | PutUp | Drying


def answer(asked: Asked, typed: Typed) -> Answer:
    """What was asked, worked out. WrongUse where it cannot be read or no table has it."""
    try:
        return _answer(asked, typed)
    except NotUnderstood as error:
        raise of_typed(error) from error


def _answer(asked: Asked, typed: Typed) -> Answer:
    known = packing()
    foods = Foods(asked.book)
    one = foods.canonical(typed.food)
    also = (*foods.called(typed.food), *asked.book.settings.other_names(one))
    names = list(dict.fromkeys((typed.food, *also)))
    said = _said(asked, typed.amount, one)
    if (typed.into is None) == (typed.becomes is None):
        raise WrongUse('Say one thing: --into a vessel ("5 gal bucket", "qt jars"), or --as dried.')
    if typed.becomes is not None:
        return _drying(asked, typed, said, names, known)
    vessel = filling.vessel(typed.into or "", known)
    headroom = _part(typed.headroom, "--headroom") or Fraction(0)
    own = None if typed.weighs is None else filling.weighed(typed.weighs)
    rows = filling.densities(names, known)
    if own is None and not rows and loads.yields(names, known):
        return _put_up(asked, typed, said, names, vessel, known)
    lives = Lives(tables.load())
    if own is None and not rows and vessel.name.endswith("jar") and _fresh(lives, names):
        raise WrongUse(
            f"No guide that was read has {typed.food} in jars: a tested recipe says how many pounds "
            f"fill one. Raw into a vessel it is: {WEIGH}."
        )
    ml = convert(said.n or Fraction(0), said.unit or "", "ml")
    if ml:
        count, last = filling.by_volume(ml, vessel, headroom)
        return Measured(said=said, food=typed.food, vessel=vessel, count=count, last=last,
                        headroom=headroom)  # fmt: skip
    grams = _grams(asked, said, one, typed.food)
    if own is None and not rows:
        raise WrongUse(f"No density was read for {typed.food}: {WEIGH}.")
    return Filled(said=said, food=typed.food,
                  filling=filling.fill(grams, vessel, rows, headroom, own))  # fmt: skip


def _fresh(lives: Lives, names: Sequence[str]) -> bool:
    """Whether it is a crop, which goes into jars cut, cooked or juiced and not as it is measured."""
    named = lives.named(names)
    return named is not None and named.form == "fresh"


def _said(asked: Asked, amount: str, food: str) -> Said:
    own = {unit for unit, _ in own_units(asked.book.settings.foods.get(food, {}))}
    said = parse(amount, own)
    if not said.n or said.unit is None:
        raise WrongUse(
            f'"{amount}" is no weight or measure: write it like 25 kg, 50 lb or 1 bushel.'
        )
    return said


def _grams(asked: Asked, said: Said, food: str, typed: str) -> Fraction:
    ways = equals(asked.book.settings.foods.get(food, {}))
    way = through(said.n or Fraction(0), said.unit or "", "g", ways)
    if way is None:
        raise WrongUse(
            f"How much does one {said.unit} of {typed} weigh? Say the weight, or girnel food set "
            f'"{food}" --unit "{said.unit} = 2 lb".'
        )
    return way[0]


def _part(typed: str | None, option: str) -> Fraction | None:
    """A share: "5 %" or "1/20"."""
    if typed is None:
        return None
    text = typed.strip()
    n = number(text.removesuffix("%").strip())
    share = n / 100 if text.endswith("%") else n
    if share >= 1:
        raise WrongUse(f'{option} "{typed}" is no part: write it like "5 %".')
    return share


def _whole(typed: str | None, option: str) -> int | None:
    if typed is None:
        return None
    if not typed.isdecimal() or not 1 <= int(typed) <= 1000:
        raise WrongUse(f"{option} {typed} is no number: write a whole one.")
    return int(typed)


# -- jars ------------------------------------------------------------------------------------------


def _put_up(
    asked: Asked, typed: Typed, said: Said, names: Sequence[str], vessel: Vessel, known: Packing
) -> PutUp:  # fmt: skip
    if not vessel.name.endswith(("jar", "vessel")):
        raise WrongUse(
            f"No density was read for {typed.food}, so it fills no {vessel.name}: {WEIGH}."
        )
    rows = loads.yields(names, known, typed.form)
    if not rows:
        forms = sorted({row.form for row in loads.yields(names, known)})
        raise WrongUse(f'No guide has {typed.food} as "{typed.form}": there is {"; ".join(forms)}.')
    bushels = convert(said.n or Fraction(0), said.unit or "", "bushel")
    pounds = None if bushels else _pounds(asked, said, typed.food, names)
    ways = loads.in_jars(pounds, bushels, vessel.ml, rows, _whole(typed.a_load, "--jars-a-load"))
    if not ways:
        raise WrongUse(f"No guide has so much of {typed.food} in jars: say it in pounds.")
    return PutUp(said=said, food=typed.food, vessel=vessel, ways=tuple(ways),
                 low_acid=Lives(tables.load()).acid(tuple(names)) != "high")  # fmt: skip


def _pounds(
    asked: Asked, said: Said, typed: str, names: Sequence[str]
) -> tuple[Fraction, Fraction]:  # fmt: skip
    """Least and most pounds: by weight, or by what a lug or crate of the crop weighs."""
    n = said.n or Fraction(0)
    for name in names:
        weighs = weight_range(name, said.unit or "")
        if weighs is not None:
            return weighs[0] * n, weighs[1] * n
    pound = UNITS["lb"].size
    grams = _grams(asked, said, Foods(asked.book).canonical(typed), typed)
    low = grams if said.low is None else grams * said.low / n
    high = grams if said.high is None else grams * said.high / n
    return low / pound, high / pound


# -- drying ----------------------------------------------------------------------------------------


def _drying(
    asked: Asked, typed: Typed, said: Said, names: Sequence[str], known: Packing
) -> Drying:  # fmt: skip
    becomes = typed.becomes or ""
    if becomes not in FORMS:
        raise WrongUse(f'--as "{becomes}" is none of {" and ".join(FORMS)}.')
    pounds = _pounds(asked, said, typed.food, names)
    fresh = pounds[0] * UNITS["lb"].size, pounds[1] * UNITS["lb"].size
    own = _part(typed.water, "--water")
    found = loads.dried(fresh, names, known, becomes, own)
    if found is None:
        raise WrongUse(
            f"No water content was read for fresh {typed.food}: dry a weighed pound and see."
        )
    trays = _whole(typed.trays, "--trays")
    if (trays is None) != (typed.on_a_tray is None):
        raise WrongUse('--trays and --on-a-tray go together, like --trays 6 --on-a-tray "2 lb".')
    a_tray = None if typed.on_a_tray is None else _tray(typed.on_a_tray)
    runs = None
    if trays is not None and a_tray is not None:
        runs = loads.loads(fresh[0], trays, a_tray), loads.loads(fresh[1], trays, a_tray)
    return Drying(said=said, food=typed.food, becomes=becomes, dried=found, trays=trays,
                  a_tray=a_tray, loads=runs)  # fmt: skip


def _tray(typed: str) -> Fraction:
    said = parse(typed)
    grams = convert(said.n or Fraction(0), said.unit or "", "g")
    if not grams:
        raise WrongUse(f'--on-a-tray "{typed}" is no weight: write it like "2 lb".')
    return grams


# -- told ------------------------------------------------------------------------------------------


def rounded(n: Fraction, unit: str) -> str:
    """For people: one place from ten on, two below, no noughts at the end."""
    text = f"{float(n):.1f}" if n >= 10 else f"{float(n):.2f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"{text} {plural(unit, round(n * GRAIN))}"


def publisher(known: Tables, source_id: str) -> str:
    """Who says so; told as second-hand where it was not read at its source."""
    source = known.sources[source_id]
    name = source.publisher.partition(" (")[0]
    return name if source.published else f"read second-hand: {name}"


def cautions(asked: Asked, found: Answer) -> list[str]:
    """The usual caution where jars are meant, with its source."""
    if not isinstance(found, PutUp):
        return []
    called = Cautions(asked.book, tables.load())
    called.called = {"altitude"} | ({"home-canned-process"} if found.low_acid else set())
    return [one.says for one in called.said()]


def fill(asked: Asked, typed: Typed) -> dict[str, object]:
    """What fills what, as plain data."""
    found = answer(asked, typed)
    head: dict[str, object] = {"amount": found.said.text, "food": found.food}
    match found:
        case Filled():
            return head | _filled(found)
        case Measured():
            return head | {"vessel": found.vessel.name, "vessels": found.count,
                           "last_full_percent": round(float(found.last) * 100)}  # fmt: skip
        case PutUp():
            return head | _jars(found) | {"cautions": cautions(asked, found)}
        case Drying():
            return head | _dried(found)


def _filled(found: Filled) -> dict[str, object]:
    return {
        "vessel": found.filling.vessel.name,
        "vessel_ml": round(float(found.filling.vessel.ml), 1),
        "headroom_percent": round(float(found.filling.headroom) * 100, 1),
        "ways": [_way(way) for way in found.filling.ways],
    }


def _way(way: Way) -> dict[str, object]:
    row = way.row
    return {
        "vessels": way.vessels,
        "full": way.full,
        "each_g": round(float(way.each), 1),
        "left_g": round(float(way.left), 1),
        "free_ml": round(float(way.free), 1),
        "g_per_ml": round(float(way.density), 4),
        "rests_on": "own weighing" if row is None else "practice" if way.practice else "published",
        "source": None if row is None or way.practice else row.source_id,
        "as_printed": row.as_printed if row else None,
        "note": row.note or None if row else None,
    }


def _jars(found: PutUp) -> dict[str, object]:
    sources = tables.load().sources
    return {
        "vessel": found.vessel.name,
        "ways": [
            {
                "form": way.row.form,
                "pounds": [round(float(n), 2) for n in way.pounds],
                "jars": list(way.jars),
                "left_lb": [round(float(n), 2) for n in way.left],
                "jars_a_load": way.a_load,
                "loads": list(way.loads),
                "pounds_a_load": None if way.pounds_a_load is None else float(way.pounds_a_load),
                "source": way.row.source_id,
                "second_hand": not sources[way.row.source_id].published,
            }
            for way in found.ways
        ],
    }


def _dried(found: Drying) -> dict[str, object]:
    one = found.dried
    return {
        "as": found.becomes,
        "fresh_g": [round(float(n), 1) for n in one.fresh],
        "comes_to_g": [round(float(n), 1) for n in one.comes_to],
        "of_dry_matter_alone": one.dry is None,
        "water_fresh_percent": round(float(one.water.part) * 100, 2),
        "water_left_percent": None if one.dry is None else round(float(one.dry) * 100, 2),
        "sources": [row.source_id for row in (one.water, one.by) if row is not None],
        "loads": None if found.loads is None else list(found.loads),
    }
