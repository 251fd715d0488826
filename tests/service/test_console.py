"""The console as a new user meets it: the first evening's commands, in a real shell."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from service.console import main
from tests.console import Console, household

ROOT = Path(__file__).parents[2]

BEFORE = """\
girnel init "Hollow Lane" --timezone Europe/London --member gardener --member cook
girnel store add kitchen --kind kitchen
girnel store add back-room --kind room
girnel store add barn --kind outbuilding
girnel store add bed-3 --kind ground
girnel bring-in "12 qt" "green beans" --form home-canned --in back-room --on 2026-08-14 --json
"""
AFTER = """\
girnel bring-in "25 kg" "rolled oats" --in barn --on 2026-10-02 --origin bought
girnel carry 3 LOT --from back-room --to kitchen
girnel open 1 LOT --in kitchen
girnel take "1 qt" LOT --in kitchen
girnel take 2 "green beans" --in kitchen
girnel toss 1 LOT --in back-room --cause "seal failed"
girnel count 7 LOT --in back-room
girnel undo
girnel on-hand
girnel have beans
girnel trail LOT
girnel concerns
girnel digest --on 2026-11-22
"""


def shell(script: str, home: Path, now: str | None = None) -> str:
    """A script in a real shell that stops at the first command that fails; what it printed."""
    env = {key: value for key, value in os.environ.items() if not key.startswith("GIRNEL_")}
    env |= {"GIRNEL_HOME": str(home), "PYTHONPATH": str(ROOT), "COLUMNS": "80"}
    if now is not None:
        env["GIRNEL_NOW"] = now
    girnel = f'girnel() {{ "{sys.executable}" -m service.console "$@"; }}\n'
    done = subprocess.run(
        ["bash", "-euc", girnel + script], env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stderr == ""
    return done.stdout


def test_the_first_evening_in_a_shell(tmp_path: Path) -> None:
    printed = shell(BEFORE, tmp_path / "home")
    lot = json.loads(printed[printed.index("{") :])["lot"]
    script = AFTER.replace("LOT", lot)
    printed = shell(script, tmp_path / "home")
    assert f"{lot} green beans: 2 jars taken from kitchen, picked as first to use" in printed
    assert f"Taken back: count, {lot} green beans" in printed
    assert "12 in = 3 eaten + 1 thrown out + 8 on hand (jar)" in printed
    assert "Everything adds up." in printed
    assert "Hollow Lane: the week to Sunday 22 Nov 2026" in printed

    parcels = json.loads(shell("girnel on-hand --json", tmp_path / "home"))
    assert [(p["food"], p["store"], p["amount"]) for p in parcels] == [
        ("green beans", "back-room", {"value": "8", "unit": "jar"}),
        ("rolled oats", "barn", {"value": "25", "unit": "kg"}),
    ]
    fields = [
        "lot",
        "food",
        "variety",
        "form",
        "store",
        "amount",
        "packages",
        "opened",
        "made",
        "held",
        "set_aside",
    ]
    assert all(set(fields) <= set(parcel) for parcel in parcels)
    assert parcels[0]["made"] == "2026-08-14"
    assert parcels[0]["packages"] == 8

    trail = json.loads(shell(f"girnel trail {lot} --json", tmp_path / "home"))
    kinds = [entry["kind"] for entry in trail["entries"]]
    assert kinds == ["received", "moved", "opened", "consumed", "consumed", "spoiled", "counted"]
    fields = ["at", "kind", "by", "device", "amount", "store", "before", "after", "heard"]
    assert all(set(fields) <= set(entry) for entry in trail["entries"])
    assert trail["balance"] == {
        "in": "12", "found": "0", "re_estimated": "0", "consumed": "3", "spoiled": "1", "given": "0",
        "planted": "0", "drawn": "0", "shrunk": "0", "missing": "0", "on_hand": "8",
    }  # fmt: skip


def test_a_real_process_says_wrong_use_in_a_sentence(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "service.console", "on-hand", "--home", str(tmp_path)],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("girnel: There is no household in")
    assert len(done.stderr.splitlines()) <= 4


def test_a_reader_that_goes_away_is_no_fault(tmp_path: Path) -> None:
    shell(BEFORE, tmp_path / "home")
    assert (
        shell(
            "girnel on-hand --json | true; girnel export | head -1 > /dev/null", tmp_path / "home"
        )
        == ""
    )


def test_there_is_a_command_for_each_word_and_no_other() -> None:
    words = {word for family in main.FAMILIES.values() for word in family}
    assert words == {
        "init", "store", "food", "member", "bring-in", "expect", "put-up", "repack", "carry", "dig",
        "open", "take", "toss", "give", "plant", "count", "look", "jars", "reading", "set-aside",
        "free", "hold", "release", "incident", "undo", "amend", "settle",
        "on-hand", "have", "trail", "concerns", "digest", "rotation", "reorder", "carrying", "ground", "fill",
        "log", "climate", "machine", "run", "what-if", "devices", "pair", "join", "sync", "export", "doctor", "serve", "demo",
    }  # fmt: skip


@pytest.mark.parametrize("family", main.FAMILIES)
def test_a_family_adds_the_commands_that_it_is_said_to(
    family: str, capsys: pytest.CaptureFixture[str]
) -> None:
    for word in main.FAMILIES[family]:
        with pytest.raises(SystemExit) as ended:
            main.parser([family]).parse_args([word, "--help"])
        assert ended.value.code == 0
        assert f"girnel {word}" in capsys.readouterr().out


def test_help_ends_well_in_a_real_process() -> None:
    for argv in (["--help"], ["take", "--help"], ["store", "add", "--help"]):
        done = subprocess.run(
            [sys.executable, "-m", "service.console", *argv],
            cwd=ROOT, capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert (done.returncode, done.stderr) == (0, ""), argv


def test_a_look_imports_no_more_than_it_needs() -> None:
    looked = (
        "import sys; from service.console import main; main.run(['on-hand']); "
        "print([m for m in ('events.tables', 'service.digests.compose', 'service.console.demo', "
        "'events.keeping.life', 'events.dates', 'hypothesis') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", looked], cwd=ROOT, capture_output=True, text=True, check=True,
        env={**os.environ, "GIRNEL_HOME": "/nowhere/at/all"},
    )  # fmt: skip
    assert done.stdout == "[]\n"


def test_the_demo_prints_the_digest_of_its_week_and_leaves_no_home(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    console = Console(tmp_path / "untouched", monkeypatch, capsys)
    said = console.does("demo")
    assert "Alder Bend: the week to Sunday 22 Nov 2026" in said
    assert "An invented household." in said
    assert not console.home.exists()


def test_the_demo_can_be_left_in_a_home_to_look_at(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    console = Console(tmp_path / "untouched", monkeypatch, capsys)
    left = str(tmp_path / "left")
    console.does("demo", "--home", left)
    shown = console.out
    again = console.run("digest", "--on", "2026-11-22", "--home", left)
    assert again == 0
    assert shown.startswith(console.out)
    assert not console.home.exists()
    assert "There is a household in" in console.refuses("demo", "--home", left)


def test_the_export_is_the_log_line_by_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with household(tmp_path, monkeypatch, capsys) as lane:
        lane.bring("3", "salt", "--in", "kitchen")
        lane.does("export")
        lines = [json.loads(line) for line in lane.out.splitlines()]
        assert [line["position"] for line in lines] == list(range(1, len(lines) + 1))
        assert lines[-1]["record"]["body"]["food"] == "salt"
        printed = lane.out
        assert lane.log().decode() == printed


def test_colour_is_for_terminals_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with household(tmp_path, monkeypatch, capsys) as lane:
        lane.bring("3", "salt", "--in", "kitchen")
        lane.does("on-hand")
        assert "\x1b" not in lane.out
        monkeypatch.setattr("sys.stdout.isatty", lambda: True)
        monkeypatch.setenv("TERM", "xterm")
        monkeypatch.delenv("NO_COLOR", raising=False)
        lane.does("on-hand")
        assert lane.out.startswith("\x1b[1msalt\x1b[0m: ")
        monkeypatch.setenv("NO_COLOR", "1")
        lane.does("on-hand")
        assert "\x1b" not in lane.out


@pytest.mark.parametrize("columns", [40, 80])
def test_looks_fit_the_width(
    columns: int,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    console = Console(tmp_path / "home", monkeypatch, capsys)
    console.does("demo", "--home", str(console.home))
    monkeypatch.setenv("COLUMNS", str(columns))
    for argv in (["on-hand"], ["concerns"], ["digest", "--on", "2026-11-22"], ["have", "beans"],
                 ["trail", "potatoes"], ["store", "list"]):  # fmt: skip
        console.does(*argv)
        wide = [line for line in console.out.splitlines() if len(line) > columns]
        assert not wide, (argv, wide)
