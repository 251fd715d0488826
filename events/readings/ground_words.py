"""What stands in the ground, in sentences: for the console, the digest and whoever else tells it.

Figures come from `ground`, `bed_rows` and `ground_ends`; here they are only said. A temperature is
told in both scales, a day as people write it. Nothing is called safe, and frost is no promise.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction

from events import edtf
from events.quantity import grains, show, show_amount
from events.readings.bed_rows import Rows
from events.readings.ground import Bed, InGround
from events.readings.ground_course import Stretch
from events.readings.ground_ends import End
from events.readings.lots import Measure, shown

SOON = 28
"""Days before an end from which on digging is pressing: our own choice."""
THAWED = 60
"""Days after a frost for which the bed counts as just thawed."""


def degrees(celsius: float) -> str:
    """In both scales: "2.5 °C (36.5 °F)"."""
    return f"{celsius:.1f} °C ({celsius * 1.8 + 32:.0f} °F)"


def day(one: date) -> str:
    return edtf.show(one.isoformat())


def between(first: date, last: date) -> str:
    return edtf.show(f"{first}/{last}") if first != last else day(first)


def state(bed: Bed) -> str:
    """How warm a bed is, and whether it can be dug."""
    said = []
    if bed.celsius is not None and bed.soil is not None:
        low, likely, high = bed.celsius
        said.append(f"{degrees(likely)} at {bed.soil.depth:.0f} cm, {low:.1f} to {high:.1f}")
    if bed.read is not None:
        said.append(f"read {degrees(bed.read[1])} on {day(bed.read[0])}")
    said.append({"yes": "can be dug", "no": "cannot be dug now: not food now",
                 "perhaps": "perhaps frozen: try with a fork", "unknown": ""}[bed.reach])  # fmt: skip
    return "; ".join(part for part in said if part)


def winters(bed: Bed, on: date) -> list[str]:
    """The next two stretches in which a bed cannot be dug, in words."""
    groups = [group for group in _groups(bed.closed) if group[-1].last >= on][:2]
    return [_stretch(group, on, None if bed.on is None else bed.on.last) for group in groups]


def _groups(closed: Iterable[Stretch]) -> list[list[Stretch]]:
    """Stretches that follow each other, frost apart from the household's own word."""
    groups: list[list[Stretch]] = []
    for one in sorted(closed, key=lambda s: (s.own, s.first)):
        last = groups[-1][-1] if groups else None
        if last is not None and last.own == one.own and (one.first - last.last).days == 1:
            groups[-1].append(one)
        else:
            groups.append([one])
    return sorted(groups, key=lambda group: group[0].first)


def _stretch(group: Sequence[Stretch], on: date, seen: date | None) -> str:
    """`seen`: the last day that is looked at: what reaches it may go on."""
    first, last = group[0], group[-1]
    if first.own:
        return f"closed {between(first.first, last.last)}, by your own word"
    sure = [s for s in group if s.sure]
    if seen is not None and last.last >= seen:
        begins = sure[0].first if sure else first.first
        if begins <= on:
            return "frozen, and no thaw is in sight"
        return f"frozen again from about {between(first.first, begins)}"
    if not sure:
        return f"perhaps frozen {between(first.first, last.last)}"
    since = sure[0].first if first.sure else None
    until = sure[-1].last if last.sure else None
    start = day(since) if since else f"between {between(first.first, sure[0].first)}"
    end = day(until) if until else f"between {between(sure[-1].last, last.last)}"
    return (
        f"frozen from {start} until {end}"
        if since and until
        else f"frozen: from {start}, until {end}"
    )


def weeks_closed(bed: Bed, one: InGround, on: date) -> int:
    """Whole weeks in which the ground could surely not be dug since the lot stood there."""
    shut: set[int] = set()
    for s in bed.closed:
        if s.sure:
            first, last = max(s.first, one.since).toordinal(), min(s.last, on).toordinal()
            shut.update(range(first, last + 1))
    return len(shut) // 7


def just_thawed(bed: Bed, on: date) -> date | None:
    """The last day of the frost that has just gone, None where none has."""
    ended = [s.last for s in bed.closed
             if s.sure and not s.own and 0 < (on - s.last).days <= THAWED]  # fmt: skip
    return max(ended) if ended and bed.reach == "yes" else None


def presses(end: End, on: date) -> bool:
    """Whether to dig within four weeks."""
    return (end.first - on).days <= SOON


def end_said(end: End, on: date) -> str:
    """One end in a sentence part."""
    low, high = end.celsius
    mark = f"{low:g} °C" if low == high else f"{low:g} to {high:g} °C"
    where = "" if end.measured_in == ("soil",) else ", a figure for stores"
    why = f"{end.what} ({mark}{where}; {_listed(end.publishers)})"
    if end.last is not None and end.last < on:
        return f"past since {day(end.last)}: {why}"
    when = f"from {day(end.first)}" if end.last is None else between(end.first, end.last)
    likely = "" if end.likely is None or end.last is None else f", likely {day(end.likely)}"
    if end.last is None:
        likely = ", which may not come" if end.what == "hard frost" else ""
    return f"{when}{likely}: {why}"


def by_when(bed: Bed, one: InGround, on: date) -> list[str]:
    """By when a lot has to be dug, first end first; else why nothing is said."""
    if not one.ends:
        return [f"no day to dig by: {one.why_none}"]
    first, *later = one.ends
    thawed = just_thawed(bed, on)
    urgent = ""
    if first.last is not None and first.last < on:
        urgent = "dig now, and look at each" if first.what == "new growth" else "look now"
    elif thawed and presses(first, on):
        urgent = f"thawed since {day(thawed)}, dig now"
    elif first.likely is not None and first.likely <= on:
        urgent = "dig now"
    head = f"dig by {end_said(first, on)}"
    if first.last is not None and first.last < on:
        head = end_said(first, on)
    lines = [f"{urgent}; {head}" if urgent else head]
    return [*lines, *(f"and then {end_said(end, on)}" for end in later)]


def rows_said(rows: Rows, one: InGround, bed: str) -> list[str]:
    """What was dug and lost of the rows, and what is left by length beside the books."""

    def much(n: Fraction) -> str:
        return show_amount(grains(n), rows.unit)

    gave = f" gave {show_amount(grains(rows.gave), one.offered.unit)}" if rows.gave else ""
    lost = f", {much(rows.lost)} lost ({_listed(rows.causes)})" if rows.lost else ""
    said = [
        f"{show(grains(rows.dug))} of {much(rows.whole)} dug{gave}{lost}; {much(rows.left)} left"
    ]
    if rows.rest is not None:
        books = all_there(one)
        said[0] += f": by length {shown(rows.rest)}, in the books {shown(books)}"
        if differs(rows.rest, books):
            low, high = (show(n or 0) for n in (rows.rest.low, rows.rest.high))
            left = f"{low if low == high else f'{low}-{high}'} {rows.rest.unit}"
            said.append(f'Right as measured? girnel count "{left}" {one.lot} --in {bed}')
    return said


def all_there(one: InGround) -> Measure:
    """All of a lot in its bed by the books, what is kept back too."""
    total = one.offered
    for _, much in one.apart:
        total = total.plus(much)
    return total


def differs(rest: Measure, books: Measure) -> bool:
    """Whether what the books have is not within what is left by length."""
    return not rest.low <= books.n <= (rest.n if rest.high is None else rest.high)


def _listed(things: Sequence[str]) -> str:
    return ", ".join(things)
