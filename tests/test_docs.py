"""What the documents say is so: their commands run, and nothing a person can meet goes unnamed.

README's console blocks are typed as they stand into one household, one after the other; the lines
under a command must be found in what it prints. The map in DEVELOPERS.md is the tree.
"""

import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest

from events.codec import KINDS
from events.concerns import ConcernKind
from service.console import main

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()
BOTH = README + DEVELOPERS

CODE = "7K3QF"
"""The lot code that README writes for the one that the household will have."""

EVENING = "2026-12-01T19:30:00+00:00"


def blocks(text: str, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", text, flags=re.MULTILINE | re.DOTALL)


def steps() -> Iterator[tuple[str, list[str]]]:
    """Each command of README's console blocks, with the lines that stand under it."""
    for block in blocks(README, "console"):
        lines = block.splitlines()
        starts = [i for i, line in enumerate(lines) if line.startswith("$ ")]
        assert starts[:1] == [0], block
        for start, end in zip(starts, [*starts[1:], len(lines)], strict=True):
            yield lines[start][2:], lines[start + 1 : end]


def commands() -> dict[str, str]:
    """Every command of the console, with what it says it is for."""
    parser = main.parser()
    found = {}
    for action in parser._actions:  # argparse has no public list of its sub-commands
        if isinstance(action.choices, dict):
            for name, sub in action.choices.items():
                found[name] = sub.description or ""
    return found


def test_readme_opens_with_the_job_and_the_two_commands() -> None:
    head = README.split("```")[1]
    assert "uv run girnel demo" in head
    assert "uv run pytest" in head
    assert "A household puts food by" in README.split("\n\n")[1]


def test_readmes_commands_run_and_say_what_stands_under_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("GIRNEL_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("GIRNEL_NOW", EVENING)
    monkeypatch.delenv("GIRNEL_BY", raising=False)
    code = CODE
    for typed, shown in steps():
        words = [word.replace(CODE, code) for word in shlex.split(typed.removeprefix("uv run "))]
        assert words[0] == "girnel", typed
        status = main.run(words[1:])
        printed = capsys.readouterr()
        assert status == 0, (typed, printed.err)
        assert printed.err == "", typed
        if words[1] == "bring-in" and code == CODE:
            code = printed.out.split()[0]
        left = " ".join(printed.out.split())
        for line in shown:
            want = " ".join(line.replace(CODE, code).split())
            assert want in left, (typed, want, left)
            left = left[left.index(want) + len(want) :]
    assert code != CODE


def test_every_command_is_in_the_readme() -> None:
    missing = [name for name in commands() if not re.search(rf"`girnel {name}\b", README)]
    assert not missing, missing


def test_the_documents_name_no_command_that_is_not_there() -> None:
    known = commands()
    named = set(re.findall(r"`(?:\$ )?girnel ([a-z][a-z-]*)", BOTH))
    named |= {shlex.split(typed.removeprefix("uv run "))[1] for typed, _ in steps()}
    assert named - set(known) == set()


def test_every_command_says_what_it_is_for() -> None:
    assert [name for name, said in commands().items() if not said] == []


def test_every_kind_and_concern_is_in_the_documents() -> None:
    assert [kind for kind in sorted(KINDS) if f"`{kind}`" not in BOTH] == []
    assert [kind for kind in get_args(ConcernKind) if f"`{kind}`" not in BOTH] == []


def test_every_setting_is_in_the_documents() -> None:
    read = set()
    for path in [*ROOT.glob("service/**/*.py"), *ROOT.glob("tests/**/*.py"), ROOT / ".ci/run"]:
        read |= set(re.findall(r"\bGIRNEL_[A-Z]+\b", path.read_text()))
    assert len(read) >= 4
    assert [name for name in sorted(read) if f"`{name}" not in BOTH] == []


def mapped() -> set[str]:
    """Every path that the map in DEVELOPERS.md names, folders with a slash at the end."""
    found, folders = set(), [""]
    for line in blocks(DEVELOPERS.split("## The map")[1], "")[0].splitlines():
        indent, said = len(line) - len(line.lstrip()), line.strip()
        depth = indent // 2
        names = re.split(r"\s{2,}", said)[0].split(" ") if said else []
        if not names or names[0] == "…":
            continue
        folders = folders[: depth + 1]
        for name in names:
            found.add(folders[-1] + name)
        if names[0].endswith("/"):
            folders.append(folders[-1] + names[0])
    return found


def tree() -> set[str]:
    """The modules, tables and scripts that the map has to name, and the folders they are in."""
    found = set()
    for top in ("events", "service", "fixtures", "tests"):
        for path in sorted((ROOT / top).rglob("*")):
            if path.suffix not in {".py", ".csv", ".sql", ".md"} or path.name == "__init__.py":
                continue
            inner = path.relative_to(ROOT)
            if len(inner.parts) > 2 and top == "tests":
                continue
            found.add(inner.as_posix())
            found |= {f"{folder.as_posix()}/" for folder in inner.parents if folder.name}
    folders = (path.parent for path in (ROOT / "tests").rglob("*.py"))
    return found | {f"{folder.relative_to(ROOT).as_posix()}/" for folder in folders}


def test_the_map_is_the_tree() -> None:
    there = tree()
    said = {
        path
        for path in mapped()
        if path.split("/")[0] in {"events", "service", "fixtures", "tests"}
    }
    assert there - said == set(), "not on the map"
    assert said - there == set(), "on the map, and not there"
    for path in mapped() - said:
        assert (ROOT / path).exists(), path
