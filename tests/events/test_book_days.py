"""A past day, as it is known now."""

from tests.build import Household


def test_what_a_past_day_lacks_and_the_log_has_is_no_concern() -> None:
    """The cook eats two on day one, opens one and takes it back on day three."""
    house = Household()
    jars = house.bring_in(9, "plums", "cellar", unit="jar", t=0)
    house.eat(2, jars, "cellar", t=10)
    opened = house.open(1, jars, "cellar", t=2000)
    house.void(opened, t=2001)
    place = house.book.place
    then = house.book.as_of(place("hall:2"))
    assert [c.kind for c in then.concerns()] == []
    assert sum(p.n for p in then.lots[jars].parcels) == 7 * 5_040_000
    assert house.book.concerns() == []
