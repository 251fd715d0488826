"""Bad input of every kind: one clear sentence, exit code 2 (1 where a person has to choose).

Nothing is written: the log is byte for byte what it was.
"""

import pytest

from tests.console import Console

BEANS = "green beans"

BRINGING = (
    ("12 qt", BEANS, "--form", "home-canned", "--in", "back-room"),
    ("25 kg", "rolled oats", "--in", "barn"),
)

WRONG: list[tuple[str, list[str], str]] = [
    # -- commands and options
    ("no command", [], "Something is missing: COMMAND"),
    ("a command that is not there", ["tidy"], '"tidy" is no command: write one of init, store'),
    (
        "an option that is not there",
        ["take", "1", BEANS, "--speed", "9"],
        "Not understood: --speed 9",
    ),
    (
        "half an option's name",
        ["take", "1", BEANS, "--i", "kitchen"],
        "Not understood: --i kitchen",
    ),
    ("an option without its word", ["take", "1", BEANS, "--in"], "--in wants a word after it"),
    ("too few words", ["take", "1"], "Something is missing: LOT"),
    ("too many words", ["take", "1", BEANS, "please"], "Not understood: please"),
    ("a store deed without its part", ["store"], "Something is missing: add|set|list"),
    (
        "a cause that is none",
        ["toss", "1", BEANS, "--cause", "ghosts"],
        '--cause "ghosts" is none of mould, rot',
    ),
    (
        "an origin that is none",
        ["bring-in", "1", "salt", "--origin", "sea"],
        '--origin "sea" is none of harvest, bought',
    ),
    # -- amounts
    (
        "an amount that is a word",
        ["take", "plenty-ish!", BEANS],
        "is not an amount that can be read",
    ),
    ("an empty amount", ["take", "", BEANS], "No amount was given"),
    ("nothing at all", ["take", "0", BEANS], '"0" is nothing at all: write how much'),
    ("none brought in", ["bring-in", "0 lb", "salt"], "is nothing at all: write how much came in"),
    (
        "a measure in the food",
        ["bring-in", "13", "jars of salt"],
        "write the amount and the food apart",
    ),
    ("below nought", ["take", "-3", BEANS], "is below nought"),
    ("a range that falls", ["bring-in", "9-3 lb", "salt"], "does not rise"),
    ("a range of two units", ["bring-in", "3 lb-4 kg", "salt"], "two units"),
    ("a half over nought", ["take", "1/0", BEANS], "divides by nought"),
    ("a unit nobody knows", ["bring-in", "3 flurbs", "salt"], "“flurbs” is not a unit known here"),
    (
        "more than the books hold",
        ["bring-in", "9999999999999 kg", "salt"],
        "more than the books can hold",
    ),
    ("not a number", ["bring-in", "nan kg", "salt"], "is not an amount"),
    ("without end", ["bring-in", "inf", "salt"], "is not an amount"),
    ("a number written by a computer", ["bring-in", "1e9 kg", "salt"], "1e9 kg"),
    ("a very long amount", ["take", "1" * 300, BEANS], "too long"),
    ("the rest of nothing", ["take", "the rest", BEANS, "--in", "barn"], "say how much"),
    (
        "jars of unknown size",
        ["bring-in", "3 lb", "plums", "--package", "jar"],
        "How much does one jar hold?",
    ),
    (
        "a size without a package",
        ["bring-in", "3", "plums", "--holds", "1 qt"],
        "say which with --package",
    ),
    (
        "a size that is none",
        ["bring-in", "3", "plums", "--package", "tin", "--holds", "big"],
        "big",
    ),
    ("a package that is a measure", ["bring-in", "3", "plums", "--package", "kg"], "is a measure"),
    ("a package that is a number", ["bring-in", "3", "plums", "--package", "7"], "is no package"),
    (
        "a second measure that is the first",
        ["bring-in", "3 lb", "plums", "--beside", "4 lb"],
        "second measure",
    ),
    # -- dates
    ("a day that is not in the calendar", ["take", "1", BEANS, "--on", "31.2.2026"], "31.2.2026"),
    ("a day that is a word", ["take", "1", BEANS, "--on", "whenever"], "whenever"),
    ("an empty day", ["take", "1", BEANS, "--on", ""], "No date was given"),
    (
        "a day to come",
        ["take", "1", BEANS, "--on", "2026-12-24"],
        "has not come yet (today is 2026-11-22)",
    ),
    ("a month thirteen", ["take", "1", BEANS, "--on", "2026-13-01"], "2026-13-01"),
    ("a moment that is none", ["take", "1", BEANS, "--at", "tea time"], "is not a moment"),
    ("an hour 25", ["take", "1", BEANS, "--at", "25:00"], "cannot be"),
    ("a moment to come", ["take", "1", BEANS, "--at", "23:59"], "has not come yet"),
    (
        "a day and a moment",
        ["take", "1", BEANS, "--on", "today", "--at", "9:00"],
        "give one of them",
    ),
    ("a look on no day", ["on-hand", "--on", "soonish"], "soonish"),
    # -- stores
    (
        "a store nobody set up",
        ["take", "1", BEANS, "--in", "attic"],
        "Known here: back-room, barn, bed-3 and kitchen. To add it: girnel store add attic --kind KIND",
    ),
    ("a store without a name", ["take", "1", BEANS, "--in", " "], "The name of the store is empty"),
    ("a shelf of nothing", ["take", "1", BEANS, "--in", "/shelf"], "is not a store"),
    ("a shelf without a name", ["take", "1", BEANS, "--in", "barn//top"], "is not a store"),
    (
        "carried to where it stood",
        ["carry", "1", BEANS, "--from", "barn", "--to", "barn"],
        "nothing is carried",
    ),
    ("carried nowhere", ["carry", "1", BEANS, "--from", "barn"], "Something is missing: --to"),
    (
        "a kind of store nobody knows",
        ["store", "add", "loft", "--kind", "cloud"],
        '"cloud" is no kind of store',
    ),
    ("a store set up already", ["store", "add", "barn", "--kind", "room"], "is set up already"),
    (
        "a fact that no store has",
        ["store", "set", "barn", "colour=red"],
        '"colour=red" is no fact about a store',
    ),
    ("a fact said twice", ["store", "set", "barn", "room=dry", "room=wet"], "room is given twice"),
    # -- foods and lots
    (
        "a food nobody has",
        ["take", "1", "unicorn"],
        'Neither a lot nor a food here is called "unicorn"',
    ),
    ("no food at all", ["take", "1", ""], "Which food?"),
    (
        "a code with a wrong last sign",
        ["take", "1", "7K3Q0"],
        "is not a lot code: its last sign should be",
    ),
    ("a lot by a name nobody has", ["trail", "zz:9:0"], "No lot called zz:9:0 is known here"),
    ("a food without a name", ["bring-in", "1", "  "], "The name of the food is empty"),
    ("a food with a bell in it", ["bring-in", "1", "sa\x07lt"], "a sign that cannot be printed"),
    ("a food with a very long name", ["bring-in", "1", "salt " * 60], "200 are the most"),
    ("a note with a nought in it", ["take", "1", BEANS, "--note", "a\x00b"], "cannot be printed"),
    ("a note without end", ["take", "1", BEANS, "--note", "a" * 4001], "4000 are the most"),
    ("opening what is loose", ["open", "1", "rolled oats"], "nothing to open"),
    (
        "a printed date's kind alone",
        ["bring-in", "1", "salt", "--printed-kind", "best by"],
        "give it with --printed",
    ),
    ("a food set up already", ["food", "add", "x", "--unit", "3 kg"], "is no unit"),
    ("a unit worth nothing", ["food", "add", "x", "--unit", "puck = much"], "much"),
    ("nothing said of a food", ["food", "set", BEANS], "Nothing was said of green beans"),
    # -- members
    (
        "a member nobody knows",
        ["take", "1", BEANS, "--by", "stranger"],
        "Known: cook and gardener. To add one: girnel member add",
    ),
    ("a member twice", ["member", "add", "cook"], "cook is a member already"),
    # -- counts, looks and marks
    ("a count of nothing", ["count"], "A count says how much there is of which lot"),
    ("a count of half", ["count", "7"], "A count says how much there is of which lot"),
    (
        "a lot without a figure",
        ["count", "--store", "barn", "rolled oats"],
        "does not say how much: write LOT=7",
    ),
    (
        "a lot counted twice",
        ["count", "--store", "barn", "rolled oats=7", "rolled oats=8"],
        "is named twice",
    ),
    ("a whole store in part", ["count", "--store", "barn", "--part"], "leave out --in, --part"),
    ("a look that saw nothing", ["look", BEANS], "A look says what was seen"),
    ("more sound than seen", ["look", BEANS, "--seen", "3", "--sound", "4"], "are parts of --seen"),
    ("a release of what is not held", ["release", BEANS], "is held"),
    ("a freeing of what is not kept", ["free", BEANS], "is set aside"),
    ("a mark that is none", ["release", BEANS, "--mark", "1"], "is no mark"),
    ("a mark of three words", ["hold", "green", "beans", "today"], "Not understood: today"),
    # -- mending
    ("a record nobody knows", ["undo", "zz:9"], "No record zz:9 is known here"),
    ("a record that is no name", ["undo", "that one"], "names no record"),
    ("the record that names this device", ["undo", "1"], "cannot be taken back"),
    ("a double of itself", ["undo", "8", "--same-as", "8"], "cannot be a double of itself"),
    ("a double of another thing", ["undo", "8", "--same-as", "4"], "say different things"),
    ("a fact that no lot has", ["amend", BEANS, "amount=9"], "is no fact about a lot"),
    ("a fact without a text", ["amend", BEANS, "altitude"], "is no fact about a lot"),
    ("a lot without a food", ["amend", BEANS, "food="], "cannot be blanked"),
    ("a concern where all adds up", ["settle", "1"], "no concern stands"),
    # -- the household
    ("a household where there is one", ["init", "Other"], "There is a household in"),
    ("a household without a name", ["init", "  "], "The name of the household is empty"),
    (
        "a timezone nobody knows",
        ["init", "Other", "--timezone", "Mars/Base"],
        '"Mars/Base" is not known',
    ),
    ("a home without a name", ["on-hand", "--home", ""], "The data directory has no name"),
    (
        "a home where nobody lives",
        ["on-hand", "--home", "/nowhere/at/all"],
        "There is no household in",
    ),
    ("a file that is there", ["export", "--to", "/dev/null"], "is there already"),
    ("a file that cannot be", ["export", "--to", "/nowhere/at/all"], "cannot be written"),
]


@pytest.mark.parametrize(
    ("argv", "says"), [row[1:] for row in WRONG], ids=[row[0] for row in WRONG]
)
def test_bad_input_is_one_sentence_and_nothing_written(
    lane: Console, argv: list[str], says: str
) -> None:
    assert says in lane.refuses(*argv)


def test_there_are_many_kinds_of_bad_input() -> None:
    assert len(WRONG) >= 60
    assert len({row[0] for row in WRONG}) == len(WRONG)


@pytest.fixture
def two_lots(lane: Console) -> Console:
    lane.does("bring-in", "4 qt", "broad beans", "--form", "home-canned", "--in", "back-room")
    lane.does("bring-in", "7 qt", "green beans", "--form", "home-canned", "--in", "back-room")
    return lane


CHOICES: list[tuple[str, list[str], str]] = [
    ("a comma that may be a point", ["bring-in", "2,5 kg", "salt"], "could be read in two ways"),
    ("a unit with two meanings", ["bring-in", "3 ton", "salt"], "may be a short ton"),
    ("a day that may be two", ["take", "1", BEANS, "--on", "04/05/26"], "04/05/26"),
    (
        "a weekday that may be two",
        ["take", "1", BEANS, "--on", "last friday"],
        "may be 20 Nov 2026",
    ),
    (
        "a day that may be a month",
        ["take", "1", BEANS, "--on", "11/13"],
        "Nov 2013 (write 2013-11)",
    ),
    (
        "a point that may be a comma",
        ["bring-in", "1.200 g", "salt"],
        "write 1.2, or 1200 without the point",
    ),
    ("pieces with a point", ["bring-in", "1.200", "walnuts"], "could be read in two ways"),
    ("which food", ["take", "1", "beans"], '"beans" may be broad beans or green beans'),
    ("which lot is tossed", ["toss", "1", BEANS], "There are 2 lots of green beans"),
    ("which lot is carried", ["carry", "1", BEANS, "--to", "barn"], "Say which by its code"),
    ("which store", ["take", "1", BEANS, "--in", "b"], '"b" may be back-room, barn or bed-3'),
]


@pytest.mark.parametrize(
    ("argv", "says"), [row[1:] for row in CHOICES], ids=[row[0] for row in CHOICES]
)
def test_what_may_be_several_things_is_listed_and_never_guessed(
    two_lots: Console, argv: list[str], says: str
) -> None:
    assert says in two_lots.refuses(*argv, code=1)


def test_only_held_food_is_not_picked(lane: Console) -> None:
    lane.does("hold", BEANS, "--reason", "suspect seal")
    assert "is kept back" in lane.refuses("take", "1", BEANS, "--in", "back-room", code=1)


def test_an_unforeseen_fault_is_one_sentence(
    lane: Console, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("the shelf fell")

    before = lane.log()
    monkeypatch.setattr("service.console.names.one_lot", broken)
    assert lane.run("toss", "1", BEANS) == 2
    assert "a fault of this program (RuntimeError: the shelf fell)" in " ".join(lane.err.split())
    assert "Traceback" not in lane.err
    assert lane.log() == before


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("GIRNEL_NOW", "noon", '"noon" is not a moment with its offset'),
        ("GIRNEL_NOW", "2026-11-22T10:00:00", "is not a moment with its offset"),
        ("GIRNEL_BY", "stranger", 'No member is called "stranger"'),
    ],
)
def test_what_is_set_wrong_from_outside_is_said(
    lane: Console, monkeypatch: pytest.MonkeyPatch, name: str, text: str, says: str
) -> None:
    before = lane.log()
    monkeypatch.setenv(name, text)
    assert lane.run("take", "1", BEANS) == 2
    assert says in " ".join(lane.err.split())
    monkeypatch.undo()
    assert (lane.home / "log.db").exists()
    monkeypatch.setenv("GIRNEL_HOME", str(lane.home))
    assert lane.log() == before


@pytest.mark.parametrize(
    "content", [b"not a log at all, " * 400, b"", b"SQLite format 3\x00" + b"\xff" * 4096]
)
def test_a_file_that_is_no_log_is_said_and_left_alone(lane: Console, content: bytes) -> None:
    for file in lane.home.iterdir():
        file.unlink()
    (lane.home / "log.db").write_bytes(content)
    for argv in (["on-hand"], ["take", "1", BEANS]):
        assert lane.run(*argv) == 2, argv
        assert lane.out == ""
        assert "fault of this program" not in " ".join(lane.err.split())
        assert len(lane.err.splitlines()) <= 4
    assert (lane.home / "log.db").read_bytes() == content


def test_a_deed_that_is_stopped_says_so(lane: Console, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    before = lane.log()
    with monkeypatch.context() as patched:
        patched.setattr("service.console.names.one_lot", stopped)
        assert lane.run("toss", "1", BEANS) == 130
    assert lane.err == "girnel: Stopped. What was told back is written down, the rest is not.\n"
    assert lane.log() == before
