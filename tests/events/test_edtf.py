"""What moments a text allows, checked against the standard library's calendar."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events import edtf

offsets = st.integers(-1439, 1439)
days = st.dates(date(1, 1, 3), date(9999, 12, 29))


def ms(year: int, month: int, day: int, hour: int = 0, minute: int = 0, second: int = 0) -> int:
    moment = datetime(year, month, day, hour, minute, second, tzinfo=UTC)
    return (moment - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1)


@pytest.mark.parametrize(
    ("text", "first", "after"),
    [
        ("2026-08-14", ms(2026, 8, 14), ms(2026, 8, 15)),
        ("2026-08", ms(2026, 8, 1), ms(2026, 9, 1)),
        ("2026-12", ms(2026, 12, 1), ms(2027, 1, 1)),
        ("2024-02", ms(2024, 2, 1), ms(2024, 3, 1)),
        ("2026", ms(2026, 1, 1), ms(2027, 1, 1)),
        ("2026-08-14~", ms(2026, 8, 14), ms(2026, 8, 15)),
        ("2026?", ms(2026, 1, 1), ms(2027, 1, 1)),
        ("2026-08%", ms(2026, 8, 1), ms(2026, 9, 1)),
        ("2024-21", ms(2024, 3, 1), ms(2024, 6, 1)),
        ("2024-22", ms(2024, 6, 1), ms(2024, 9, 1)),
        ("2024-23~", ms(2024, 9, 1), ms(2024, 12, 1)),
        ("2024-24", ms(2024, 12, 1), ms(2025, 3, 1)),
        ("202X", ms(2020, 1, 1), ms(2030, 1, 1)),
        ("20XX", ms(2000, 1, 1), ms(2100, 1, 1)),
        ("2024-XX", ms(2024, 1, 1), ms(2025, 1, 1)),
        ("2024-XX-XX", ms(2024, 1, 1), ms(2025, 1, 1)),
        ("2024-02-XX", ms(2024, 2, 1), ms(2024, 3, 1)),
        ("2026-08-01/2026-08-20", ms(2026, 8, 1), ms(2026, 8, 21)),
        ("2024-06/2024-08", ms(2024, 6, 1), ms(2024, 9, 1)),
        ("2024-06~/2025", ms(2024, 6, 1), ms(2026, 1, 1)),
        ("2026-08-14T18:04Z/2026-08-15", ms(2026, 8, 14, 18, 4), ms(2026, 8, 16)),
        ("2026-08-14T18:04Z", ms(2026, 8, 14, 18, 4), ms(2026, 8, 14, 18, 5)),
        ("2026-08-14T18:04", ms(2026, 8, 14, 18, 4), ms(2026, 8, 14, 18, 5)),
        ("2026-08-14T18:04:31Z", ms(2026, 8, 14, 18, 4, 31), ms(2026, 8, 14, 18, 4, 32)),
        ("2026-08-14T18:04-07:00", ms(2026, 8, 15, 1, 4), ms(2026, 8, 15, 1, 5)),
        ("2026-08-14T18:04:31+05:45", ms(2026, 8, 14, 12, 19, 31), ms(2026, 8, 14, 12, 19, 32)),
        ("2026-08-14T18:04:31+05", ms(2026, 8, 14, 13, 4, 31), ms(2026, 8, 14, 13, 4, 32)),
        ("2026-08-14T18:04:31.5Z", ms(2026, 8, 14, 18, 4, 31) + 500, ms(2026, 8, 14, 18, 4, 31) + 600),
        ("2026-08-14T18:04:31.5-07:00", ms(2026, 8, 15, 1, 4, 31) + 500, ms(2026, 8, 15, 1, 4, 31) + 600),
        ("2026-08-14T18:04-07:00/2026-08-15T18:04:31+01:00", ms(2026, 8, 15, 1, 4), ms(2026, 8, 15, 17, 4, 32)),
        ("2026-08-14T18:04:31.25Z", ms(2026, 8, 14, 18, 4, 31) + 250, ms(2026, 8, 14, 18, 4, 31) + 260),
        ("2026-08-14T18:04:31.1239Z", ms(2026, 8, 14, 18, 4, 31) + 123, ms(2026, 8, 14, 18, 4, 31) + 124),
    ],
)  # fmt: skip
def test_first_and_last_millisecond(text: str, first: int, after: int) -> None:
    assert edtf.span(text, 0) == (first, after - 1)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("../2026-08-20", None, ms(2026, 8, 21) - 1),
        ("/2026-08-20", None, ms(2026, 8, 21) - 1),
        ("2026-08-01/..", ms(2026, 8, 1), None),
        ("2026-08-01/", ms(2026, 8, 1), None),
    ],
)
def test_open_ends(text: str, first: int | None, last: int | None) -> None:
    assert edtf.span(text, 0) == (first, last)


@given(st.dates(date(1, 1, 2), date(9999, 12, 30)), offsets)
def test_a_date_is_its_whole_day_where_it_was_written(day: date, offset: int) -> None:
    zone = timezone(timedelta(minutes=offset))
    midnight = datetime(day.year, day.month, day.day, tzinfo=zone)
    first = (midnight - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1)
    assert edtf.span(day.isoformat(), offset) == (first, first + 86_400_000 - 1)
    assert edtf.day_ms(day.isoformat(), offset) == first


@given(days, st.integers(0, 86_399), offsets, offsets)
def test_an_instant_uses_its_own_offset(day: date, second: int, own: int, other: int) -> None:
    zone = timezone(timedelta(minutes=own))
    aware = datetime(day.year, day.month, day.day, tzinfo=zone) + timedelta(seconds=second)
    first = (aware - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1)
    assert edtf.span(aware.isoformat(), other) == (first, first + 999)
    assert edtf.span(aware.replace(tzinfo=None).isoformat(), own) == (first, first + 999)
    minute = aware.replace(second=0)
    first -= aware.second * 1000
    text = minute.isoformat()
    assert edtf.span(text[:16] + text[19:], other) == (first, first + 59_999)


@given(st.integers(-60_000_000_000_000, 250_000_000_000_000), offsets)
def test_a_millisecond_lies_in_the_instant_and_the_date_written_for_it(
    ms: int, offset: int
) -> None:
    first, last = edtf.span(edtf.instant(ms, offset), 0)
    assert first is not None
    assert last is not None
    assert first <= ms <= last
    first, last = edtf.span(edtf.date_of(ms, offset), offset)
    assert first is not None
    assert last is not None
    assert first <= ms <= last


@given(st.dates())
def test_a_day_and_its_number(day: date) -> None:
    number = day.toordinal() - date(1970, 1, 1).toordinal()
    assert edtf.day_number(day.year, day.month, day.day) == number
    assert edtf.calendar(number) == (day.year, day.month, day.day)


@pytest.mark.parametrize("offset", [-480, 0, 780])
def test_a_date_stays_that_date_however_often_it_is_saved(offset: int) -> None:
    day = "2026-08-14"
    for _ in range(10):
        first, last = edtf.span(day, offset)
        assert first is not None
        assert last is not None
        assert edtf.date_of(first, offset) == edtf.date_of(last, offset) == "2026-08-14"
        assert edtf.show(day) == "14 Aug 2026"
        day = edtf.date_of(first, offset)


@pytest.mark.parametrize(
    "text",
    [
        "", "~", "x", "/", "../..", "2026-13-01", "2026-00-01", "2026-02-29", "2026-04-31",
        "2026-8-1", "0000", "0000-01-01", "26", "2026-25", "2024-22-XX", "202X-08", "20X6", "XXXX",
        "2026-08-14T", "2026-08-14T24:00", "2026-08-14T18:60", "2026-08-14T18:04:60",
        "2026-08-14T18", "2026-08-14T18:04+", "2026-08-14T18:04+24:00", "2026-08-14T18:04:31z",
        "2026-08-14 18:04", "2026-08-14T18:04:31.Z", "2026-XXT18:04",
        "2026-08-20/2026-08-01", "2026-09/2026-08", "2026/2027/2028", "\uff12026-08-14",
        "2026-08-1\uff14", "+026-08-14", "2026-08-14\n", "2026-08-14T18:04:31Z\n", "~2026", "2026~~",
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_said_in_a_sentence(text: str) -> None:
    for _ in range(2):
        with pytest.raises(ValueError, match=r"^“[\s\S]*” [\s\S]*\.$"):
            edtf.span(text, 0)
    assert edtf.show(text) == text


@given(st.text(alphabet="0123456789TXZ:.+/?~%-", max_size=40), offsets)
def test_any_text_is_read_or_refused(text: str, offset: int) -> None:
    try:
        first, last = edtf.span(text, offset)
    except ValueError:
        assert edtf.show(text) == text
        return
    assert first is not None or last is not None
    if first is not None and last is not None:
        assert first <= last
    assert edtf.show(text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2026-08-14", "14 Aug 2026"),
        ("2026-08", "Aug 2026"),
        ("2026", "2026"),
        ("2024-22", "summer 2024"),
        ("2024-24~", "about winter 2024"),
        ("2026-08~", "about Aug 2026"),
        ("2026?", "perhaps 2026"),
        ("2026-08-14T18:04-07:00", "14 Aug 2026, 18:04"),
        ("2026-08-14T18:04:31Z", "14 Aug 2026, 18:04"),
        ("2026-08-01/2026-08-20", "1 to 20 Aug 2026"),
        ("2026-06/2026-08", "Jun to Aug 2026"),
        ("2026-08-20/2026-09-02", "20 Aug to 2 Sep 2026"),
        ("2025-12-30/2026-01-02", "30 Dec 2025 to 2 Jan 2026"),
        ("2026-08-01~/2026-08-20", "about 1 Aug 2026 to 20 Aug 2026"),
        ("2024/2026", "2024 to 2026"),
        ("2026-08/2026-08", "Aug 2026"),
        ("../2026-08-20", "up to 20 Aug 2026"),
        ("2026-08-01/", "from 1 Aug 2026"),
        ("202X", "the 2020s"),
        ("2024-08-XX", "Aug 2024"),
        ("2024-XX", "2024"),
    ],
)
def test_in_plain_words(text: str, words: str) -> None:
    assert edtf.show(text) == words


def test_known_dates_are_forgotten_in_time_and_read_again() -> None:
    for number in range(51_000):
        year, month, day = edtf.calendar(number)
        edtf.span(f"{year:04}-{month:02}-{day:02}", 0)
    assert edtf.span("1970-01-01", 0) == (0, 86_400_000 - 1)
