"""From what a person asks for to the store, food or lot that is meant.

Kindly read: any case, plural or single, a unique beginning, a lot's code. What fits more than one
is listed and never guessed (`NeedsChoice`); what fits none says what is known (`WrongUse`). The
console and the endpoints find things alike, for both find them here.
"""

import re

from events import codes
from events.book import Book
from events.concerns import Concern
from events.lots.places import levels, within
from events.lots.state import Lot
from events.quantity import NotUnderstood
from events.readings.finding import Foods, lots_of
from service.errors import NeedsChoice, SeveralLots, Unheard, WrongUse
from service.looks.words import listed

LOT_NAME = r"[a-z0-9][a-z0-9-]{0,31}:[1-9][0-9]{0,14}:[0-9]{1,3}"
CODE_LIKE = r"[0-9A-Za-z*~$=-]{5,}"


def clean(typed: str, what: str) -> str:
    """A name as it may stand in a record: single spaces, no control signs, at most 200 long."""
    name = " ".join(typed.split())
    if not name:
        raise WrongUse(f"The name of the {what} is empty: write one.")
    if not name.isprintable():
        raise WrongUse(f"The name of the {what} holds a sign that cannot be printed: {name!r}.")
    if len(name) > 200:
        raise WrongUse(f"The name of the {what} is {len(name)} signs long; 200 are the most.")
    return name


def store_path(typed: str) -> str:
    """A store's path as it is written down: small letters, hyphens for spaces."""
    parts = [part.strip() for part in clean(typed, "store").split("/")]
    if not all(parts):
        raise WrongUse(f'"{typed}" is not a store: write its name, or room/shelf.')
    return "/".join(re.sub(r"\s+", "-", part).casefold() for part in parts)


def store(book: Book, typed: str | None) -> str:
    """The store that is meant; none typed is the household."""
    if typed is None:
        return ""
    path = store_path(typed)
    tops = {levels(known)[1] for known in book.settings.stores if known}
    first, _, rest = path.partition("/")
    if first not in tops:
        near = sorted(top for top in tops if top.startswith(first))
        if len(near) > 1:
            raise NeedsChoice(f'"{typed}" may be {listed(near, "or")}: say which store is meant.')
        if not near:
            raise (_elsewhere(typed, path, book) or WrongUse(_no_store(typed, first, tops)))
        first = near[0]
    return f"{first}/{rest}" if rest else first


def _elsewhere(typed: str, path: str, book: Book) -> NeedsChoice | None:
    """The stores within others that may be meant: "garage freezer" where there is garage/freezer."""
    stores = sorted(known for known in book.settings.stores if "/" in known)
    near = [
        known for known in stores if path in (known.replace("/", "-"), known.rpartition("/")[2])
    ]
    if not near:
        return None
    return NeedsChoice(f'No store here is called "{typed}": write {listed(near, "or")}.')


def _no_store(typed: str, first: str, tops: set[str]) -> str:
    known = f"Known here: {listed(sorted(tops))}." if tops else "None is set up yet."
    return f'No store here is called "{typed}". {known} To add it: girnel store add {first} --kind KIND'


def one_food(book: Book, typed: str) -> str | None:
    """The one food that a name means; None where nothing is called so."""
    found = Foods(book).find(typed)
    if len(found.foods) == 1:
        return found.foods[0]
    near = found.foods or found.near
    if near:
        raise NeedsChoice(f'"{typed}" may be {listed(near, "or")}: say which food is meant.')
    return None


def lot(book: Book, typed: str) -> Lot | None:
    """The lot of a code or full name; None where the text is no code of a lot here."""
    text = typed.strip()
    if re.fullmatch(LOT_NAME, text):
        found = book.lot(text)
        if found is None:
            raise WrongUse(f"No lot called {text} is known here.")
        return found
    if not re.fullmatch(CODE_LIKE, text):
        return None
    found_names = book.coded(text)
    if len(found_names) > 1:
        said = listed([f"{code(book, name)} ({title(book, name)})" for name in found_names], "or")
        raise NeedsChoice(f"The code {text} fits {said}: write it longer.")
    return book.lot(found_names[0]) if found_names else None


def one_lot(book: Book, typed: str, store: str | None = None) -> Lot:
    """The lot that is meant by a code, or by a food of which there is only one lot (there)."""
    what = lot_or_food(book, typed)
    if isinstance(what, Lot):
        return what
    lots = had(book, what, typed)
    here = [lot for lot in lots if stands_in(lot, store or "")]
    for some in (here, [lot for lot in lots if lot.on_hand], lots):
        if len(some) == 1:
            return some[0]
        if some:
            raise SeveralLots(which_lot(book, typed, some))
    raise WrongUse(f"None of {typed} is known here.")


def lot_or_food(book: Book, typed: str) -> Lot | str:
    """A lot, or the name of a food."""
    if not typed.strip():
        raise WrongUse("Which food? Write its name or a lot's code.")
    if Foods(book).find(typed).how == "name":
        return one_food(book, typed) or typed
    wrong_code: NotUnderstood | None = None
    try:
        found = lot(book, typed)
    except NotUnderstood as error:
        found, wrong_code = None, error
    if found is not None:
        return found
    if wrong_code is not None and any(sign.isdigit() for sign in typed):
        raise WrongUse(str(wrong_code)) from wrong_code
    name = one_food(book, typed)
    if name is None:
        raise Unheard(
            f'Neither a lot nor a food here is called "{typed}": girnel on-hand lists them.'
        )
    return name


def had(book: Book, food: str, typed: str) -> list[Lot]:
    """The lots of a food that were brought in and not taken back, oldest first, at least one."""
    lots = [lot for lot in lots_of(book, food) if lot.identity is not None and lot.stands]
    if not lots:  # all of it is gone, and put by: looked for among the closed ones
        every = lots_of(book, food, since=-(2**62))
        lots = [lot for lot in every if lot.identity is not None and lot.stands]
    if not lots:
        raise WrongUse(
            f'No {typed} was ever brought in: girnel bring-in AMOUNT "{typed}" --in STORE'
        )
    return lots


def same_food(book: Book, one: str, other: str) -> bool:
    """Whether two names are of one food, as a person confirmed it."""
    if one == other:
        return True
    foods = Foods(book)
    return foods.canonical(one) == foods.canonical(other)


def stands_in(lot: Lot, store: str) -> bool:
    """Whether some of the lot is known in the store or its parts."""
    return any(parcel.n and within(parcel.store, store) for parcel in lot.parcels)


def which_lot(book: Book, typed: str, lots: list[Lot]) -> str:
    """The question which of several lots is meant, each with its code."""
    said = listed([f"{code(book, lot.name)} ({whereabouts(lot)})" for lot in lots], "or")
    return f"There are {len(lots)} lots of {typed}: {said}. Say which by its code."


def whereabouts(lot: Lot) -> str:
    stores = sorted({parcel.store or "somewhere" for parcel in lot.parcels if parcel.n})
    said = [part for part in (lot.variety, lot.form) if part]
    return ", ".join([*said, listed(stores) if stores else "none left"])


def title(book: Book, name: str) -> str:
    """What a lot is called: its food, variety and form."""
    found = book.lot(name)
    if found is None or found.identity is None:
        return "a lot that nobody has brought in"
    return ", ".join(part for part in (found.food, found.variety, found.form) if part)


def code(book: Book, name: str) -> str:
    """The short code of a lot."""
    found = book.lot(name)
    name = found.name if found else name
    return codes.shortest(name, *book.near(codes.signs(name)))


def concern_id(concern: Concern) -> str:
    """A short name of a concern, the same on every device that sees it."""
    return codes.code("|".join([concern.kind, *concern.key[1]]))
