"""Two homes and a service as real processes: as typed by a new user, killed, and followed live."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.running import NOW, ROOT, Running, girnel, made, running


def does(home: Path, *words: str) -> str:
    done = girnel(home, *words)
    assert done.returncode == 0, (words, done.stdout, done.stderr)
    assert done.stderr == "", words
    return " ".join(done.stdout.split())


def paired(served: Running, home: Path, name: str = "barn tablet") -> None:
    told = json.loads(does(served.home, "pair", "--role", "member", "--name", name, "--json"))
    assert told["url"] == served.url
    said = does(home, "join", told["url"], told["code"])
    assert said.endswith("Log and book are the service's: both were held beside it.")


@pytest.fixture
def hub(tmp_path: Path) -> Path:
    home = made(tmp_path / "A")
    does(home, "bring-in", "12 qt", "green beans", "--form", "home-canned", "--in", "barn")
    return home


def test_as_typed_by_a_new_user(hub: Path, tmp_path: Path) -> None:
    tablet = tmp_path / "B"
    with running(hub) as served:
        port = served.url.rpartition(":")[2]
        paired(served, tablet)
        first = does(tablet, "take", "1", "green beans", "--in", "barn")
        assert first.endswith("Waiting to go out: 1 record (girnel sync)")
        served.end()
    does(tablet, "take", "2", "green beans", "--in", "barn")
    away = girnel(tablet, "sync")
    assert (away.returncode, away.stdout) == (1, "")
    assert "does not answer" in " ".join(away.stderr.split())
    assert json.loads(does(tablet, "sync", "--status", "--json"))["waiting"] == 2
    with running(hub, "--port", port):
        assert does(tablet, "sync") == "Sent 2, received 0; nothing waits."
        trail = does(hub, "trail", "green beans")
        assert "said on barn tablet, heard Sun 22 Nov 10:00" in trail
        assert does(hub, "on-hand", "--json") == does(tablet, "on-hand", "--json")
        assert does(hub, "concerns", "--json") == does(tablet, "concerns", "--json")


def test_one_that_follows_hears_at_once_and_sends_by_itself(hub: Path, tmp_path: Path) -> None:
    tablet, slate = tmp_path / "B", tmp_path / "C"
    with running(hub) as served:
        paired(served, tablet)
        paired(served, slate, "slate")
        env = {**os.environ, "GIRNEL_HOME": str(tablet), "GIRNEL_NOW": NOW, "PYTHONPATH": str(ROOT)}
        with subprocess.Popen(
            [sys.executable, "-m", "service.console", "sync", "--follow"],
            env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        ) as following:  # fmt: skip
            try:
                assert following.stdout is not None
                assert "Following Hollow Lane" in following.stdout.readline()
                does(slate, "take", "1", "green beans", "--in", "barn")
                does(slate, "sync")
                assert until(tablet, "11")
                does(tablet, "take", "1", "green beans", "--in", "barn")
                assert until(hub, "10")
                following.send_signal(signal.SIGINT)
                _, err = following.communicate(timeout=20)
                assert err == "" or "Stopped" in err
            finally:
                following.kill()


def until(home: Path, jars: str, seconds: float = 20) -> bool:
    """Whether a home comes to have so many jars."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        rows = json.loads(does(home, "on-hand", "--json"))
        if [row["amount"]["value"] for row in rows] == [jars]:
            return True
    return False


def test_whenever_it_is_killed_a_deed_that_was_told_back_arrives_once(
    hub: Path, tmp_path: Path
) -> None:
    """The replica's sync and the service are killed in the middle, again and again."""
    tablet = tmp_path / "B"
    port = "0"
    for turn in range(4):
        with running(hub, "--port", port) as served:
            port = served.url.rpartition(":")[2]
            if turn == 0:
                paired(served, tablet)
            does(tablet, "take", "1", "green beans", "--in", "barn")
            env = {**os.environ, "GIRNEL_HOME": str(tablet), "GIRNEL_NOW": NOW,
                   "PYTHONPATH": str(ROOT)}  # fmt: skip
            with subprocess.Popen(
                [sys.executable, "-m", "service.console", "sync"],
                env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            ) as syncing:  # fmt: skip
                time.sleep(0.5 + 0.15 * turn)
                (syncing if turn % 2 else served.process).kill()
                syncing.wait(timeout=20)
    with running(hub, "--port", port):
        does(tablet, "sync")
        assert "nothing waits" in does(tablet, "sync")
        for home in (hub, tablet):
            (row,) = json.loads(does(home, "on-hand", "--json"))
            assert row["amount"]["value"] == "8"
        assert does(hub, "export") == does(tablet, "export")


def test_a_join_that_is_killed_leaves_a_home_that_goes_on(tmp_path: Path) -> None:
    """At any moment of it: before the pairing is kept, in the pull, while the book is taken up."""
    hub, tablet = tmp_path / "A", tmp_path / "B"
    assert girnel(tmp_path, "demo", "--home", str(hub)).returncode == 0
    with running(hub) as served:
        killed = 0
        for n in range(8):
            if not (tablet / "replica.json").exists():
                told = json.loads(does(hub, "pair", "--name", "barn tablet", "--json"))
                words = ["join", told["url"], told["code"]]
            else:
                words = ["sync"]
            env = {**os.environ, "GIRNEL_HOME": str(tablet), "GIRNEL_NOW": NOW,
                   "PYTHONPATH": str(ROOT)}  # fmt: skip
            with subprocess.Popen(
                [sys.executable, "-m", "service.console", *words],
                env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            ) as joining:  # fmt: skip
                try:
                    joining.wait(timeout=0.4 + 0.25 * n)
                except subprocess.TimeoutExpired:
                    joining.kill()
                    killed += 1
        assert killed > 1
        if not (tablet / "replica.json").exists():
            paired(served, tablet)
        does(tablet, "sync")
        told = json.loads(does(tablet, "sync", "--json"))
        assert (told["sent"], told["waiting"]) == (0, 0)
        assert does(tablet, "on-hand", "--json") == does(hub, "on-hand", "--json")
        assert does(tablet, "export") == does(hub, "export")
        left = {path.name for path in tablet.iterdir()}
        assert left <= {"log.db", "log.db-wal", "log.db-shm", "log.lock", "replica.json"}
