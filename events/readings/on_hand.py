"""What there is: the rows, by food, place and age, and a total for every food.

In a row stands what a person would see as one thing in one place; in a total what may be planned
with, beside what is held, kept back, in doubt or somebody else's.
"""

from events.readings.rows import Row, parcels, to_json, told
from events.readings.sums import Sum, Total, total_json, totals
from events.readings.sums import told as total_told

__all__ = [
    "Row",
    "Sum",
    "Total",
    "parcels",
    "to_json",
    "told",
    "total_json",
    "total_told",
    "totals",
]
