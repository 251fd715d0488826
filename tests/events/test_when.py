"""When something happened, in the words in which it is told; Sunday 22 and Tuesday 24 Nov 2026."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events import edtf, when
from events.quantity import NotUnderstood

SUNDAY = date(2026, 11, 22)
TUESDAY = date(2026, 11, 24)


@pytest.mark.parametrize(
    ("typed", "today", "edtf_text"),
    [
        ("last Sunday", SUNDAY, "2026-11-15"),
        ("last Sunday", TUESDAY, "2026-11-22"),
        ("last Friday", TUESDAY, "2026-11-20"),
        ("last Tuesday", TUESDAY, "2026-11-17"),
        ("on Friday", SUNDAY, "2026-11-20"),
        ("yesterday", SUNDAY, "2026-11-21"),
        ("yesterday evening", SUNDAY, "2026-11-21T17:00/2026-11-21T23:59"),
        ("Yesterday  Morning", SUNDAY, "2026-11-21T04:00/2026-11-21T11:59"),
        ("this morning", SUNDAY, "2026-11-22T04:00/2026-11-22T11:59"),
        ("this afternoon", SUNDAY, "2026-11-22T12:00/2026-11-22T17:59"),
        ("last night", SUNDAY, "2026-11-21T18:00/2026-11-22T05:59"),
        ("tonight", SUNDAY, "2026-11-22T18:00/2026-11-23T05:59"),
        ("last Sunday evening", SUNDAY, "2026-11-15T17:00/2026-11-15T23:59"),
        ("Friday evening", SUNDAY, "2026-11-20T17:00/2026-11-20T23:59"),
        ("on the 14th", SUNDAY, "2026-11-14"),
        ("the 22nd", SUNDAY, "2026-11-22"),
        ("the 23rd", SUNDAY, "2026-10-23"),
        ("the 31st", SUNDAY, "2026-10-31"),
        ("on the 14th in the afternoon", SUNDAY, "2026-11-14T12:00/2026-11-14T17:59"),
        ("14 Aug in the morning", SUNDAY, "2026-08-14T04:00/2026-08-14T11:59"),
        ("the 14th of August", SUNDAY, "2026-08-14"),
        ("two days ago", SUNDAY, "2026-11-20"),
        ("a week ago", SUNDAY, "2026-11-15"),
        ("at 9:30", SUNDAY, "2026-11-22T09:30"),
        ("6 pm", SUNDAY, "2026-11-22T18:00"),
        ("yesterday at 18:04", SUNDAY, "2026-11-21T18:04"),
        ("last month", SUNDAY, "2026-10"),
        ("2026-08", SUNDAY, "2026-08"),
        ("14 Aug 2026", SUNDAY, "2026-08-14"),
    ],
)
def test_words_for_when(typed: str, today: date, edtf_text: str) -> None:
    assert when.read(typed, today) == edtf_text


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("last Friday", "“last Friday” may be 20 Nov 2026 or 13 Nov 2026"),
        ("Sunday", "may be 22 Nov 2026"),
        ("Sunday evening", "may be 22 Nov 2026"),
        ("the 45th", "“the 45th” is no day of a month"),
        ("last week", "not a date that can be read"),
        ("the other day", "not a date that can be read"),
        ("Aug 2026 in the evening", "does not say which day"),
        ("4/5/2026", "may be"),
        ("at 6", "not a date that can be read"),
        ("", "No date"),
    ],
)
def test_what_may_be_two_days_is_asked(typed: str, says: str) -> None:
    with pytest.raises(NotUnderstood, match=says):
        when.read(typed, SUNDAY)


def test_the_next_one_ahead() -> None:
    assert when.read("the 24th", SUNDAY, ahead=True) == "2026-11-24"


WORDS = ["last", "this", "on", "the", "14th", "sunday", "evening", "night", "yesterday", "at", "9:30",
         "aug", "2026", "ago", "two", "days", "in", "morning", "tonight", "31st"]  # fmt: skip


@given(st.lists(st.sampled_from(WORDS), max_size=6))
def test_any_words_are_a_date_or_a_sentence(words: list[str]) -> None:
    try:
        found = when.read(" ".join(words), SUNDAY)
    except NotUnderstood:
        return
    edtf.span(found, 0)


def test_intervals_begin_before_they_end() -> None:
    for text in ("last night", "yesterday evening", "this morning"):
        first, last = edtf.span(when.read(text, SUNDAY), 60)
        assert first is not None
        assert last is not None
        assert first < last
