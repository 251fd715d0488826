"""The service as a process of its own on a free port, and the console beside it."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import httpx

ROOT = Path(__file__).parents[1]
NOW = "2026-11-22T10:00:00+00:00"


class Running:
    """`girnel serve` on a free port, and its home."""

    def __init__(
        self, home: Path, process: "subprocess.Popen[str]", url: str, errors: Path
    ) -> None:
        self.home = home
        self.errors = errors
        self.process = process
        self.url = url

    @property
    def token(self) -> str:
        told: dict[str, Any] = json.loads((self.home / "serving.json").read_bytes())
        return str(told["token"])

    def get(self, path: str, **more: Any) -> httpx.Response:
        headers = {"Authorization": f"Bearer {self.token}", **more.pop("headers", {})}
        return httpx.get(f"{self.url}{path}", headers=headers, timeout=10, **more)

    def end(self, how: int = signal.SIGTERM) -> tuple[int, float, str, str]:
        """End it; its exit code, how long that took, and what it printed."""
        begun = time.monotonic()
        self.process.send_signal(how)
        out, _ = self.process.communicate(timeout=20)
        return self.process.returncode, time.monotonic() - begun, out, self.errors.read_text()


def girnel(home: Path, *words: str) -> "subprocess.CompletedProcess[str]":
    env = {**os.environ, "GIRNEL_HOME": str(home), "GIRNEL_NOW": NOW, "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "-m", "service.console", *words],
        env=env, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip


def made(home: Path) -> Path:
    """Hollow Lane with a barn; set up once and copied."""
    if not MADE:
        with TemporaryDirectory() as first:
            for words in (("init", "Hollow Lane", "--timezone", "Europe/London"),
                          ("store", "add", "barn", "--kind", "outbuilding")):  # fmt: skip
                done = girnel(Path(first), *words)
                assert done.returncode == 0, done.stderr
            MADE.update({file.name: file.read_bytes() for file in Path(first).iterdir()})
    home.mkdir(parents=True)
    for name, content in MADE.items():
        (home / name).write_bytes(content)
    return home


MADE: dict[str, bytes] = {}
"""The files of that home."""


@contextmanager
def running(home: Path, *words: str, **more: str) -> Iterator[Running]:
    """`more`: of its environment."""
    env = {
        **os.environ,
        "GIRNEL_HOME": str(home),
        "GIRNEL_NOW": NOW,
        "PYTHONPATH": str(ROOT),
        **more,
    }
    words = ("-m", "service.console", "serve", "--port", "0", *words)
    errors = home.parent / f"{home.name}-errors.txt"  # a pipe that nobody reads would fill up
    with (
        errors.open("w") as to,
        subprocess.Popen(
            [sys.executable, *words], env=env, stdout=subprocess.PIPE, stderr=to, text=True
        ) as process,
    ):
        try:
            assert process.stdout is not None
            line = process.stdout.readline()
            assert " is served at http" in line, (line, errors.read_text())
            yield Running(home, process, line.split(" at ")[1].split()[0].rstrip("."), errors)
        finally:
            process.kill()
