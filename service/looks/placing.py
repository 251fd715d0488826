"""What would be if: a lot in another store, a machine that runs, a warmer winter, as data.

Nothing is written. The figures are worked out in `events/readings`; dates are those of the
household's calendar. It is about quality alone: a hold stays a hold wherever food stands.
"""

import re
from collections.abc import Sequence

from msgspec import Struct

from events import tables
from events.keeping.curve import DAY
from events.keeping.life import Life
from events.lots.state import Lot
from events.readings.climate import If, Machine, degrees_of
from events.readings.lived import GROUND, Keeping
from events.readings.lots import codes_of
from events.readings.placing import Placement, placements, stores_for
from events.readings.reasons import publisher
from events.readings.supposing import Loss, Standing, if_so, machine_year
from events.readings.supposing import not_judged as stores_not_judged
from service.digests.words import Calendar
from service.errors import WrongUse
from service.looks import climate, days, finding
from service.looks.asked import Asked
from service.looks.climate import PRACTICE, in_degrees

USUAL = 4_167
"""7.5 F in thousandths of a degree Celsius: the middle of what a dryer is commonly said to add."""


FULL = ("january", "february", "march", "april", "may", "june", "july", "august", "september",
        "october", "november", "december")  # fmt: skip


class Typed(Struct, frozen=True, kw_only=True):
    """What is asked, as typed."""

    lot: str | None = None
    store: str | None = None
    machine: str | None = None
    degrees: str | None = None
    months: tuple[str, ...] = ()
    winter: str | None = None


class Supposed(Struct, frozen=True, kw_only=True):
    """What is asked about. Degrees are differences in thousandths of a degree Celsius."""

    machine: str | None = None
    degrees: int | None = None
    """said for this look; None: as the machine is set up"""
    months: tuple[int, ...] = ()
    winter: int = 0


def supposed(typed: Typed) -> Supposed:
    """What is asked about. WrongUse with one sentence."""
    if typed.machine is None and (typed.degrees is not None or typed.months):
        raise WrongUse("--degrees and --month say how a machine runs: say which with --machine.")
    if typed.lot is None and typed.store is not None:
        raise WrongUse("--in says where a lot would stand: say which lot.")
    if typed.lot is None and typed.machine is None and typed.winter is None:
        raise WrongUse("What if what? Say a lot, --machine dryer or --winter +3F.")
    months = tuple(sorted({month_of(month) for month in typed.months}))
    if typed.lot is not None and typed.machine is not None and not months:
        raise WrongUse(f"In which month does the {typed.machine} run? Add --month 8.")
    return Supposed(
        machine=typed.machine,
        degrees=None if typed.degrees is None else difference(typed.degrees, "--degrees"),
        months=months,
        winter=0 if typed.winter is None else difference(typed.winter, "--winter"),
    )


def month_of(typed: str) -> int:
    """A month, 1 to 12, by its number or the beginning of its name."""
    text = typed.strip().casefold()
    if re.fullmatch("[0-9]{1,2}", text) and 1 <= int(text) <= 12:
        return int(text)
    found = [n for n, name in enumerate(FULL, 1) if len(text) >= 3 and name.startswith(text)]
    if len(found) != 1:
        raise WrongUse(f'"{typed}" is no month: write 1 to 12, or its name.')
    return found[0]


def difference(typed: str, option: str) -> int:
    """A difference of temperatures in thousandths of a degree Celsius: "+3F", "3 F", "-2 C"."""
    found = re.fullmatch(r"\s*\+?(-?\s*[0-9./]+)\s*°?\s*([cCfF])\s*", typed)
    milli = None if found is None else degrees_of(f"{found[1].replace(' ', '')} {found[2]}")
    if milli is None or milli == 0:
        raise WrongUse(
            f'{option} "{typed}" is no difference of temperatures: write it like +3F or 2C.'
        )
    return milli


class Answer(Struct, frozen=True, kw_only=True):
    """What was asked, made whole, and what a machine is taken to add."""

    supposed: If | None
    machine: Machine | None
    practice: str
    """where what it adds is common practice and nobody said it"""


def answer(asked: Asked, what: Supposed) -> Answer:
    """The facts as they would be."""
    today = asked.now // DAY
    if what.machine is None:
        winter = If(day=today, winter=what.winter) if what.winter else None
        return Answer(supposed=winter, machine=None, practice="")
    machine = climate.machine(asked, what.machine)
    degrees = machine.degrees if what.degrees is None else what.degrees
    practice = PRACTICE if degrees is None else ""
    supposed = If(day=today, machine=machine.name, degrees=USUAL if degrees is None else degrees,
                  store=machine.store, months=what.months, winter=what.winter)  # fmt: skip
    if what.months and not machine.store:
        raise WrongUse(
            f"It is not said where the {machine.name} stands:"
            f' girnel machine set "{machine.name}" --in STORE'
        )
    return Answer(supposed=supposed, machine=machine, practice=practice)


def of_lot(
    asked: Asked, lot: Lot, store: str | None, supposed: If | None
) -> tuple[list[Placement], list[Placement]]:
    """(as it is, as it would be): the lot in every store, or where it stands and in one."""
    keeping = Keeping(asked.book, tables.load())
    if not any(parcel.high for parcel in lot.parcels):
        raise WrongUse(f"Nothing is left of {lot.food}: there is nothing to place.")
    stores = stores_for(keeping, lot)
    if store is not None or supposed is not None:
        here = {parcel.store for parcel in lot.parcels if parcel.high}
        stores = sorted(here | ({finding.store(asked.book, store)} if store is not None else set()))
    plain = placements(keeping, lot, asked.now, stores)
    if supposed is None:
        return plain, []
    would = Keeping(asked.book, tables.load(), supposed)
    return plain, placements(would, lot, asked.now, stores)


def of_all(asked: Asked, supposed: If) -> list[Loss]:
    """What would keep less."""
    return if_so(asked.book, tables.load(), supposed, asked.now)


def not_judged(asked: Asked, supposed: If) -> list[str]:
    """Stores of which too little was said to tell."""
    return stores_not_judged(Keeping(asked.book, tables.load()), supposed)


def notes(asked: Asked, supposed: If) -> list[str]:
    """What the answer leaves out."""
    settings, lots = asked.book.settings, asked.book.lots.values()
    in_beds = any(settings.kind_of(parcel.store) == GROUND
                  for lot in lots for parcel in lot.parcels if parcel.high)  # fmt: skip
    return [NOT_BEDS] if supposed.winter and in_beds else []


NOT_BEDS = (
    "Beds are not in this: how far their soil goes with the air was read nowhere; girnel ground has "
    "their days by the normals that were stated."
)


def year(asked: Asked, supposed: If) -> list[Standing]:
    """A machine in each store by each month of the coming year."""
    first = days.local(asked.now, asked.clock.offset(asked.now, asked.zone)).month
    return machine_year(asked.book, tables.load(), supposed, asked.now, first)


def what_if(asked: Asked, typed: Typed) -> dict[str, object]:
    """The answer as plain data."""
    what = supposed(typed)
    found = answer(asked, what)
    said: dict[str, object] = {"practice": found.practice or None}
    if typed.lot is not None:
        lot, calendar = finding.one_lot(asked.book, typed.lot), Calendar(asked.zone, asked.today)
        plain, would = of_lot(asked, lot, typed.store, found.supposed)
        return {
            "lot": codes_of(asked.book).get(lot.name, lot.name),
            "food": lot.food,
            "stores": [placement_json(one, calendar) for one in plain],
            "would": [placement_json(one, calendar) for one in would],
            **said,
        }
    if found.supposed is None:
        return {"losses": [], "not_judged": [], "notes": [], **said}
    if found.machine is not None and not what.months:
        standings = year(asked, found.supposed)
        stores = [standing_json(one, asked) for one in standings]
        return {"machine": found.machine.name, "stores": stores, **said}
    losses = losses_json(of_all(asked, found.supposed), asked)
    unknown = not_judged(asked, found.supposed)
    return {
        "losses": losses,
        "not_judged": unknown,
        "notes": notes(asked, found.supposed),
        **said,
    }


def placement_json(one: Placement, calendar: Calendar) -> dict[str, object]:
    """A lot in a store, as plain data."""
    life = one.life
    return {
        "store": one.store,
        "here": one.here,
        "from": _day(calendar, one.from_ms),
        "likely": _day(calendar, one.likely_ms),
        "to": _day(calendar, one.to_ms),
        "temperature": in_degrees(one.milli),
        "rests_on": one.rests,
        "source": life.row.source_id if isinstance(life, Life) else None,
        "said": [*life.said] if isinstance(life, Life) else [life.reason],
        "harms": list(one.harms),
        "clashes": [clash.sentence for clash in one.clashes],
        "room": one.room or None,
    }


def standing_json(one: Standing, asked: Asked) -> dict[str, object]:
    return {
        "store": one.store,
        "judged": one.judged,
        "months": [
            {"month": month.month, "may_run": month.bearable,
             "losses": losses_json(month.losses, asked)}
            for month in one.months
        ],
    }  # fmt: skip


def losses_json(losses: Sequence[Loss], asked: Asked) -> list[dict[str, object]]:
    codes, calendar = codes_of(asked.book), Calendar(asked.zone)
    return [
        {
            "lot": codes.get(loss.lot, loss.lot),
            "food": loss.food,
            "store": loss.store,
            "days": loss.days,
            "from": _day(calendar, loss.from_ms),
            "would": _day(calendar, loss.would_ms),
        }
        for loss in losses
    ]


def _day(calendar: Calendar, ms: int | None) -> str | None:
    return None if ms is None else calendar.on(ms).isoformat()


def why(one: Placement) -> str:
    """In a few words, what a life rests on."""
    life = one.life
    if not isinstance(life, Life):
        return life.reason
    clauses = (life.row.life_as_printed, *life.said)
    return f"{', '.join(clauses)} ({publisher(life.source)})"
