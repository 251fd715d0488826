"""What can be set from outside, and what is said when it cannot be understood."""

from pathlib import Path

import pytest

from service import settings
from service.clock import Fixed, System
from service.errors import WrongUse

HERE = Path.cwd()


def test_the_data_directory_as_typed_then_as_set_then_the_users_own(tmp_path: Path) -> None:
    environ = {"GIRNEL_HOME": "/var/food", "XDG_DATA_HOME": str(tmp_path)}
    assert settings.read("here", environ).home == HERE / "here"
    assert settings.read(None, environ).home == Path("/var/food")
    del environ["GIRNEL_HOME"]
    assert settings.read(None, environ).home == settings.default_home(environ, "linux")


@pytest.mark.parametrize(
    ("platform", "environ", "expected"),
    [
        ("linux", {"XDG_DATA_HOME": "/data"}, Path("/data/girnel")),
        ("linux", {}, Path("~/.local/share/girnel").expanduser()),
        ("linux", {"XDG_DATA_HOME": ""}, Path("~/.local/share/girnel").expanduser()),
        ("linux", {"XDG_DATA_HOME": "data"}, Path("~/.local/share/girnel").expanduser()),
        ("darwin", {}, Path("~/Library/Application Support/girnel").expanduser()),
        ("win32", {"LOCALAPPDATA": "/local"}, Path("/local/girnel")),
        ("win32", {}, Path("~/AppData/Local/girnel").expanduser()),
    ],
)
def test_each_kind_of_machine_has_its_place(
    platform: str, environ: dict[str, str], expected: Path
) -> None:
    assert settings.default_home(environ, platform) == expected


@pytest.mark.parametrize("named", ["", "  ", "a\0b"])
def test_a_directory_without_a_name(named: str) -> None:
    with pytest.raises(WrongUse, match="--home DIR"):
        settings.read(named, {})


def test_an_empty_setting_is_none() -> None:
    read = settings.read("here", {"GIRNEL_HOME": "", "GIRNEL_BY": "", "GIRNEL_NOW": ""})
    assert (read.by, read.now_ms) == (None, None)
    assert isinstance(read.clock(), System)


def test_who_and_when() -> None:
    environ = {"GIRNEL_BY": "cook", "GIRNEL_NOW": "2026-11-22T08:00:00+01:00"}
    read = settings.read("here", environ)
    assert read.by == "cook"
    clock = read.clock()
    assert isinstance(clock, Fixed)
    assert clock.now_ms() == 1_795_330_800_000  # `date -u -d 2026-11-22T07:00:00Z +%s`


@pytest.mark.parametrize("now", ["yesterday", "2026-11-22", "2026-11-22T08:00:00", "1795330800"])
def test_a_moment_that_is_not_understood(now: str) -> None:
    with pytest.raises(WrongUse, match=now):
        settings.read("here", {"GIRNEL_NOW": now})


def test_as_this_process_was_started(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIRNEL_HOME", "/var/food")
    monkeypatch.setenv("GIRNEL_NOW", "2026-11-22T07:00:00Z")
    assert settings.home() == Path("/var/food")
    assert settings.home("/elsewhere") == Path("/elsewhere")
    assert settings.clock().now_ms() == 1_795_330_800_000
