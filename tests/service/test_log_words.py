"""Deeds in a line of plain words: what each line writes, record for record, or what it says instead.

The lines stand in log_words.txt: under each the records it writes, nothing left out, or with an
exit code the beginning of what it says, and then nothing was written.
"""

import asyncio
import json
import re
import subprocess
import sys
from datetime import datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Struct

from events import codes
from events.book import Book
from service import assemble, clock
from service.console.speech import told
from service.console.speech.lexicon import MEANT, as_figures
from service.errors import GirnelError
from tests.conftest import EXAMPLES
from tests.console import Console
from tests.speech import lots, records, settle_in, written

TABLE = Path(__file__).with_name("log_words.txt")


class Line(Struct, frozen=True):
    said: str
    writes: tuple[str, ...]
    code: int
    says: str


def table() -> list[Line]:
    found = []
    for block in TABLE.read_text().strip().split("\n\n"):
        said, *under = block.splitlines()
        refused = re.fullmatch(r"  ([12]) (.*)", under[0])
        if refused:
            assert len(under) == 1, block
            found.append(Line(said, (), int(refused[1]), refused[2]))
        else:
            found.append(Line(said, tuple(line.removeprefix("  ") for line in under), 0, ""))
    return found


@pytest.fixture
def lane(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Console:
    settle_in(tmp_path / "home")
    return Console(tmp_path / "home", monkeypatch, capsys)


@pytest.mark.parametrize("line", table(), ids=lambda line: line.said)
def test_a_line_writes_just_this_or_nothing(lane: Console, line: Line) -> None:
    before = records(lane)
    named = lots(before)
    short = codes.codes(named)
    said = line.said
    for name, food in named.items():
        said = said.replace(f"{{{food}}}", short[name])
    if line.code:
        answer = lane.refuses("log", said, code=line.code)
        for name, food in named.items():
            answer = answer.replace(short[name], f"{{{food}}}")
        assert answer.startswith(line.says)
        return
    lane.does("log", said)
    after = records(lane)
    assert written(before, after) == list(line.writes)
    assert len({r.get("deed") or f"{r['device']}:{r['seq']}" for r in after[len(before) :]}) == 1


def test_the_table_is_over_all_deeds() -> None:
    lines = table()
    assert len(lines) >= 300
    assert len({line.said for line in lines}) == len(lines)
    done = " ".join(line.said.casefold() for line in lines if not line.code)
    for command in set(MEANT.values()):
        verbs = [verb for verb, meant in MEANT.items() if meant == command]
        assert any(re.search(rf"\b{verb}\b", done) for verb in verbs), command
    kinds = {record.partition(";")[0] for line in lines for record in line.writes}
    assert kinds >= {"voided", "lot_set", "settled", "incident", "put_up", "repacked"}


def test_a_number_of_what_is_all_gone_is_asked_too(lane: Console) -> None:
    lane.does("take", "rest", "apples", "--in", "barn")
    said = lane.refuses("log", "took an apple", code=1)
    assert said.startswith('"an apple": that food is kept by the lb.')
    lane.does("undo")
    lane.does("bring-in", "1/2 bu", "quinces", "--in", "barn")
    lane.does("take", "rest", "quinces", "--in", "barn")
    said = lane.refuses("log", "ate a quince", code=1)
    assert said.startswith('"a quince": that food is kept by the bushel.')


# -- told back, taken back ---------------------------------------------------------------------


def test_a_line_of_two_deeds_is_taken_back_at_once(lane: Console) -> None:
    before = lane.amounts()
    said = lane.does(
        "log", "took 2 eggs from the kitchen and opened a jar of plum jam in the kitchen"
    )
    assert said.count("Take back: girnel undo") == 1
    assert said.index("2 eggs taken") < said.index("1 jar opened") < said.index("Take back")
    lane.does("undo")
    assert lane.amounts() == before


def test_each_deed_of_a_line_is_told_of_its_own_lot(lane: Console) -> None:
    said = lane.does(
        "log",
        "brought in 4 quart jars of pears to the kitchen and 6 quart jars of home-canned "
        "cream-style corn to the kitchen and 3 lb of parsnips to the barn",
    )
    assert "pears: 4 jars" in said
    assert "corn: 6 jars (1 qt each) brought into kitchen" in said
    assert "parsnips: 3 lb brought into barn" in said
    held = [one["body"]["lot"] for one in records(lane) if one["body"]["kind"] == "held"]
    corn = next(r for r in records(lane) if r["body"].get("food") == "cream-style corn")
    assert held[1:] in ([], [f"{corn['device']}:{corn['seq']}:0"])


def test_a_line_as_json(lane: Console) -> None:
    told_back = lane.json("log", "took 2 eggs from the kitchen and 1 lb of apples from the barn")
    assert [one["food"] for one in told_back] == ["eggs", "apples"]
    assert told_back[0]["deed"] == told_back[1]["deed"]


def test_words_need_no_quotes_and_options_are_of_all_deeds(lane: Console) -> None:
    lane.does("log", "ate", "2", "eggs", "--by", "cook", "--on", "2026-11-20", "--note", "late")
    record = json.loads(lane.log().splitlines()[-1])["record"]
    assert (record["by"], record["at"], record["note"]) == ("cook", "2026-11-20", "late")


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (("yesterday ate 2 eggs", "--on", "2026-11-20"), "--on is given, and the line says it too"),
        (("the cook ate 2 eggs", "--by", "gardener"), "--by is given, and the line says it too"),
        (("yesterday ate 2 eggs", "--at", "18:04"), "--at is given, and the line says it too"),
        (("",), "Nothing was said"),
        (("ate 2 eggs " * 60,), "A line of"),
        (("ate 2 eggs\x07",), "The line has signs in it"),
        (("ate " + " and ".join(["2 eggs"] * 12),), "That line says 12 deeds"),
    ],
)
def test_what_does_not_go_with_a_line(lane: Console, typed: tuple[str, ...], says: str) -> None:
    assert lane.refuses("log", *typed).startswith(says)


def test_the_grammar_is_read_only_where_it_is_used(tmp_path: Path) -> None:
    look = "import sys; from service.console import main; main.run(['on-hand']); "
    look += "sys.exit(10 + ('lark' in sys.modules))"
    asked = subprocess.run(
        [sys.executable, "-c", look], env={"GIRNEL_HOME": str(tmp_path)}, capture_output=True,
        check=False, cwd=Path(__file__).parents[2],
    )  # fmt: skip
    assert asked.returncode == 10, asked.stderr


# -- any words at all --------------------------------------------------------------------------


@cache
def book() -> Book:
    """The household's book, read once."""

    async def read(home: Path) -> Book:
        async with assemble.open_home(
            home, clock.Fixed(1_795_341_600_000), writing=False
        ) as ledger:
            return ledger.book

    with TemporaryDirectory() as home:
        settle_in(Path(home))
        return asyncio.run(read(Path(home)))


GLUE = {"the", "our", "my", "of", "lot", "and", "then", "i", "left", "to", "into", "from", "out",
        "off", "in", "for", "because", "until", "on", "due", "since", "there", "was", "were", "is",
        "are", "got", "came", "went", "at", "between"}  # fmt: skip
SAME = {"a": "1", "an": "1", "no": "0", "home": "home-canned", "mouldy": "mould"}

UNDOING = {"undo", "undo that", "no, undo that", "undo the last one", "take that back"}
"""Lines of which every word says one thing: take the last deed back."""

SAID_ANEW = (r"\brepacked\b|\bput up\b|\bmade\b|\bcanned\b|\bfroze\b|\bdried\b|\bpacked anew\b|"
             r"\bsettled? concern\b|\bbelongs?\b|\bwithout (?:its |the |any )?acid\b|\bprocessed\b")  # fmt: skip
"""Words of deeds that are said in a form of their own, which are typed as options."""

WORDS = sorted({
    word
    for line in table()
    if "{" not in line.said
    for word in re.findall(r"[^\s.,:;]+|[,:;]", line.said)
})  # fmt: skip
PHRASES = [line.said.rstrip(".") for line in table() if "{" not in line.said]


def lost(line: str, deeds: list[tuple[str, ...]]) -> list[str]:
    """Words of the line that no deed says again, and that are no verb and no glue."""
    text = as_figures(line).casefold()
    if deeds == [("undo",)]:
        return [] if text in UNDOING else re.findall(r"\w+ (?:eggs|jars?|kitchen|barn)", text)
    text = re.sub(SAID_ANEW, " ", text)
    for verb in sorted(MEANT, key=len, reverse=True):
        text = re.sub(rf"(?<![\w-]){verb}(?![\w-])", " ", text)
    said = " ".join(word for deed in deeds for word in deed).casefold()
    said = " ".join(re.sub(r"[-/]", " ", said).split())
    text = re.sub(r"(?<![\w.])([0-9]+)(?=#|[^\W\d_]+\b)", r"\1 ", text)
    words = re.sub(r"[,:;./-]", " ", text).split()
    return [w for w in words if w not in GLUE and not {w, SAME.get(w, w)} & set(said.split())
            and w not in said]  # fmt: skip


def understood(line: str) -> None:
    try:
        deeds = told.read(book(), line, NOW)
    except GirnelError:
        return
    assert deeds
    assert lost(line, deeds) == [], (line, deeds)


NOW = datetime.fromisoformat("2026-11-22T10:00")

FEWER = settings(max_examples=max(50, EXAMPLES // 4))
"""A line's grammar is made for it: some hundredths of a second each."""


@FEWER
@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=12))
def test_any_words_are_wholly_read_or_not_at_all(words: list[str]) -> None:
    understood(" ".join(words))


@FEWER
@given(st.sampled_from(PHRASES), st.integers(0, 20), st.sampled_from(["not", "gubbins", "3", "kitchen", "and", "the", "jar", "yesterday", "from", "nearly", "of", "eggs"]))  # fmt: skip
def test_a_word_more_in_a_line_is_read_or_the_line_is_not(said: str, place: int, word: str) -> None:
    words = said.split()
    understood(" ".join([*words[:place], word, *words[place:]]))


@given(st.text(max_size=60))
def test_any_text_is_answered(text: str) -> None:
    line = " ".join(text.split())
    if line.isprintable():
        understood(line)
