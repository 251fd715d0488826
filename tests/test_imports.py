"""Who may import whom: the contracts of pyproject.toml hold, and both packages are this tree's own.

`events` and `service` are plain names, and another installed package of the same name would
quietly be tested instead.
"""

import subprocess
import sys
from pathlib import Path

import pytest
from importlinter.cli import lint_imports

import events
import service

ROOT = Path(__file__).parents[1]

PURE = """
import sys
import events.book, events.codec
met = sorted(name for name in sys.modules if name.partition(".")[0] in {"service", "sqlite3", "aiosqlite"})
print(met)
"""


def test_every_contract_is_kept(capsys: pytest.CaptureFixture[str]) -> None:
    status = lint_imports(config_filename=str(ROOT / "pyproject.toml"), cache_dir=None)
    assert status == 0, capsys.readouterr().out


@pytest.mark.parametrize("package", [events, service])
def test_the_packages_are_this_trees_own(package: object) -> None:
    found = getattr(package, "__file__", None)
    assert isinstance(found, str)
    assert Path(found).resolve().parent.parent == ROOT


def test_the_core_can_be_had_without_the_service_or_a_database() -> None:
    done = subprocess.run(
        [sys.executable, "-c", PURE], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
