"""Common practice and sizes from memory in packing: told as such, after what is published."""

from fractions import Fraction

from events.readings.filling import densities, fill, vessel
from events.readings.loads import yields
from events.tables import load
from events.tables.packing import packing
from service.looks.filling import publisher

KNOWN = packing()
FIFTY = 50 * Fraction("453.59237")


def test_two_buckets_are_practice_and_stand_after_the_published_three() -> None:
    found = fill(FIFTY, vessel("bucket-5gal", KNOWN), densities(["flour"], KNOWN))
    assert [(way.vessels, way.practice) for way in found.ways] == [(3, False), (2, True)]
    row = found.ways[1].row
    assert row is not None
    assert row.note == "common practice, no source: settled in the sack"


def test_a_big_can_is_a_size_from_memory() -> None:
    assert vessel("#10 cans", KNOWN).from_memory
    assert not vessel("5 gal bucket", KNOWN).from_memory


def test_carrots_in_jars_were_read_second_hand_and_are_told_so() -> None:
    # a canning guide's words in a newspaper's garden column: 17 1/2 lb a load of seven quarts
    (row,) = yields(["carrots"], KNOWN)
    assert not load().sources[row.source_id].published
    assert (row.load_7_quarts, row.bushel) == (Fraction(35, 2), (Fraction(50), Fraction(50)))
    assert publisher(load(), row.source_id).startswith("read second-hand: ")
