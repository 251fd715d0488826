"""The next digest: what changed comes first, what stands is listed once, what was wrong is put right."""

from typing import get_args

import pytest
from msgspec.structs import replace

from events.concerns import ConcernKind
from events.kinds import FoodSet, Held, MemberSet, StoreSet
from events.tables import load
from service.digests.changes import CHANGED, STANDING, Said
from service.digests.compose import Composed, Head, compose_next
from service.digests.digest import Digest
from service.digests.readers import for_reader, headings, readers, wrong
from service.digests.render import text
from service.digests.unsettled import SHORT
from tests.build import Household, ms
from tests.tale import day

TABLES = load()
HEAD = Head(7, "0123456789abcdef")


def house() -> Household:
    home = Household()
    for store, kind in (("kitchen", "kitchen"), ("back-room", "room"), ("barn", "outbuilding")):
        home.say(StoreSet(store=store, facts={"kind": kind}))
    return home


def after(home: Household, at: float, last: Composed | None = None) -> Composed:
    said: Said | None = None if last is None else last.said
    return compose_next(home.book, TABLES, ms(at), "Europe/London", "Hollow Lane", said, HEAD)


def part(digest: Digest, heading: str) -> list[str]:
    return [i.text for section in digest.sections if section.heading == heading
            for i in section.items]  # fmt: skip


def headings_of(digest: Digest) -> list[str]:
    return [section.heading for section in digest.sections]


def test_salt_is_low_is_said_once_while_it_is_low() -> None:
    """10.2, 9.9, 10.4 (counted again), 9.8, then 25 bought; low below 10 lb, until 12."""
    home = house()
    home.say(FoodSet(food="salt", facts={"refill": "10 lb", "clear": "12 lb"}), t=day(1) + 1)
    salt = home.bring_in("10.2", "salt", "kitchen", t=day(1) + 5)
    first = after(home, day(2))
    assert part(first.digest, "Get") == []
    home.count("9.9", salt, "kitchen", t=day(3))
    second = after(home, day(9), first)
    assert len(part(second.digest, "Get")) == 1
    assert part(second.digest, "Get")[0].endswith("salt: now")
    home.count("10.4", salt, "kitchen", t=day(10))
    third = after(home, day(16), second)
    assert part(third.digest, "Get") == []
    assert "to get: salt" in part(third.digest, STANDING)
    home.count("9.8", salt, "kitchen", t=day(17))
    fourth = after(home, day(23), third)
    assert part(fourth.digest, "Get") == []
    assert "to get: salt" in part(fourth.digest, STANDING)
    home.bring_in(25, "salt", "kitchen", origin="bought", t=day(24))
    fifth = after(home, day(30), fourth)
    assert "no longer low: salt" in part(fifth.digest, CHANGED)
    sixth = after(home, day(30) + 7 * 1440, fifth)
    for digest in (fifth.digest, sixth.digest):
        assert part(digest, "Get") == []
        assert not [line for line in part(digest, STANDING) if line.startswith("to get: ")]
    assert part(sixth.digest, CHANGED) == []


def test_what_was_set_aside_and_eaten_is_told_once_with_what_is_left() -> None:
    """Three quarts, two kept for the feast, one left when it was counted, and no taker known."""
    home = house()
    cherries = home.bring_in(3, "sour cherries", "back-room", unit="jar", t=day(1) + 5)
    home.set_aside(cherries, "back-room", 2, t=day(1) + 10)
    first = after(home, day(2))
    home.count(1, cherries, "back-room", t=day(5))
    second = after(home, day(9), first)
    told = [line for line in part(second.digest, "What does not add up") if "cherries" in line]
    assert len(told) >= 1
    assert [line for line in told if "left" in line]
    third = after(home, day(16), second)
    assert part(third.digest, "What does not add up") == []
    (standing,) = [line for line in part(third.digest, STANDING) if "add up" in line]
    assert "sour cherries" in standing


def test_a_counts_difference_that_a_late_record_restates_is_corrected() -> None:
    """The count missed two; the teen had taken them, on a phone that was heard a week later."""
    home = house()
    beans = home.bring_in(12, "green beans", "back-room", unit="jar", t=day(1) + 5)
    first = after(home, day(2))
    home.count(10, beans, "back-room", t=day(6))
    second = after(home, day(9), first)
    assert any("counts miss 2 jars green beans" in line
               for line in part(second.digest, "Last week in figures"))  # fmt: skip
    home.eat(2, beans, "back-room", t=day(4), written=day(4), device="phone")
    third = after(home, day(16), second)
    changed = part(third.digest, CHANGED)
    assert "corrected: counts miss 2 jars green beans in back-room was said, it is none" in changed
    assert "corrected, heard late: eaten 2 jars green beans" in changed
    assert "settled or accounted for: a count of green beans" in changed
    assert headings_of(third.digest)[0] == CHANGED
    fourth = after(home, day(23), third)
    assert part(fourth.digest, CHANGED) == []


def test_figures_are_of_the_days_since_the_last_digest_and_none_is_told_twice() -> None:
    home = house()
    oats = home.bring_in(50, "rolled oats", "barn", t=day(1) + 5)
    last, eaten = after(home, day(2)), []
    for week, at in enumerate((day(9), day(16), day(30))):
        home.eat(week + 1, oats, "barn", t=at - 2000)
        home.eat(1, oats, "barn", t=at)  # at the very moment of the digest
        last = after(home, at, last)
        heading = headings_of(last.digest)[-1]
        eaten.append((heading, part(last.digest, heading)))
    assert eaten == [
        ("Last week in figures", ["eaten: 2 lb rolled oats"]),
        ("Last week in figures", ["eaten: 3 lb rolled oats"]),
        ("Since Sunday 16 Aug 2026 in figures", ["eaten: 4 lb rolled oats"]),
    ]


def test_a_last_digest_of_a_clock_that_was_ahead_is_passed_over() -> None:
    home = house()
    oats = home.bring_in(50, "rolled oats", "barn", t=day(1) + 5)
    home.eat(2, oats, "barn", t=day(8))
    ahead = after(home, day(400))
    now = after(home, day(9), ahead)
    assert part(now.digest, "Last week in figures")[0] == "eaten: 2 lb rolled oats"


def test_the_last_line_has_the_logs_size_and_its_head() -> None:
    assert after(house(), day(2)).digest.closing == (
        "The log holds 7 records; its head is 0123456789abcdef."
    )


def test_what_is_to_be_used_first_is_said_as_long_as_it_is_so() -> None:
    home = house()
    home.bring_in(10, "potatoes", "kitchen", on="2026-08-02", written=day(3))
    first = after(home, day(9))
    second = after(home, day(16), first)
    assert part(first.digest, "Use first")[0].startswith("10 lb potatoes")
    assert part(second.digest, "Use first")[0].startswith("10 lb potatoes")


def test_a_hold_is_told_when_it_is_new_and_again_when_it_is_due() -> None:
    home = house()
    beans = home.bring_in(12, "green beans", "back-room", unit="jar", t=day(1) + 5)
    home.say(Held(lot=beans, until="2026-08-20", reason="crock"), t=day(3))
    first = after(home, day(9))
    assert len(part(first.digest, "Go and look")) == 1
    second = after(home, day(16), first)
    assert part(second.digest, "Go and look") == []
    assert [line for line in part(second.digest, STANDING) if line.startswith("to look at: ")]
    third = after(home, day(23), second)
    assert part(third.digest, "Go and look")[0].startswith("due: ")


def test_a_reader_has_the_sections_that_they_chose_and_every_caution() -> None:
    home = house()
    home.bring_in(10, "potatoes", "kitchen", on="2026-08-02", written=day(3))
    home.eat(1, "hall:4:0", "kitchen", t=day(5))
    home.say(MemberSet(member="cook", facts={"mail": "cook@example.org", "sections": "figures"}))
    home.say(MemberSet(member="teen", facts={"mail": "teen@example.org", "sections": "get"}))
    home.say(MemberSet(member="guest", facts={"name": "Guest"}))
    cook, teen = readers(home.book)
    digest = after(home, day(9)).digest
    assert headings_of(for_reader(digest, cook)) == ["Last week in figures"]
    assert headings_of(for_reader(digest, teen)) == []
    assert "Nothing this week in your sections." in text(for_reader(digest, teen))
    assert for_reader(digest, teen).cautions == digest.cautions
    assert for_reader(digest, replace(cook, headings=frozenset())) == digest


def test_what_a_member_may_choose_is_understood_before_it_is_set() -> None:
    assert wrong("mail", "cook@example.org") is None
    for address in ("cook", "cook@", "cook@a b", "köchin@example.org", "a@b, c@d", "a@b\nBcc: c@d"):
        assert wrong("mail", address), address
    assert wrong("digest", "urgent") is None
    assert "weekly, urgent, none" in (wrong("digest", "daily") or "")
    assert wrong("sections", "use first; Get") is None
    assert '"jam" is no section' in (wrong("sections", "get; jam") or "")
    assert headings("Use first; nonsense") == frozenset({"Use first"})


def test_what_does_not_add_up_stands_in_a_few_words_and_says_once_what_to_do() -> None:
    home = house()
    beans = home.bring_in(12, "green beans", "back-room", unit="jar", t=day(1) + 5)
    home.count(10, beans, "back-room", t=day(3))
    first = after(home, day(9))
    second = after(home, day(16), first)
    assert part(second.digest, STANDING) == [
        "does not add up: a count of green beans; girnel concerns says what to do"
    ]
    oats = home.bring_in(50, "rolled oats", "barn", t=day(17))
    home.count(40, oats, "barn", t=day(18))
    third = after(home, day(23), second)
    assert part(third.digest, STANDING) == ["does not add up: a count of green beans"]
    assert text(third.digest).count("girnel concerns") == 1


def test_every_kind_of_concern_has_a_few_words_of_its_own() -> None:
    assert set(SHORT) == set(get_args(ConcernKind))
    assert len(set(SHORT.values())) == len(SHORT)
    assert max(map(len, SHORT.values())) < 35


def test_a_hold_that_was_told_as_due_still_says_so_while_it_stands() -> None:
    home = house()
    kraut = home.bring_in(18, "sauerkraut", "kitchen", t=day(1) + 5)
    home.say(Held(lot=kraut, until="2026-08-08", reason="crock"), t=day(2))
    first = after(home, day(9))
    assert part(first.digest, "Go and look")[0].startswith("due: ")
    (line,) = part(after(home, day(16), first).digest, STANDING)
    assert line.startswith("to look at: 18 lb sauerkraut ")
    assert line.endswith(", kitchen (due)")


def test_amounts_heard_late_are_one_line_a_kind() -> None:
    home = house()
    oats = home.bring_in(50, "rolled oats", "barn", t=day(1) + 5)
    salt = home.bring_in(5, "salt", "kitchen", t=day(1) + 6)
    home.eat(1, oats, "barn", t=day(3))
    first = after(home, day(9))
    for lot, store in ((oats, "barn"), (salt, "kitchen")):
        home.eat(2, lot, store, t=day(5), written=day(5), device="phone")
    home.spoil(1, salt, "kitchen", cause="other", t=day(6), written=day(6), device="phone")
    assert part(after(home, day(16), first).digest, CHANGED)[:3] == [
        "corrected: eaten 1 lb rolled oats was said, it is 3 lb rolled oats",
        "corrected, heard late: eaten 2 lb salt",
        "corrected, heard late: lost 1 lb salt (another cause)",
    ]


def test_what_is_put_off_to_a_day_is_no_news_before_it_and_is_news_on_it() -> None:
    home = house()
    home.say(FoodSet(food="salt", facts={"refill": "10 lb"}), t=day(1) + 1)
    home.bring_in("9", "salt", "kitchen", t=day(1) + 5)
    first = after(home, day(2))
    assert part(first.digest, "Get")[0].endswith("salt: now")
    home.say(FoodSet(food="salt", facts={"quiet_until": "2026-08-20"}), t=day(3))
    second = after(home, day(9), first)
    assert part(second.digest, "Get") == part(second.digest, CHANGED) == []
    assert "to get: salt (quiet until 20 Aug 2026)" in part(second.digest, STANDING)
    third = after(home, day(16), second)
    assert "to get: salt (quiet until 20 Aug 2026)" in part(third.digest, STANDING)
    fourth = after(home, day(20), third)
    assert part(fourth.digest, "Get")[0].endswith("salt: now")
    assert part(fourth.digest, STANDING) == []


@pytest.mark.parametrize("said", ["soon", "2026-13-01", "20261120", "2026-W47"])
def test_a_day_that_is_none_puts_nothing_off(said: str) -> None:
    home = house()
    home.say(FoodSet(food="salt", facts={"refill": "10 lb", "quiet_until": said}), t=day(1) + 1)
    home.bring_in("9", "salt", "kitchen", t=day(1) + 5)
    assert part(after(home, day(2)).digest, "Get")[0].endswith("salt: now")
