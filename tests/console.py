"""A console for tests: commands typed into a home of their own, on a clock that stands still."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from service.console import main

NOW = "2026-11-22T10:00:00+00:00"


class Console:
    """Commands typed one after the other; what was printed is kept."""

    def __init__(
        self, home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        self.home = home
        self.capsys = capsys
        self.monkeypatch = monkeypatch
        self.out = self.err = ""
        monkeypatch.setenv("GIRNEL_HOME", str(home))
        monkeypatch.setenv("GIRNEL_NOW", NOW)
        monkeypatch.setenv("COLUMNS", "80")
        monkeypatch.delenv("GIRNEL_BY", raising=False)

    def now(self, moment: str) -> None:
        """The clock stands at that moment from here on."""
        self.monkeypatch.setenv("GIRNEL_NOW", moment)

    def run(self, *argv: str) -> int:
        """Type a command; its exit code."""
        self.capsys.readouterr()
        code = main.run(list(argv))
        self.out, self.err = self.capsys.readouterr()
        return code

    def does(self, *argv: str) -> str:
        """Type a command that works; what it said, in one line."""
        code = self.run(*argv)
        assert code == 0, (argv, self.err)
        assert self.err == "", argv
        return " ".join(self.out.split())

    def json(self, *argv: str) -> Any:
        self.does(*argv, "--json")
        return json.loads(self.out)

    def refuses(self, *argv: str, code: int = 2) -> str:
        """Type a command that is not done; the one sentence it said, and nothing written."""
        before = self.log()
        assert self.run(*argv) == code, (argv, self.out, self.err)
        said = " ".join(self.err.split())
        assert self.out == "", argv
        assert self.log() == before, argv
        assert said.startswith("girnel: "), said
        assert "Traceback" not in said
        assert "fault of this program" not in said, said
        return said.removeprefix("girnel: ")

    def log(self) -> bytes:
        """The whole log as it is exported, nothing where there is no household."""
        if not (self.home / "log.db").exists():
            return b""
        file = self.home / "exported.jsonl"
        file.unlink(missing_ok=True)
        self.capsys.readouterr()
        assert main.run(["export", "--to", str(file)]) == 0
        self.capsys.readouterr()
        return file.read_bytes()

    def bring(self, *argv: str) -> str:
        """Bring a lot in; its code."""
        code = self.json("bring-in", *argv)["lot"]
        assert isinstance(code, str)
        return code

    def amounts(self, store: str = "") -> dict[tuple[str, str], str]:
        """(food, store) to how much, as `on-hand` says."""
        found: dict[tuple[str, str], str] = {}
        for row in self.json("on-hand", *(["--in", store] if store else [])):
            key = (row["food"], row["store"])
            said = f"{row['amount']['value']} {row['amount']['unit']}"
            found[key] = f"{found[key]} + {said}" if key in found else said
        return found


@contextmanager
def household(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    *bringing: tuple[str, ...],
) -> Iterator[Console]:
    """Hollow Lane with four stores, two members and what is brought in; made once and copied."""
    console = Console(tmp_path / "home", monkeypatch, capsys)
    if bringing not in MADE:
        with TemporaryDirectory() as made:
            monkeypatch.setenv("GIRNEL_HOME", made)
            set_up(console, bringing)
            MADE[bringing] = {file.name: file.read_bytes() for file in Path(made).iterdir()}
            monkeypatch.setenv("GIRNEL_HOME", str(console.home))
    console.home.mkdir()
    for name, content in MADE[bringing].items():
        (console.home / name).write_bytes(content)
    yield console


MADE: dict[tuple[tuple[str, ...], ...], dict[str, bytes]] = {}
"""What was brought in, to the files of a home that was set up so, closed, and is copied."""


def set_up(console: Console, bringing: tuple[tuple[str, ...], ...]) -> None:
    console.does("init", "Hollow Lane", "--timezone", "Europe/London", "--member", "gardener",
                 "--member", "cook")  # fmt: skip
    for store, kind in (("kitchen", "kitchen"), ("back-room", "room"), ("barn", "outbuilding"),
                        ("bed-3", "ground")):  # fmt: skip
        console.does("store", "add", store, "--kind", kind)
    for lot in bringing:
        console.does("bring-in", *lot)
