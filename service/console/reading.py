"""A reading: what a thermometer or hygrometer showed in a store.

Kept exactly as so many thousandths of a degree Celsius and tenths of a percent, rounded once, half
to even. A temperature without its scale has two meanings and is asked back. What it means for the
food there is worked out elsewhere.
"""

import re
from argparse import Namespace
from fractions import Fraction

from msgspec import Struct

from events.kinds import Measured
from events.lots.places import within
from events.quantity import NotUnderstood, number
from service.console import cautions
from service.console.commands import Commands, deed
from service.console.desk import Desk, desk
from service.console.echo import BACK, raised_sentences
from service.console.words import listed, one_line, print_json, wrap
from service.errors import WrongUse

COLDEST, HOTTEST = -100_000, 200_000
"""Thousandths of a degree Celsius that a reading in a store can be."""

HOW = 'write it like "4 C", "39 F" or "65 %"'
TERM = re.compile(
    r"(?P<minus>minus |[-\u2212\u2013] ?)?\+?(?P<n>[0-9.,/½¼¾⅓⅔ ]*[0-9½¼¾⅓⅔]) ?(?P<unit>[^0-9\s,;+-]*"
    r"(?: (?:c|f|celsius|fahrenheit|rh|humidity)\b)?)(?:$|[\s,;]+(?:and )?)"
)
DEGREE = re.compile(r"^(?:°|º|deg(?:rees?)?\.?) ?")
SCALES = {"c": "C", "celsius": "C", "centigrade": "C", "f": "F", "fahrenheit": "F"}
MOISTURE = {"%", "percent", "pc", "%rh", "% rh", "percent rh", "rh", "% humidity",
            "percent humidity"}  # fmt: skip


class Read(Struct, frozen=True):
    """What was read; None: that was not read."""

    celsius_milli: int | None = None
    humidity_permille: int | None = None


def add(commands: Commands) -> None:
    parser = deed(commands, "reading", reading, "what a thermometer or hygrometer shows in a store")
    parser.add_argument("read", metavar="READING", nargs="+", help='"4 C", "39 F", "65 %%"')
    parser.add_argument("--in", dest="store", metavar="STORE", required=True, help="where it hangs")


async def reading(args: Namespace) -> int:
    read = understood(" ".join(args.read))
    async with desk(args, writing=True) as at:
        store = at.store(args.store)
        body = Measured(
            store=store,
            celsius_milli=read.celsius_milli,
            humidity_permille=read.humidity_permille,
        )
        entries, raised = await at.write([body])
        warned = cautions.said(at.book, _thawed(at, body))
        if args.json:
            fields = ("store", "celsius_milli", "humidity_permille")
            told = {field: getattr(body, field) for field in fields}
            print_json({**told, "record": entries[0].record.name, "cautions": list(warned)})
            return 0
        print(one_line(f"{store}: {shown(read)} read. {BACK}"))
        for says in raised_sentences(at, raised):
            print(wrap(says, "  "))
        for caution in warned:
            print(wrap(f"Caution: {caution}", "  "))
    return 0


def _thawed(at: Desk, body: Measured) -> "cautions.Warn | None":
    """A freezer above the melting point, with food in it."""
    thaws = body.celsius_milli is not None and body.celsius_milli > 0
    if not thaws or at.book.settings.kind_of(body.store) != "freezer":
        return None
    stands = (
        parcel.high and within(parcel.store, body.store)
        for lot in at.book.lots.values()
        for parcel in lot.parcels
    )
    return (lambda one: one.called.add("thawed")) if any(stands) else None


# -- from what is typed --------------------------------------------------------------------------


def understood(typed: str) -> Read:
    """A temperature, a humidity, or both. WrongUse with one sentence."""
    text = " ".join(typed.casefold().split())
    temperatures: list[int] = []
    moistures: list[int] = []
    place = 0
    while place < len(text):
        term = TERM.match(text, place)
        if term is None:
            raise WrongUse(f'"{typed}" is not a reading: {HOW}.')
        n = _figure(term, typed)
        unit = term["unit"].strip()
        if unit in MOISTURE:
            moistures.append(_permille(n, typed))
        else:
            temperatures.append(_milli(n, unit, typed))
        place = term.end()
    if len(temperatures) > 1 or len(moistures) > 1:
        raise WrongUse(f'"{typed}" is more than one reading: say them one by one.')
    return Read(next(iter(temperatures), None), next(iter(moistures), None))


def _figure(term: re.Match[str], typed: str) -> Fraction:
    try:
        n = number(term["n"])
    except NotUnderstood as wrong:
        raise WrongUse(f'"{typed}" is not a reading: {wrong}') from None
    return -n if term["minus"] else n


def _permille(n: Fraction, typed: str) -> int:
    if not 0 <= n <= 100:
        raise WrongUse(f'"{typed}": a humidity is from 0 to 100 %: read it again.')
    return round(n * 10)


def _milli(n: Fraction, unit: str, typed: str) -> int:
    scale = SCALES.get(DEGREE.sub("", unit).strip())
    if scale is None:
        if not DEGREE.sub("", unit).strip():
            raise WrongUse(f'"{typed}" may be Celsius or Fahrenheit: {HOW}.')
        raise WrongUse(f'"{typed}" is not a reading: {HOW}.')
    milli = celsius_milli(n, scale)
    if not COLDEST <= milli <= HOTTEST:
        raise WrongUse(f'"{typed}" is no temperature of a store: read it again.')
    return milli


def celsius_milli(n: Fraction, scale: str) -> int:
    """`n` degrees of that scale in thousandths of a degree Celsius, rounded once, half to even.

    NIST SP 811 appendix B: t/°C = (t/°F - 32)/1.8.
    """
    return round((n if scale == "C" else (n - 32) / Fraction("1.8")) * 1000)


# -- and back ------------------------------------------------------------------------------------


def shown(read: Read) -> str:
    """A reading in words: "3.9 °C (39 °F) and 65 %"; degrees to a tenth."""
    said = []
    if read.celsius_milli is not None:
        fahrenheit = Fraction(read.celsius_milli, 1000) * Fraction("1.8") + 32
        said.append(
            f"{_places(round(Fraction(read.celsius_milli, 100)), 1)} °C "
            f"({_places(round(fahrenheit * 10), 1)} °F)"
        )
    if read.humidity_permille is not None:
        said.append(f"{_places(read.humidity_permille, 1)} %")
    return listed(said)


def _places(n: int, places: int) -> str:
    whole, part = divmod(abs(n), 10**places)
    text = f"{whole}.{part:0{places}}".rstrip("0").rstrip(".")
    return f"-{text}" if n < 0 else text
