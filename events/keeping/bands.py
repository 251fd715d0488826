"""Which published rows are for a store of this kind: temperatures, and words for temperatures.

Where nothing was stated or read a store has the temperature that its kind is named for, and that
is said as assumed. An outbuilding, a cellar and the ground have none: only rows that print no
temperature, or words that fit, are for them. What a known temperature does stands in `rates`.
"""

from typing import TypeAlias

from msgspec import Struct

from events.tables import Keeping

Milli: TypeAlias = int


class Band(Struct, frozen=True):
    """Temperatures, thousandths of a degree Celsius, both ends within."""

    low: Milli
    high: Milli
    words: str


CUPBOARD = Band(10_000, 21_100, "10 to 21 C")
REFRIGERATOR = Band(4_000, 4_400, "4 C")
FREEZER = Band(-18_000, -17_800, "-18 C")

ASSUMED: dict[str, Band] = {
    "kitchen": CUPBOARD,
    "room": CUPBOARD,
    "cupboard": CUPBOARD,
    "pantry": CUPBOARD,
    "refrigerator": REFRIGERATOR,
    "fridge": REFRIGERATOR,
    "freezer": FREEZER,
}
"""50-70 F, 40 F and 0 F, as the tables' cupboards, refrigerators and freezers are meant."""

COOL = frozenset(
    {"cool area", "cool clean dry", "cool dark", "cool dry", "cool dry dark", "cool dry place"}
)
CELLAR_WORDS = COOL | {"common storage", "proper storage", "general home storage"}
WORDS: dict[Band | str, frozenset[str]] = {
    CUPBOARD: COOL | {"cupboard", "pantry", "room temperature", "room temperature or below"},
    REFRIGERATOR: frozenset({"refrigerator"}),
    FREEZER: frozenset({"freezer"}),
    "cellar": CELLAR_WORDS,
    "outbuilding": frozenset({"common storage", "general home storage"}),
}

COOLNESS: dict[str, Band] = {
    **dict.fromkeys(COOL, Band(0, 21_100, "up to 21 C")),
    **dict.fromkeys(("cupboard", "pantry", "room temperature"), CUPBOARD),
    "room temperature or below": Band(-(10**9), 21_100, "up to 21 C"),
    "refrigerator": Band(0, 5_000, "0 to 5 C"),
    "freezer": Band(-(10**9), -17_800, "-18 C or colder"),
}
"""Words for temperatures, where one is known: what they may be. Our own reading, no source."""

FAR = 10**9
NARROW = 1_000
"""A band narrower than a degree is one temperature, rounded."""


def assumed(kind: str | None) -> Band | None:
    """The temperature that a store of this kind is named for, None where it is for none."""
    return ASSUMED.get(kind or "")


def words_of(row: Keeping) -> str:
    """The row's words for its temperature, "" where it prints none."""
    if row.temp_as_printed or row.form != "fresh":
        return row.temp_as_printed
    return "general home storage" if row.note == "general home storage" else ""


def fits(row: Keeping, kind: str | None) -> bool:
    """Is the row for food in a store of this kind?"""
    band = assumed(kind)
    if (row.form == "frozen") != (band == FREEZER):
        return False
    if row.temp_low_milli is not None or row.temp_high_milli is not None:
        return band is not None and _meets(row, band)
    words = words_of(row)
    if words:
        return words in WORDS.get(band or kind or "", frozenset())
    if "refrigerated" in row.packaging:
        return band == REFRIGERATOR
    return not (row.form == "fresh" and band == REFRIGERATOR)


def _meets(row: Keeping, band: Band) -> bool:
    """Bands meet that share more than an end; one that is a single temperature lies within."""
    low = -FAR if row.temp_low_milli is None else row.temp_low_milli
    high = FAR if row.temp_high_milli is None else row.temp_high_milli
    shared = min(high, band.high) - max(low, band.low)
    if shared > 0:
        return True
    return shared == 0 and (high - low < NARROW or band.high - band.low < NARROW)


def beyond(row: Keeping, kind: str | None) -> str:
    """In words, where the store as assumed may be colder or warmer than the row is for."""
    band = assumed(kind)
    if band is None or (row.temp_low_milli is None and row.temp_high_milli is None):
        return ""
    if row.temp_high_milli is not None and band.high - row.temp_high_milli >= NARROW:
        return f"at {row.temp_as_printed}, less if warmer"
    if row.temp_low_milli is not None and row.temp_low_milli - band.low >= NARROW:
        return f"at {row.temp_as_printed}"
    return ""
