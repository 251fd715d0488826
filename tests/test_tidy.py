"""House rules that no linter knows, read from the tree itself.

Lengths, words that are not written here (with what to write instead), modules that nobody uses,
and files too large to live in a repository. Rule: no exceptions list; a file that breaks a rule is
mended.
"""

import ast
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from service.console.main import FAMILIES

ROOT = Path(__file__).parents[1]

LINES = {"events": 400, "service": 400, "fixtures": 400, "tests": 600}
FUNCTION_LINES = 60
BYTES = 1_000_000
FIXTURE_BYTES = 2_000_000

LEFT_OUT = {".git", ".venv", "__pycache__", "dist", "build"}
TEXTS = {".py", ".md", ".toml", ".sql", ".sh", ".txt", ".csv", ".jsonl", ".json", ""}
ENTRY_POINTS = {"service.console.main", "service.console.__main__"} | {
    f"service.console.{family}" for family in FAMILIES
}
"""What is run or imported by its name in a text."""

INSTEAD = {
    r"\b([T]ODO|[F]IXME|[X]XX|[H]ACK)\b": "do it now, or say in DEVELOPERS.md what is not there",
    r"(?i)\b[m]anagers?\b": "name what it keeps or does: ledger, book, desk",
    r"(?i)\b[h]elpers?\b": "put the function where its subject is; a person has a role",
    r"(?i)\b[u]til(s|ity|ities)?\b": "put the function where its subject is",
    r"\b[c]lass \w*(Service|Model|Handler)\b": "a noun of the trade",
    r"(?i)\b[s]essions?\b": "speak of the project alone",
    r"(?i)\b[i]ssues?\b": "say the thing itself: concern, fault, question",
    r"\b[F]C-\d": "tell the case in the person's words",
    r"(?i)\b([A]I|[L]LM|[c]hatbot|[c]opilot|[l]anguage model)\b": "speak of the project alone",
    r"(?<![\w.])/([w]ork|[r]oot|[f]arm|[h]ome/\w+)/": "a path from the repository's root, or a temporary one",
    r"\.\./[s]hared": "package data, with its source",
    r"(?i)\b([p]ypi\.org|[p]ythonhosted\.org|[n]pmjs\.(org|com))\b": "name the package alone",
}
"""A pattern, and what to write instead. A letter in brackets keeps each from finding itself."""


@cache
def files() -> tuple[Path, ...]:
    """Every file of the project, relative to its root."""
    return tuple(sorted(_walk(ROOT)))


def _walk(folder: Path) -> Iterator[Path]:
    for path in folder.iterdir():
        name = path.name
        if name in LEFT_OUT or (name.startswith(".") and name not in {".ci", ".gitignore"}):
            continue
        if path.is_dir():
            yield from _walk(path)
        elif path.suffix not in {".pyc", ".db", ".db-wal", ".db-shm"}:
            yield path.relative_to(ROOT)


@cache
def read(path: Path) -> ast.Module:
    return ast.parse((ROOT / path).read_text())


def modules(*folders: str) -> list[Path]:
    return [path for path in files() if path.suffix == ".py" and path.parts[0] in folders]


def test_files_are_short() -> None:
    long = [
        f"{path}: {count} lines, at most {LINES[path.parts[0]]}"
        for path in modules(*LINES)
        if (count := len((ROOT / path).read_text().splitlines())) > LINES[path.parts[0]]
    ]
    assert not long, long


def test_functions_are_short() -> None:
    long = []
    for path in modules(*LINES):
        for node in ast.walk(read(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                count = (node.end_lineno or node.lineno) - node.lineno + 1
                if count > FUNCTION_LINES:
                    long.append(f"{path}:{node.lineno} {node.name}: {count} lines")
    assert not long, long


def unwelcome(text: str) -> list[str]:
    """Each word of a text that is not written here, with what to write instead."""
    return [
        f"{found.group()!r}: {instead}"
        for pattern, instead in INSTEAD.items()
        for found in re.finditer(pattern, text)
    ]


def test_words_that_are_not_written_here() -> None:
    found = []
    for path in files():
        if path.name in {"uv.lock", "LICENSE"} or path.suffix not in TEXTS:
            continue
        for number, line in enumerate((ROOT / path).read_text().splitlines(), 1):
            found += [f"{path}:{number} {said}" for said in unwelcome(line)]
    assert not found, "\n".join(found)


def test_the_word_list_finds_what_it_names() -> None:
    split = (
        "# TO_DO later|a lot man_ager|a hel_per|ut_ils.py|cl_ass LotService|this ses_sion|is_sue 2"
    )
    split += "|F_C-01|by A_I|/wo_rk/main|../sha_red/x|py_pi.org"
    said = split.replace("_", "").split("|")
    assert len(said) == len(INSTEAD)
    assert [text for text in said if not unwelcome(text)] == []
    assert unwelcome("the cook used half of a jar; a seed lot waits in the back room") == []


def test_every_module_says_what_it_is_for() -> None:
    mute = [
        str(path)
        for path in modules(*LINES)
        if read(path).body and not ast.get_docstring(read(path))
    ]
    assert not mute, mute


def dotted(path: Path) -> str:
    parts = path.with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported() -> set[str]:
    """Every module that some other file imports, by its dotted name."""
    found: set[str] = set()
    for path in modules(*LINES):
        own = set()
        for node in ast.walk(read(path)):
            if isinstance(node, ast.Import):
                own |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                own |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
        found |= own - {dotted(path)}
    return found


def test_no_module_is_dead() -> None:
    used = imported() | ENTRY_POINTS
    dead = []
    for path in modules("events", "service", "tests"):
        name = dotted(path)
        tested = path.name.startswith("test_") or path.name == "conftest.py"
        package = path.name == "__init__.py" and any(one.startswith(f"{name}.") for one in used)
        if not (tested or package or name in used):
            dead.append(str(path))
    assert not dead, dead


def test_no_module_serves_tests_alone() -> None:
    """What only a test imports belongs in tests/."""
    used = set(ENTRY_POINTS)
    for path in modules("events", "service", "fixtures"):
        for node in ast.walk(read(path)):
            if isinstance(node, ast.ImportFrom) and node.module:
                used |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
            elif isinstance(node, ast.Import):
                used |= {alias.name for alias in node.names}
    alone = [
        str(path)
        for path in modules("events", "service")
        if path.name != "__init__.py" and dotted(path) not in used
    ]
    assert not alone, alone


def test_every_fixture_is_explained() -> None:
    said = (ROOT / "fixtures/README.md").read_text()
    mute = [
        str(path)
        for path in files()
        if path.parts[0] == "fixtures" and path.name not in said and path.parent.name not in said
    ]
    assert not mute, mute


def test_no_file_is_empty_or_too_large() -> None:
    wrong = []
    for path in files():
        size = (ROOT / path).stat().st_size
        most = FIXTURE_BYTES if path.parts[0] == "fixtures" else BYTES
        if size > most or (size == 0 and path.name != "__init__.py"):
            wrong.append(f"{path}: {size} bytes, 1 to {most}")
    assert not wrong, wrong


def test_the_script_that_is_run_exists() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    module, _, function = project["scripts"]["girnel"].partition(":")
    path = ROOT / Path(*module.split(".")).with_suffix(".py")
    assert f"def {function}(" in path.read_text()
    assert module in ENTRY_POINTS
