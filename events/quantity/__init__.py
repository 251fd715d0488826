"""How much: exact amounts, the units people speak in, and what they type.

The rule: every sum is exact. A figure is a `Fraction` until it is written down; then it is a whole
number of grains (1/5 040 000 of its unit), rounded once, half to even. Nothing here knows a lot, a
store or a date, and no weight is made of a volume save by a published figure for the crop or by
the household's own word.
"""

from events.quantity.bushels import Measure, bushel_range, measures, weight_range
from events.quantity.equal import Equal, amount_of, equal, through, volume_of
from events.quantity.grid import decimal, exact, fraction, grains, show
from events.quantity.typed import NotUnderstood, Said, TwoWays, number, parse
from events.quantity.units import UNITS, System, Unit, canonical_unit, convert, plural, show_amount

__all__ = [
    "UNITS",
    "Equal",
    "Measure",
    "NotUnderstood",
    "Said",
    "System",
    "TwoWays",
    "Unit",
    "amount_of",
    "bushel_range",
    "canonical_unit",
    "convert",
    "decimal",
    "equal",
    "exact",
    "fraction",
    "grains",
    "measures",
    "number",
    "parse",
    "plural",
    "show",
    "show_amount",
    "through",
    "volume_of",
    "weight_range",
]
