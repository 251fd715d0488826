"""What a lot's food is called: every name under which the tables may know it.

Not which food is meant by what somebody types (`finding`).
"""

from events.book import Book
from events.lots.state import Lot


def names_of(book: Book, lot: Lot) -> tuple[str, ...]:
    """Its variety with its name, whole and by its last word, as in "Waltham butternut" squash; its
    own name; then those the household confirmed.
    """
    varieties = dict.fromkeys((lot.variety, *lot.variety.split()[-1:])) if lot.variety else ()
    return (
        *(f"{variety} {lot.food}" for variety in varieties),
        lot.food,
        *book.settings.other_names(lot.food),
    )
