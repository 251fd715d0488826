"""From an amount as typed to an amount of a lot, in the unit that the lot is kept in.

A bare number counts packages if the lot has them, else its unit. What was typed is kept; so is the
equivalence that was used, a fact from then on. Where none is known the amount carries no number:
the log shows "less some" until the next count.
"""

from collections.abc import Callable, Collection
from fractions import Fraction

from msgspec.structs import replace

from events.book import Book
from events.kinds import GRAIN, Amount, Package
from events.lots.places import within
from events.lots.state import UNBOUNDED, Lot
from events.quantity import (
    UNITS,
    Equal,
    NotUnderstood,
    Said,
    amount_of,
    canonical_unit,
    convert,
    equal,
    grains,
    number,
    parse,
    plural,
    show,
    through,
    weight_range,
)
from service.console import beds
from service.errors import WrongUse, of_typed

VESSELS = frozenset({
    "bag", "barrel", "basket", "bottle", "box", "bucket", "can", "carton", "case", "crate", "crock",
    "drum", "jar", "jug", "packet", "package", "pail", "pouch", "sack", "tin", "tray", "tub",
})  # fmt: skip
"""What food is packed in, as people say it: a lot said in one of these is counted in packages."""

JARRED = frozenset({
    "home-canned", "home canned", "home-bottled", "bottled", "jarred", "canned", "pickled", "jam",
    "jelly", "preserves",
})  # fmt: skip
"""Forms that stand in jars: a volume said of them is so many jars of that size."""

JAR_SIZES = frozenset({"gal", "half-gallon", "qt", "pt", "half-pint", "gill", "cup", "l"})
"""Sizes that jars are spoken of in; of other measures a person says how much one holds."""

REST = frozenset({"rest", "the rest", "all", "all of it", "the lot"})


def own_units(book: Book) -> set[str]:
    """Units that this household speaks in: those of its lots and foods, and vessels."""
    units = {lot.unit for lot in book.lots.values() if lot.identity} | VESSELS
    for food in book.settings.foods:
        units.update(unit for unit, _ in food_units(book, food))
    return units


def food_units(book: Book, food: str) -> list[tuple[str, str]]:
    """A food's own units and what one comes to, blank where nobody said: "pie bag = 2 lb; puck"."""
    said = book.settings.foods.get(food, {}).get("units", "")
    parts = [part.partition("=") for part in said.split(";") if part.strip()]
    return [(unit.strip(), worth.strip()) for unit, _, worth in parts]


def read(book: Book, typed: str, own: Collection[str] = ()) -> Said:
    """An amount as typed; what is not understood is said in one sentence."""
    return _understood(lambda: parse(typed, own_units={*own_units(book), *own}))


def _understood(read_it: Callable[[], Said]) -> Said:
    try:
        return read_it()
    except NotUnderstood as error:
        raise of_typed(error) from error


def is_rest(typed: str) -> bool:
    return " ".join(typed.casefold().split()) in REST


# -- of a lot that is there --------------------------------------------------------------------


def of_lot(book: Book, lot: Lot, typed: str, *, nought: bool = False) -> Amount:
    """So much of a lot as a person said it. `nought`: none at all may be said (a count)."""
    said = read(book, typed)
    if not nought and _nothing(said):
        raise WrongUse(f'"{typed}" is nothing at all: write how much.')
    along = beds.by_length(lot, said)
    if along is not None:
        return along
    package = lot.identity.package if lot.identity else None
    equals = [*_packed(lot.unit, package), *_own(book, lot)]
    return _by_bushel(book, lot, said, equals) or _sized(said, lot.unit, equals)


def _by_bushel(book: Book, lot: Lot, said: Said, equals: Collection[Equal]) -> Amount | None:
    """A weight of a lot kept by the bushel, or bushels of one kept by weight, as is published for
    the crop: a range where sources differ. What the household says a bushel comes to goes before.
    """
    if said.n is None or said.unit is None:
        return None
    if through(Fraction(1), said.unit, lot.unit, equals) is not None:
        return None
    weighed = is_mass(said.unit)
    measure, mass = (lot.unit, said.unit) if weighed else (said.unit, lot.unit)
    names = (lot.food, *book.settings.other_names(lot.food))
    pounds = next((r for name in names if (r := weight_range(name, measure))), None)
    if pounds is None or not is_mass(mass):
        return None
    per = [in_mass for end in pounds if (in_mass := convert(end, "lb", mass))]
    rates = sorted(1 / one for one in per) if weighed else sorted(per)
    likely = 2 / sum(per, Fraction(0)) if weighed else sum(per, Fraction(0)) / 2
    low, high = said.n if said.low is None else said.low, said.high
    if said.low is None:
        high = said.n
    exact = rates[0] == rates[-1] and said.low is None
    return Amount(
        unit=lot.unit,
        n=_grains(said.n * likely),
        low=None if exact else _grains(low * rates[0]),
        high=None if exact or high is None else _grains(high * rates[-1]),
        said=said.text,
        said_unit=said.unit,
        basis=f"1 {measure} = {_between(pounds)} lb, as published",
    )


def is_mass(unit: str) -> bool:
    """Whether it is a unit of weight."""
    known = UNITS.get(unit)
    return known is not None and known.dimension == "mass"


def _between(ends: tuple[Fraction, Fraction]) -> str:
    low, high = (show(grains(end)) for end in ends)
    return low if low == high else f"{low}-{high}"


def in_unit(book: Book, typed: str, unit: str, package: Package | None) -> Amount:
    """An amount in a given unit, or packages of it."""
    return _sized(read(book, typed), unit, _packed(unit, package))


def beside(book: Book, amount: Amount, typed: str) -> Amount:
    """The amount with a second measure beside it: so many pieces beside pounds."""
    said = read(book, typed)
    if not said.n or said.low is not None or said.unit == amount.unit:
        raise WrongUse(f'--beside "{typed}" is no second measure: write a number in another unit.')
    return replace(amount, beside_n=_grains(said.n), beside_unit=said.unit or "piece")


def part(amount: Amount, n: int) -> Amount:
    """So many grains out of an exact amount, as said for the whole."""
    return amount if amount.n == n else replace(amount, n=n)


def rest(lot: Lot, store: str) -> Amount:
    """All that the log knows of a lot in a store."""
    there = [parcel for parcel in lot.parcels if within(parcel.store, store)]
    n, low, high = (sum(getattr(parcel, end) for parcel in there) for end in ("n", "low", "high"))
    if not high:
        place = store or "the household"
        raise WrongUse(f"The log knows no {lot.food} of that lot in {place}: say how much.")
    if low == high:
        return Amount(unit=lot.unit, n=n, said="the rest")
    most = None if high >= UNBOUNDED else high
    return Amount(unit=lot.unit, n=n, low=low, high=most, said="the rest")


def _packed(unit: str, package: Package | None) -> list[Equal]:
    """What one package holds, as an equivalence."""
    if package is None or package.content is None or package.content_unit is None:
        return []
    try:
        full = number(package.content)
    except NotUnderstood:
        return []
    text = f"1 {unit} = {package.content} {package.content_unit}"
    return [Equal(Fraction(1), unit, full, package.content_unit, text)] if full else []


def _own(book: Book, lot: Lot) -> list[Equal]:
    """What the household says its own units of that food come to."""
    units = own_units(book)
    said = [(unit, worth) for unit, worth in food_units(book, lot.food) if worth]
    return [equal(f"1 {unit} = {worth}", units) for unit, worth in said]


def _nothing(said: Said) -> bool:
    return said.n == 0 and said.low is None


def _sized(said: Said, unit: str, equals: Collection[Equal]) -> Amount:
    try:
        return amount_of(said, unit, equals)
    except NotUnderstood:
        raise
    except ValueError as error:
        raise WrongUse(str(error)) from error


def _grains(n: Fraction) -> int:
    try:
        return grains(n)
    except ValueError as error:
        raise WrongUse(str(error)) from error


# -- what comes in -----------------------------------------------------------------------------


def coming(
    book: Book,
    typed: str,
    food: str,
    form: str | None,
    vessel: str | None,
    holds: str | None,
    fill: str | None,
) -> tuple[Amount, Package | None]:
    """An amount that comes in, and what it is packed in.

    "12 qt" of home-canned food is twelve one-quart jars; "12 bags" are twelve bags; with
    `vessel` and `holds` ("tin", "400 g") a bare number counts those.
    """
    named = None if vessel is None else _vessel(vessel)
    said = read(book, typed, [named] if named else [])
    if _nothing(said):
        raise WrongUse(f'"{typed}" is nothing at all: write how much came in.')
    full = None if holds is None else _holds(book, holds)
    jarred = form is not None and form.casefold() in JARRED
    if named is None:
        said, named, full = _said_in(said, full, jarred=jarred)
    if named is None:
        if full is not None or fill is not None:
            raise WrongUse(
                "--holds and --fill speak of packages: say which with --package (jar, tin, bag)."
            )
        return _sized(said, _counted_in(said, food), []), None
    package = Package(
        vessel=named,
        content=None if full is None else str(full[0]),
        content_unit=None if full is None else full[1],
        fill=fill,
    )
    return _in_packages(said, named, package), package


def _counted_in(said: Said, food: str) -> str:
    """The unit of a loose lot: as said; what is counted one by one in pieces, eggs in eggs."""
    unit = UNITS.get(said.unit or "piece")
    if unit is None or unit.dimension != "pieces":
        return said.unit or "piece"
    one = UNITS.get(canonical_unit(food.rsplit(maxsplit=1)[-1]) or "")
    return one.name if one is not None and one.dimension == "counted" else "piece"


def _said_in(
    said: Said, full: tuple[Fraction, str] | None, *, jarred: bool
) -> tuple[Said, str | None, tuple[Fraction, str] | None]:
    """The vessel that the unit itself says: bags, quart jars, quarts of what stands in jars."""
    unit = said.unit or ""
    size, _, vessel = unit.rpartition(" ")
    if vessel in VESSELS:
        plain = Said(said.n, said.low, said.high, vessel, said.text)
        return plain, vessel, full or ((Fraction(1), size) if size else None)
    if jarred and unit.removeprefix("imp ") in JAR_SIZES:
        return said, "jar", full or (Fraction(1), unit)
    return said, None, full


def _in_packages(said: Said, vessel: str, package: Package) -> Amount:
    """The amount in packages: counted, or by what one holds."""
    equals = _packed(vessel, package)
    if said.unit not in (None, vessel) and through(Fraction(1), said.unit, vessel, equals) is None:
        raise WrongUse(
            f'How much does one {vessel} hold? Add --holds, like --holds "1 {said.unit}", '
            f'or say how many there are, like "12 {plural(vessel, 12 * GRAIN)}".'
        )
    return _sized(said, vessel, equals)


def _vessel(typed: str) -> str:
    """The name of a package; a known one also in the plural."""
    name = " ".join(typed.casefold().split())
    if not name or len(name) > 60 or not name.replace(" ", "").replace("-", "").isalpha():
        raise WrongUse(f'--package "{typed}" is no package: write one word like jar, tin or bag.')
    known = canonical_unit(name, VESSELS)
    if known is not None and known not in VESSELS:
        raise WrongUse(
            f'--package "{typed}" is a measure: write what it is packed in, like jar or bag.'
        )
    return known or name


def _holds(book: Book, typed: str) -> tuple[Fraction, str]:
    said = read(book, typed)
    if said.unit is None or not said.n or said.low is not None:
        raise WrongUse(
            f'--holds "{typed}" does not say how much one holds: write it like "1 qt" or "400 g".'
        )
    return said.n, said.unit
