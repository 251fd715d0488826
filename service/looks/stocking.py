"""Stock against its marks, as data: what to get, and what to carry to the working shelf."""

from datetime import timedelta
from fractions import Fraction

from events import edtf
from events.quantity import grains, show_amount
from events.readings import carrying as carrying_reading
from events.readings import reorder as reorder_reading
from events.readings.carrying import Carry
from events.readings.lots import Measure, amount_json
from events.readings.reorder import Need, Waiting
from service.looks import days
from service.looks.asked import Asked
from service.looks.words import listed, said_amount


def reorder(asked: Asked) -> dict[str, object]:
    """What to get: how much, by when, why."""
    found = reorder_reading.reorder(asked.book, asked.now)
    return {
        "foods": [_need_json(asked, need) for need in found.needs],
        "not_understood": list(found.unread),
    }


def carrying(asked: Asked) -> dict[str, object]:
    """What to carry from back stock, the oldest first."""
    found = carrying_reading.carrying(asked.book)
    return {
        "foods": [_carry_json(one) for one in found.carries],
        "not_understood": list(found.unread),
    }


def shown(need: Need, n: Fraction | None) -> str:
    """So much of a food, in the unit of its marks."""
    return show_amount(grains(n or Fraction(0)), need.marks.unit)


def here_by(asked: Asked, need: Need) -> str:
    """The day on which it would be here if it were ordered today, ISO 8601."""
    today = days.local(asked.now, asked.clock.offset(asked.now, asked.zone)).date()
    return (today + timedelta(days=need.marks.lead_days)).isoformat()


def why(asked: Asked, need: Need) -> str:
    """What is there against the marks, since when it is low, and what is on its way."""
    marks = need.marks
    said = [f"{shown(need, need.there)} there, low below {shown(need, marks.refill)}"]
    if marks.refill is not None and need.there >= marks.refill:
        said.append(f"low until {shown(need, marks.clear)} or more comes in")
    if need.low_since is not None:
        offset = asked.clock.offset(need.low_since, asked.zone)
        day = days.local(need.low_since, offset).date().isoformat()
        said.append(f"since {edtf.show(day)}")
    if marks.par is not None:
        said.append(f"up to {shown(need, marks.par)}")
    said += [_expected(one) for one in need.waiting]
    if need.uncounted:
        said.append(f"what is kept in {listed(need.uncounted)} is not counted in")
    return "; ".join(said)


def _expected(one: Waiting) -> str:
    due = f" by {edtf.show(one.due)}" if one.due else ""
    apart = "" if one.n is not None else ", in another unit and not taken off"
    return f"{said_amount(one.said)} expected{due} ({one.record}){apart}"


def _amount(n: Fraction | None, unit: str) -> dict[str, object] | None:
    return None if n is None else amount_json(Measure(unit, grains(n), grains(n), grains(n)))


def _need_json(asked: Asked, need: Need) -> dict[str, object]:
    marks = need.marks
    return {
        "food": marks.food,
        "low": need.low_since is not None,
        "get": _amount(need.get, marks.unit),
        "packs": need.packs,
        "here_by": here_by(asked, need) if need.get else None,
        "there": _amount(need.there, marks.unit),
        "refill": _amount(marks.refill, marks.unit),
        "clear": _amount(marks.clear, marks.unit),
        "par": _amount(marks.par, marks.unit),
        "not_counted": list(need.uncounted),
        "expected": [
            {"record": one.record, "due": one.due, "amount": _amount(one.n, marks.unit)}
            for one in need.waiting
        ],
        "why": why(asked, need),
    }


def _carry_json(one: Carry) -> dict[str, object]:
    marks = one.marks
    return {
        "food": marks.food,
        "to": marks.shelf,
        "there": _amount(one.there, marks.unit),
        "wanted": _amount(one.wanted, marks.unit),
        "lacking": _amount(one.short, marks.unit),
        "pieces": [
            {
                "lot": piece.lot,
                "name": piece.name,
                "store": piece.store,
                "made": piece.made,
                "amount": amount_json(Measure(piece.unit, piece.n, piece.n, piece.n)),
            }
            for piece in one.pieces
        ],
    }
