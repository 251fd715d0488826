"""The clock, timezones, and names that nobody else has."""

import re
import time

import pytest

from events import edtf
from events.kinds import DeviceSet
from service.clock import CountedIds, Fixed, RandomIds, System, instant, offset
from service.errors import WrongUse

AUTUMN = 1_792_890_000_000
"""2026-10-25 01:00:00 UTC, the moment at which British clocks go back
(`date -u -d 2026-10-25T01:00:00Z +%s`; last Sunday of October, 1:00 UTC)"""


def test_the_systems_clock_is_in_milliseconds() -> None:
    before = time.time()
    now = System().now_ms()
    assert before * 1000 - 1 <= now <= time.time() * 1000


def test_an_offset_changes_with_the_season_and_the_moment_does_not() -> None:
    clock = Fixed(AUTUMN)
    assert clock.offset(AUTUMN - 1, "Europe/London") == 60
    assert clock.offset(AUTUMN, "Europe/London") == 0
    assert System().offset(AUTUMN, "Asia/Kathmandu") == 345
    before = instant(AUTUMN - 60_000, 60)
    after = instant(AUTUMN + 60_000, 0)
    assert (before, after) == ("2026-10-25T01:59:00+01:00", "2026-10-25T01:01:00+00:00")
    assert edtf.span(before, 0)[0] == AUTUMN - 60_000
    assert edtf.span(after, 0)[0] == AUTUMN + 60_000


@pytest.mark.parametrize("ms", [-5, 0, 10**11, 2**48 - 1, 2**62])
def test_any_clock_can_be_said(ms: int) -> None:
    said = instant(ms, offset(ms, "America/Denver"))
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d-0[67]:00", said)
    edtf.span(said, 0)


@pytest.mark.parametrize("name", ["Europe/Lundon", "", "../../etc/passwd", "/etc/passwd", "Europe"])
def test_a_timezone_that_is_not_known(name: str) -> None:
    with pytest.raises(WrongUse, match="timezone"):
        offset(0, name)


def test_names_are_in_their_form_and_no_two_alike() -> None:
    ids = RandomIds()
    devices = {ids.device() for _ in range(500)}
    assert len(devices) == 500
    assert all(re.fullmatch("[0-9a-hjkmnp-tv-z]{8}", name) for name in devices)
    assert {len(ids.household()) for _ in range(10)} == {16}
    assert DeviceSet(device=ids.device(), facts={}).device


def test_counted_names_come_out_the_same_each_time() -> None:
    first, second = CountedIds(), CountedIds()
    assert [first.household(), first.device()] == [second.household(), second.device()]
