"""What there is, whether there is any, where a lot went, what does not add up, the week: as data."""

from typing import TYPE_CHECKING, Any

from events.lots.places import within
from events.readings import on_hand as standing
from events.readings.lots import codes_of
from service.looks import finding
from service.looks.asked import Asked

if TYPE_CHECKING:
    from events.readings.ground_shut import Shuts
    from service.digests.digest import Digest


def on_hand(asked: Asked, store: str | None = None) -> list[dict[str, object]]:
    """What there is, where; `store`: in this one and its parts only."""
    path = finding.store(asked.book, store)
    return standing.to_json(
        [row for row in standing.parcels(asked.book, shut(asked)) if within(row.store, path)]
    )


def shut(asked: Asked) -> "Shuts":
    """What stands in the ground and is not to be counted on, on the day of the look."""
    if not any(asked.book.settings.kind_of(one) == "ground" for one in asked.book.settings.stores):
        return {}
    from events import tables
    from events.readings.ground_late import not_now
    from service.looks.ground import today

    return not_now(asked.book, tables.load(), today(asked), asked.tz)


def have(asked: Asked, food: str) -> dict[str, object]:
    """Do we have any? One answer over all stores."""
    from events.readings import have as having

    return having.to_json(having.answer(asked.book, food, shut(asked)))


def trail(asked: Asked, lot: str) -> dict[str, object]:
    """Where a lot came from and went, record by record."""
    from events.readings import trail as trails

    return trails.to_json(trails.trail(asked.book, finding.one_lot(asked.book, lot).name))


def concerns(asked: Asked) -> list[dict[str, object]]:
    """What does not add up, oldest first, each in a sentence."""
    from events.readings import concerns as sentences

    codes = codes_of(asked.book)
    return [
        {
            "number": number,
            "id": finding.concern_id(one),
            "kind": one.kind,
            "lot": codes.get(one.lot),
            "store": one.store,
            "rests_on": list(one.rests_on),
            "says": sentences.sentence(asked.book, one, codes, asked.tz),
        }
        for number, one in enumerate(asked.book.concerns(), 1)
    ]


def jars(asked: Asked) -> list[dict[str, object]]:
    """Jars, lids and other vessels: at hand, full, on loan, used."""
    from events.readings.vessels import to_json, vessels

    return to_json(vessels(asked.book))


def week(asked: Asked) -> "Digest":
    """The week's work list, as a value."""
    from events import tables
    from service.digests import compose

    known = tables.load()
    return compose.compose(asked.book, known, asked.now, asked.zone, asked.household, asked.today)


def digest(asked: Asked) -> Any:
    """The week's work list."""
    import msgspec

    return msgspec.to_builtins(week(asked))
