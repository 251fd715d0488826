"""From what a person types to the store, food, lot, member, record or mark that is meant.

Stores, foods and lots are found as the looks find them; what only a deed names is found here. What
fits more than one is listed and never guessed (`NeedsChoice`); what fits none says what is known
(`WrongUse`). Nothing is written here.
"""

import re

from events.book import Book
from events.kinds import Held, Incident, SetAside
from events.lots.state import Lot
from events.readings.finding import Foods
from events.record import Entry
from service.errors import NeedsChoice, WrongUse
from service.looks.finding import (
    clean,
    code,
    concern_id,
    had,
    lot,
    lot_or_food,
    one_food,
    one_lot,
    same_food,
    stands_in,
    store,
    store_path,
    title,
    whereabouts,
    which_lot,
)
from service.looks.words import listed

__all__ = [
    "clean",
    "code",
    "concern_id",
    "had",
    "known_food",
    "lot",
    "lot_or_food",
    "mark",
    "marks",
    "member",
    "one_food",
    "one_lot",
    "one_mark",
    "record",
    "same_food",
    "stands_in",
    "store",
    "store_path",
    "title",
    "whereabouts",
    "which_lot",
    "word",
]  # fmt: skip

RECORD_NAME = r"[a-z0-9][a-z0-9-]{0,31}:[1-9][0-9]{0,14}"


# -- foods -------------------------------------------------------------------------------------


def known_food(book: Book, typed: str) -> str:
    """The household's own way of writing a food that is set up or was had before, else as typed."""
    name = clean(typed, "food")
    found = Foods(book).find(name)
    return found.foods[0] if found.how == "name" and len(found.foods) == 1 else name


# -- members and records -----------------------------------------------------------------------


def member(book: Book, typed: str | None) -> str | None:
    """Who did it: as said, else the only member, else unknown."""
    members = sorted(book.settings.members)
    if typed is None:
        return members[0] if len(members) == 1 else None
    name = clean(typed, "member")
    if name in members:
        return name
    near = [known for known in members if known.casefold().startswith(name.casefold())]
    if len(near) == 1:
        return near[0]
    if near:
        raise NeedsChoice(f'"{typed}" may be {listed(near, "or")}: say which member is meant.')
    known = f"Known: {listed(members)}." if members else "None is set up yet."
    raise WrongUse(f'No member is called "{typed}". {known} To add one: girnel member add "{name}"')


def record(book: Book, typed: str, device: str) -> Entry:
    """The record that is meant: device:number, a number of this device's own, or a lot's code."""
    text = typed.strip()
    if re.fullmatch(r"[1-9][0-9]{0,14}", text):
        text = f"{device}:{text}"
    if not re.fullmatch(RECORD_NAME, text):
        found = lot(book, text) if text else None
        if found is None or found.maker is None:
            raise WrongUse(
                f'"{typed}" names no record: girnel trail LOT shows their names (device:number).'
            )
        text = found.maker.name
    entry = book.entry(text)
    if entry is None:
        raise WrongUse(f"No record {text} is known here: girnel trail LOT shows their names.")
    return entry


def word(typed: str | None, option: str, most: int = 200) -> str | None:
    """A text as it may stand in a record; None where nothing was said."""
    if typed is None:
        return None
    text = " ".join(typed.split())
    if not text:
        raise WrongUse(f"{option} is empty: write something or leave it out.")
    if not text.isprintable():
        raise WrongUse(f"{option} holds a sign that cannot be printed: {text!r}.")
    if len(text) > most:
        raise WrongUse(f"{option} is {len(text)} signs long; {most} are the most.")
    return text


# -- marks -------------------------------------------------------------------------------------


def marks(lot: Lot, *, aside: bool) -> list[str]:
    """The holds, or what sets aside, that lie on food of a lot: names of records, oldest first."""
    laid = {mark for parcel in lot.parcels for mark in (parcel.asides if aside else parcel.holds)}
    places = {line.record.name: line.place for line in lot.lines}
    return sorted({name for name, _ in laid}, key=lambda name: (places.get(name, 0), name))


def mark(book: Book, typed: str, device: str) -> str:
    """The mark that is meant: the record of a hold, of what was set aside, or of an incident."""
    entry = record(book, typed, device)
    if not isinstance(entry.record.body, Held | SetAside | Incident):
        raise WrongUse(
            f"{entry.record.name} is no hold and sets nothing aside: {typed} is no mark."
        )
    return entry.record.name


def one_mark(book: Book, lot: Lot, typed: str | None, device: str, *, aside: bool) -> str:
    """The mark that is meant; it may be left out where the lot has exactly one."""
    if typed is not None:
        return mark(book, typed, device)
    laid, what = marks(lot, aside=aside), "set aside" if aside else "held"
    if not laid:
        raise WrongUse(f"Nothing of lot {code(book, lot.name)} ({lot.food}) is {what}.")
    if len(laid) > 1:
        said = listed([_mark_said(book, name) for name in laid], "or")
        raise NeedsChoice(f"{lot.food} is {what} {len(laid)} times: {said}. Say which with --mark.")
    return laid[0]


def _mark_said(book: Book, name: str) -> str:
    entry = book.entry(name)
    body = entry.record.body if entry else None
    why = (
        getattr(body, "reason", None)
        or getattr(body, "purpose", None)
        or getattr(body, "what", None)
    )
    return f"{name} ({why})" if why else name
