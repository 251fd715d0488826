"""Days and moments of deeds: what is read, what is asked, and what is told back."""

from tests.console import Console


def test_a_day_that_is_not_today_is_told_back(lane: Console) -> None:
    lot = lane.bring("20 lb", "turnips", "--in", "barn", "--on", "2025-12-01")
    said = lane.does("take", "1 lb", lot, "--in", "barn", "--on", "30 Dec")
    assert "1 lb taken from barn, 30 Dec 2025, 19 lb left in all." in said
    said = lane.does("count", "18 lb", lot, "--in", "barn", "--on", "yesterday")
    assert "18 lb counted in barn, 21 Nov 2026" in said
    said = lane.does("log", "took 1 lb of turnips from the barn yesterday")
    assert "21 Nov 2026" in said
    assert "2026" not in lane.does("take", "1 lb", lot, "--in", "barn", "--on", "today")
    assert "2026" not in lane.does("take", "1 lb", lot, "--in", "barn")
    again = lane.does("bring-in", "2 lb", "swedes", "--in", "barn", "--on", "1 Nov 2026")
    assert again.count("1 Nov 2026") == 1
