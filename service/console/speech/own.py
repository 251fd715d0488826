"""Deeds that are said in a form of their own, as they would be typed: a deed taken back, a fact
learnt, something that befell a store, a load put up, food packed anew, a concern settled.

Each is a line by itself. What may be meant in two ways is asked; nothing is written here.
"""

from datetime import datetime

from events.kinds import GRAIN
from events.lots.state import Lot
from events.quantity import plural
from service.console import amounts, names
from service.console.speech import days
from service.console.speech.grammar import Own, Source
from service.console.speech.lexicon import LOADS
from service.console.speech.parts import Argv, Parts
from service.console.words import listed
from service.errors import NeedsChoice, WrongUse

DATED = frozenset({"befell", "load", "repack"})
"""Forms that may say when it was."""

OUT = ("was ", "were ", "went ")
"""What is left out of the words for what befell a store: power [was] out."""


def typed(own: Own, parts: Parts, day: str | None, now: datetime) -> Argv:
    """The deed as it would be typed; `day` is what was said before it."""
    if own.rule not in DATED:
        if day is not None:
            raise WrongUse(
                f'Not read: "{day}" before what is no deed of a day. Nothing was written.'
            )
        return _undated(own, parts, now)
    if own.rule == "befell":
        return _befell(own, parts, day, now)
    said = own.said.get("when", (None,))[-1]
    if day is not None and said is not None:
        raise WrongUse(f'"{day}" is said of it, and there is another date: write one.')
    words = _load(own, parts) if own.rule == "load" else _repack(own, parts)
    on = said or day
    return (*words, *(["--on", days.one_day(on, now)] if on else []))


def _undated(own: Own, parts: Parts, now: datetime) -> Argv:
    said = {name: words[-1] for name, words in own.said.items()}
    what = said.get("what", "")
    match own.rule:
        case "undo":
            return ("undo",)
        case "settle":
            return ("settle", said["which"], "--decision", said["text"])
        case "fact":
            return ("amend", what, f"{said['fact'].casefold()}={said['facted']}")
        case "belongs":
            return ("amend", what, f"owner={said['facted']}")
        case "height":
            return ("amend", what, f"altitude={said['height']}")
        case "acidless":
            return ("amend", what, "acid=none")
        case _:
            return ("amend", what, f"made_at={days.one_day(said['day'], now).removeprefix('on ')}")


# -- something befell a store --------------------------------------------------------------------


def _befell(own: Own, parts: Parts, day: str | None, now: datetime) -> Argv:
    said = own.said
    told = " ".join(said[name][-1] for name in ("outage", "event", "befell") if name in said)
    for word in OUT:
        told = told.removeprefix(word).replace(f" {word}", " ")
    told = told.removeprefix("a ").removeprefix("an ")
    place = said["place"][-1]
    if told.endswith("open"):
        place, door = place.casefold().removesuffix(" door"), place
        if place == door.casefold():
            raise WrongUse(f'Not read: "{said["place"][-1]} was open". Nothing was written.')
        told = f"door {told}"
    words = ["incident", told, "--in", parts.place(place)]
    dates = [*said.get("when", ()), *([day] if day else [])]
    spans = [*said.get("between", ()), *said.get("fromto", ())]
    since = [word for word in said.get("since", ()) if word]
    if len(dates) > 1 or len(spans) + len(since) > 1 or (since and dates):
        raise WrongUse("That line says more than one time: write when it began and when it ended.")
    if "fromto" in said and dates:
        raise WrongUse(f'"{dates[0]}" is said of it, and there are other days: write one.')
    if spans:
        start, end = days.between(spans[0], dates[0] if dates else None)
        return (*words, "--from", start, "--to", end)
    if since:
        return (*words, "--from", days.one_day(since[0], now))
    if not dates:
        raise NeedsChoice(
            f'"{told}" in {place}: it is not said when. Write the day before it, as in "yesterday …", '
            'or since when it has been so, "… since this morning". Nothing was written.'
        )
    return (*words, "--on", days.one_day(dates[0], now))


# -- loads ---------------------------------------------------------------------------------------


def _load(own: Own, parts: Parts) -> Argv:
    said = own.said
    food, verb = said["what"][-1], said["loaded"][-1].casefold()
    parts.new(food, bare=False)
    words = ["put-up", *_sizes(said["sizes"]), food]
    for source in own.sources:
        words += ["--of", _went_in(parts, source)]
    if (method := LOADS[verb]) is not None:
        words += ["--method", method]
    if len(said.get("into", ())) > 2:
        raise WrongUse("That line says twice where the load was put: say it once.")
    if "into" in said:
        words += ["--in", parts.place(said["into"][-1])]
    return tuple(words)


def _repack(own: Own, parts: Parts) -> Argv:
    said = own.said
    (source,) = own.sources
    if source.place is None and "place" in said:
        source = Source(source.amount, source.what, said["place"][-1])
    words = ["repack", *_sizes(said["sizes"]), "--of", _went_in(parts, source)]
    if "holds" in said:
        words += ["--holds", " ".join(said["holds"])]
    if "stands" in said:
        if source.place is None:
            raise NeedsChoice(
                f'"in {said["stands"][-1]}": did it stand there, or does it now? Write from where '
                "it was taken. Nothing was written."
            )
        words += ["--in", parts.place(said["stands"][-1])]
    return tuple(words)


def _sizes(said: tuple[str, ...]) -> list[str]:
    """Amounts size by size, of figures and units in turn."""
    return [f"{figure} {unit}" for figure, unit in zip(said[::2], said[1::2], strict=True)]


def _told_in(parts: Parts, lot: Lot, said: str) -> bool:
    """Whether an amount can be told in the unit that a lot is kept in."""
    return amounts.is_rest(said) or amounts.of_lot(parts.book, lot, said).n is not None


def _went_in(parts: Parts, source: Source) -> str:
    """What went in, and where it stood if that was said, as the deed takes it."""
    said, what = " ".join(source.amount), source.what
    if parts.begins_with_unit(what):
        raise WrongUse(f'"{what}" begins with a measure: put "of" before the food.')
    if len(source.amount) == 1:
        parts.bare(said, what)
    elif not any(_told_in(parts, lot, said) for lot in parts.lots(what)) and parts.lots(what):
        units = listed(sorted({plural(lot.unit, 2 * GRAIN) for lot in parts.lots(what)}), "or")
        raise WrongUse(
            f'"{said} of {what}": what is known of it is in {units}. Bring in first what went into '
            "the load, or say girnel put-up with --of nothing. Nothing was written."
        )
    if source.place is None:
        return f"{what}={said}"
    store = parts.place(source.place)
    if not any(names.stands_in(lot, store) for lot in parts.lots(what)):
        raise NeedsChoice(
            f'"in {source.place}": none of {what} is known there. Was it put up there? Write into '
            "and where it stands now. Nothing was written."
        )
    return f"{what}={said} in {store}"
