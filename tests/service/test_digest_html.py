"""The digest as HTML: the same list as the text, readable anywhere, and looked at before it is kept.

The golden page is a person's to replace, after looking at it at 360 and 800 px, light and dark.
"""

import re
from html.parser import HTMLParser

import pytest

from events.kinds import StoreSet
from events.tables import load
from service.digests.compose import compose
from service.digests.digest import Bar, Care, Digest, Item, Section
from service.digests.html import COLOURS, Part, page, parts
from service.digests.render import shown_of, text
from tests.build import Household, ms
from tests.service.test_digest_golden import GOLDEN, week
from tests.tale import day

PAGE = GOLDEN.with_suffix(".html")


class Read(HTMLParser):
    """What is in a page: its words, tags, and the styles that it has of its own."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.tags: list[str] = []
        self.links: list[str] = []
        self._hidden = 0
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:  # type: ignore[explicit-override]
        self.tags.append(tag)
        self._hidden += tag in {"style", "title"}
        self.links += [value or "" for name, value in attrs if name in {"src", "href", "url"}]

    def handle_endtag(self, tag: str) -> None:  # type: ignore[explicit-override]
        self._hidden -= tag in {"style", "title"}

    def handle_data(self, data: str) -> None:  # type: ignore[explicit-override]
        if not self._hidden:
            self.words.append(data)

    @property
    def said(self) -> str:
        return " ".join(" ".join(self.words).split())


def test_the_demos_page_is_as_it_was() -> None:
    assert page(week()) == PAGE.read_text(encoding="utf-8")


def test_page_and_text_say_the_same() -> None:
    digest = week()
    said, plain = Read(page(digest)).said, " ".join(text(digest).split())
    for section, shown in zip(digest.sections, shown_of(digest), strict=True):
        assert section.heading in said
        for item in [item for item in section.items if not item.before][:shown]:
            assert " ".join(item.text.split()) in said
            assert " ".join(item.text.split()) in plain
        assert section.rest in said
    for care in digest.cautions:
        assert care.brief in said
    assert digest.title in said
    assert digest.closing in said


def test_it_reads_without_tables_images_scripts_or_anything_from_elsewhere() -> None:
    read = Read(page(week()))
    assert not {"table", "img", "script", "link", "iframe", "svg", "form"} & set(read.tags)
    assert read.links == []
    assert "http" not in page(week())
    assert "url(" not in page(week())
    assert re.findall(r"max-width:\s*([0-9]+)px", page(week()).split("</style>")[1]) == ["600"]
    assert 'lang="en-GB"' in page(week())
    assert read.tags.count("h1") == 1


def test_without_its_styles_all_is_still_said_in_order() -> None:
    """Some mail programs take every style away; the meaning of a bar is in words beside it."""
    bare = re.sub(
        r'<style>.*?</style>| style="[^"]*"| class="[^"]*"', "", page(week()), flags=re.DOTALL
    )
    assert Read(bare).said == Read(page(week())).said
    said = {item.bar.says for section in week().sections for item in section.items if item.bar}
    assert [words for words in said if words in Read(bare).said]


def test_what_people_write_is_no_markup() -> None:
    digest = Digest(
        title="<b>Hollow & Lane</b>", quiet="", closing="\"closing\" <i>",
        sections=(Section(heading="<h>", items=(Item(text="<script>x</script>", why="a & b"),),
                          rest="<r>"),),
        cautions=(Care(about="a", says="<s>", brief="<s>"),),
    )  # fmt: skip
    shown = page(digest, ("<foot>",))
    assert "<script>" not in shown
    read = Read(shown)
    for said in ("<b>Hollow & Lane</b>", "<script>x</script>", "a & b", "<r>", "<s>", "<foot>"):
        assert said in read.said


def test_a_quiet_week_is_short() -> None:
    quiet = Digest(title="T", sections=(), cautions=(), quiet="Nothing presses.", closing="C.")
    assert Read(page(quiet)).said == "T Nothing presses. C."


# -- bars ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bar", "boxes"),
    [
        (Bar(used=0, start=60, likely=80, says=""),
         [Part(60, False, True), Part(20, False, True), Part(20, False, False)]),
        (Bar(used=70, start=60, likely=80, says=""),
         [Part(60, True, True), Part(10, True, False), Part(10, False, True),
          Part(20, False, False)]),
        (Bar(used=100, start=100, likely=None, says=""), [Part(100, True, False)]),
        (Bar(used=50, start=50, likely=75, says=""),
         [Part(50, True, True), Part(25, False, True), Part(25, False, False)]),
    ],
)  # fmt: skip
def test_a_bar_is_filled_as_far_as_it_is_used_with_ticks_at_from_and_likely(
    bar: Bar, boxes: list[Part]
) -> None:
    assert parts(bar) == boxes
    assert sum(part.width for part in boxes) == 100


def test_a_bar_worked_out_by_hand() -> None:
    """Potatoes of 24 Aug in a kitchen, 2 to 4 weeks, on 8 Sep at 08:00: 15 1/3 days are gone.

    The bar runs from the morning of that day to 28 days after its evening, 29 days: 52 % are used,
    from stands at 14 of 29, likely in the middle of the ends, at 21 1/2. Of 21 1/2 days 71 % are
    used, of 14 109 %; had they come in at that evening, 14 1/3 of 28 days would be, 51 %.
    """
    home = Household()
    home.say(StoreSet(store="kitchen", facts={"kind": "kitchen"}))
    home.bring_in(10, "potatoes", "kitchen", on="2026-08-24", written=day(25))
    item = compose(home.book, load(), ms(day(39)), "Europe/London").sections[0].items[0]
    says = "used: about 71 % of its life (51 to 109 %)"
    assert item.bar == Bar(used=52, start=48, likely=74, says=says)


# -- colours ---------------------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """WCAG 2.2, relative luminance of an sRGB colour like #1d2025."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_measure_of_contrast_itself() -> None:
    """WCAG's ends: black on white is 21, a colour on itself 1; #767676 on white is just 4.5."""
    assert round(contrast("#000000", "#ffffff"), 2) == 21
    assert contrast("#5a6b7b", "#5a6b7b") == 1
    assert 4.5 <= contrast("#767676", "#ffffff") < 4.6


@pytest.mark.parametrize("screen", [0, 1], ids=["light", "dark"])
@pytest.mark.parametrize(
    ("one", "other", "least"),
    [
        ("text", "sheet", 7), ("dim", "sheet", 4.5),  # words: 1.4.3 asks for 4.5
        ("fill", "track", 3), ("sheet", "fill", 3), ("text", "track", 3),  # parts: 1.4.11 asks for 3
    ],
)  # fmt: skip
def test_light_and_dark_are_readable(one: str, other: str, least: float, screen: int) -> None:
    assert contrast(COLOURS[one][screen], COLOURS[other][screen]) >= least


def test_every_dark_colour_is_in_the_page() -> None:
    styles = page(week()).split("<style>")[1].split("</style>")[0]
    assert "prefers-color-scheme: dark" in styles
    for _, dark in COLOURS.values():
        assert dark in styles


if __name__ == "__main__":
    PAGE.write_text(page(week()), encoding="utf-8")
