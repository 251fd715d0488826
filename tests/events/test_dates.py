"""What people type for a date, what is listed because it has two meanings, and what makers print."""

from contextlib import suppress
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events import dates, edtf
from events.dates import Printed, printed, read
from events.quantity import NotUnderstood, TwoWays

FRIDAY = date(2026, 10, 2)
some_days = st.dates(date(1901, 1, 1), date(2199, 12, 31))


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        ("2026-08-14", "2026-08-14"),
        ("  2026-08-14 ", "2026-08-14"),
        ("2026-8-1", "2026-08-01"),
        ("2026/08/14", "2026-08-14"),
        ("14 Aug 2026", "2026-08-14"),
        ("14 AUGUST 2026", "2026-08-14"),
        ("14 Aug. 2026", "2026-08-14"),
        ("Aug 14, 2026", "2026-08-14"),
        ("the 14th of August 2026", "2026-08-14"),
        ("14 Aug 26", "2026-08-14"),
        ("2026 Aug 14", "2026-08-14"),
        ("14/8/2026", "2026-08-14"),
        ("14.8.2026", "2026-08-14"),
        ("8/14/2026", "2026-08-14"),
        ("8/14/26", "2026-08-14"),
        ("4/4/26", "2026-04-04"),
        ("Aug 2026", "2026-08"),
        ("2026-08", "2026-08"),
        ("Aug '24", "2024-08"),
        ("8/2024", "2024-08"),
        ("8/99", "1999-08"),
        ("24/8", "2026-08-24"),
        ("13/11", "2025-11-13"),
        ("before 28 Feb 2026", "../2026-02-27"),
        ("before Feb 2026", "../2026-01-31"),
        ("by 28 Feb 2026", "../2026-02-28"),
        ("summer 24", "2024-22"),
        ("fall 2024", "2024-23"),
        ("winter 2024", "2024-24"),
        ("2024", "2024"),
        ("today", "2026-10-02"),
        ("Yesterday", "2026-10-01"),
        ("the day before yesterday", "2026-09-30"),
        ("3 days ago", "2026-09-29"),
        ("a week ago", "2026-09-25"),
        ("monday", "2026-09-28"),
        ("sat", "2026-09-26"),
        ("14 Aug", "2026-08-14"),
        ("28 Dec", "2025-12-28"),
        ("29 Feb", "2024-02-29"),
        ("August", "2026-08"),
        ("Dec", "2025-12"),
        ("2026-08-01/2026-08-20", "2026-08-01/2026-08-20"),
        ("1-20 Aug 2026", "2026-08-01/2026-08-20"),
        ("1 \u2013 20 Aug 2026", "2026-08-01/2026-08-20"),
        ("1st to 20th Aug 2026", "2026-08-01/2026-08-20"),
        ("between 1 and 20 Aug 2026", "2026-08-01/2026-08-20"),
        ("from 1 Aug to 2 Sep 2026", "2026-08-01/2026-09-02"),
        ("20 Dec to 5 Jan 2026", "2025-12-20/2026-01-05"),
        ("1 to 20 Sep", "2026-09-01/2026-09-20"),
        ("Jun-Aug 2024", "2024-06/2024-08"),
        ("14 Aug 2026 to today", "2026-08-14/2026-10-02"),
        ("since Aug 2026", "2026-08/.."),
        ("up to 20 Aug 2026", "../2026-08-20"),
        ("about Aug 2026", "2026-08~"),
        ("~2026-08", "2026-08~"),
        ("around 14 Aug 2026", "2026-08-14~"),
        ("maybe 2024", "2024?"),
        ("2024-08?", "2024-08?"),
        ("maybe about summer 24", "2024-22%"),
        ("about 1-20 Aug 2026", "2026-08-01~/2026-08-20~"),
        ("14 Aug 2026 18:04", "2026-08-14T18:04"),
        ("14 Aug 2026, 18:04:31", "2026-08-14T18:04:31"),
        ("2026-08-14 18:04", "2026-08-14T18:04"),
        ("2026-08-14T18:04-07:00", "2026-08-14T18:04-07:00"),
        ("yesterday at 6 pm", "2026-10-01T18:00"),
        ("today 12:15am", "2026-10-02T00:15"),
    ],
)
def test_as_people_type_it(typed: str, text: str) -> None:
    assert read(typed, FRIDAY) == text


@pytest.mark.parametrize(
    ("typed", "meanings"),
    [
        ("04/05/26", ["4 May 2026 (write 2026-05-04)", "5 Apr 2026 (write 2026-04-05)"]),
        ("4.5.2026", ["4 May 2026 (write 2026-05-04)", "5 Apr 2026 (write 2026-04-05)"]),
        ("Aug 24", ["24 Aug 2026 (write 2026-08-24)", "Aug 2024 (write 2024-08)"]),
        ("8/11", ["Aug 2011", "11 Aug 2026", "8 Nov 2025"]),
        ("8/30", ["Aug 2030", "30 Aug 2026"]),
        ("8/24", ["Aug 2024 (write 2024-08)", "24 Aug 2026 (write 2026-08-24)"]),
        ("11/13", ["Nov 2013", "13 Nov 2025"]),
        ("10/2", ["2 Oct 2026", "10 Feb 2026"]),
        ("Friday", ["2 Oct 2026", "25 Sep 2026"]),
    ],
)
def test_two_meanings_are_listed(typed: str, meanings: list[str]) -> None:
    with pytest.raises(TwoWays) as raised:
        read(typed, FRIDAY)
    for meaning in meanings:
        assert meaning in str(raised.value)
    assert str(raised.value).startswith(f"“{typed}” may be ")


def test_a_household_that_says_which_goes_first_is_believed() -> None:
    assert read("04/05/26", FRIDAY, day_first=True) == "2026-05-04"
    assert read("04/05/26", FRIDAY, day_first=False) == "2026-04-05"
    assert read("8/14/2026", FRIDAY, day_first=True) == "2026-08-14"
    assert read("10/2", FRIDAY, day_first=True) == "2026-02-10"
    assert read("10/2", FRIDAY, day_first=False) == "2026-10-02"


def test_ahead_is_the_next_one() -> None:
    assert read("3 Nov", FRIDAY, ahead=True) == "2026-11-03"
    assert read("14 Aug", FRIDAY, ahead=True) == "2027-08-14"
    assert read("Oct", FRIDAY, ahead=True) == "2026-10"
    assert read("monday", FRIDAY, ahead=True) == "2026-10-05"
    assert read("2 Oct", FRIDAY) == read("2 Oct", FRIDAY, ahead=True) == "2026-10-02"


@pytest.mark.parametrize(
    "typed",
    ["", "  ", "x", "24", "ma", "5th", "1 to 20", "36511", "0195", "31 Feb 2026", "2026-13-01",
     "2026-02-30", "13/2024", "0/24", "99/99/9999", "20-1 Aug 2026", "2026-08-20/2026-08-01", "2 pm",
     "yesterday 25:00", "today 13 pm", "14 Aug 2026 and more", "about", "?", "~", "/", "-", "../..",
     "14 Smarch 2026", "14 Aug 20266", "1850", "2300-01-01", "a" * 300, "\x00", "2026-08-14\x00"],
)  # fmt: skip
def test_what_is_no_date_is_said_in_one_sentence(typed: str) -> None:
    with pytest.raises(NotUnderstood, match=r"^[^\n]+\.$"):
        read(typed, FRIDAY)


@given(some_days, some_days, st.booleans())
def test_every_day_reads_the_same_in_every_form(day: date, today: date, ahead: bool) -> None:
    for form in ("%Y-%m-%d", "%d %b %Y", "%d %B %Y", "%b %d %Y", "%B %d, %Y", "%Y/%m/%d"):
        assert read(day.strftime(form), today, ahead=ahead) == day.isoformat()
    assert read(day.strftime("%d/%m/%Y"), today, day_first=True) == day.isoformat()
    assert read(day.strftime("%m/%d/%Y"), today, day_first=False) == day.isoformat()
    assert read(edtf.show(day.isoformat()), today) == day.isoformat()


@given(some_days, st.integers(0, 364))
def test_without_a_year_the_last_one_up_to_today(today: date, days: int) -> None:
    day = today - timedelta(days=days)
    if day.year < 1901 or (day.month, day.day) in ((today.month, today.day), (2, 29)):
        return
    text = day.strftime("%d %b")
    assert read(text, today) == day.isoformat()


@given(st.text(max_size=30) | st.text("0123456789 /-.~?toaugyesrdapm:", max_size=24))
def test_any_text_is_read_or_refused(typed: str) -> None:
    with suppress(NotUnderstood):
        edtf.span(read(typed, FRIDAY), 0)
    shown = printed(typed, FRIDAY)
    assert shown.raw == typed
    assert (shown.at is None) == bool(shown.question)


@pytest.mark.parametrize("offset", [-480, 0, 780])
def test_a_day_from_a_spreadsheet_stays_that_day(offset: int) -> None:
    day = read("8/14/2026", FRIDAY)
    for _ in range(10):
        first, _last = edtf.span(day, offset)
        assert first is not None
        day = read(edtf.date_of(first, offset), FRIDAY)
    assert day == "2026-08-14"


def test_a_makers_code_is_no_date() -> None:
    for raw in ("36511", "0195", "L1234 B2"):
        shown = printed(raw, FRIDAY)
        assert (shown.raw, shown.kind, shown.at) == (raw, "code", None)
        assert "no date until somebody says how to read it" in shown.question
    labelled = printed("best by 0195", FRIDAY)
    assert (labelled.kind, labelled.at) == ("best by", None)


def test_a_printed_date_that_depends_on_the_country_is_asked_about() -> None:
    shown = printed("BB 04/05/26", FRIDAY)
    assert (shown.raw, shown.kind, shown.at) == ("BB 04/05/26", "best by", None)
    assert "4 May 2026" in shown.question
    assert "5 Apr 2026" in shown.question
    assert printed("BB 04/05/26", FRIDAY, day_first=True).at == "2026-05-04"


@pytest.mark.parametrize(
    ("raw", "kind", "at"),
    [
        ("best before 14 AUG 2027", "best by", "2027-08-14"),
        ("BBE Aug 2027", "best by", "2027-08"),
        ("Use by: 14/08/26", "use by", "2026-08-14"),
        ("packed on 8/14/26", "packed", "2026-08-14"),
        ("SELL BY 2026-11-03", "sell by", "2026-11-03"),
        ("14 Aug 2026", "unknown", "2026-08-14"),
    ],
)
def test_a_printed_date_with_one_meaning(raw: str, kind: str, at: str) -> None:
    assert printed(raw, FRIDAY) == Printed(raw, kind, at, "")  # type: ignore[arg-type]


def test_a_printed_day_without_a_year_is_no_date_yet() -> None:
    shown = printed("sell by 3 Nov", FRIDAY)
    assert (shown.kind, shown.at) == ("sell by", None)
    assert "no year printed" in shown.question


def test_a_code_once_the_household_says_how_to_read_it() -> None:
    # day 195 of 2020, a leap year, is 13 July; of 2010 it is 14 July
    assert dates.code_dates("0195", "YDDD", FRIDAY) == ["2020-07-13", "2010-07-14"]
    assert dates.code_dates("36511", "DDDYx", FRIDAY) == ["2021-12-31", "2011-12-31"]
    assert dates.code_dates("3667", "DDDY", FRIDAY) == []
    assert dates.code_dates("2627510", "YYDDDxx", FRIDAY) == ["2026-10-02"]
    assert dates.code_dates("6276", "YDDD", FRIDAY) == ["2016-10-02"]


@pytest.mark.parametrize("layout", ["YDD", "YDDDD", "QDDD", "DDDD", "xDDD", ""])
def test_a_layout_that_does_not_fit_is_said(layout: str) -> None:
    with pytest.raises(NotUnderstood, match=r"^“0195” .* like YDDD or DDDYx\.$"):
        dates.code_dates("0195", layout, FRIDAY)
