"""The service is killed at any moment while devices push: what it acknowledged is there, once."""

import asyncio
import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from service import access
from service.access import Redeemed
from service.clock import RandomIds, System
from tests import pusher
from tests.running import ROOT, girnel, made, running

KILLS = 30
DEVICES = 3


async def paired(home: Path) -> list[Redeemed]:
    who_may = access.at(home, System(), RandomIds())
    try:
        return [
            await who_may.redeem((await who_may.pair(name=f"d{n}")).code) for n in range(DEVICES)
        ]
    finally:
        who_may.close()


@contextmanager
def pushing(port: str, household: str, one: Redeemed, notes: Path) -> Iterator[None]:
    command = [
        sys.executable,
        "-m",
        pusher.__name__,
        port,
        one.token,
        household,
        one.holder.device,
        str(notes),
    ]
    with subprocess.Popen(command, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)},
                          stderr=subprocess.PIPE, text=True) as process:  # fmt: skip
        try:
            yield
            assert process.poll() is None, process.communicate()[1]
        finally:
            process.kill()


def acknowledged(notes: Path) -> list[tuple[int, int]]:
    """What a device was told: its counter, and the position."""
    lines = notes.read_text().splitlines() if notes.exists() else []
    return [(int(seq), int(position)) for seq, position in map(str.split, lines)]


def test_what_was_acknowledged_is_there_once_after_thirty_kills(tmp_path: Path) -> None:
    home, chance = made(tmp_path / "A"), random.Random(7)
    devices = asyncio.run(paired(home))
    household = json.loads(girnel(home, "export").stdout.splitlines()[0])["record"]["household"]
    notes = [tmp_path / f"{one.holder.device}.txt" for one in devices]
    port, before, moved = "0", 0, 0
    with ExitStack() as stack:
        for turn in range(KILLS):
            with running(home, "--port", port) as served:
                if turn == 0:
                    port = served.url.rpartition(":")[2]
                    for one, to in zip(devices, notes, strict=True):
                        stack.enter_context(pushing(port, household, one, to))
                time.sleep(0.25 + chance.random() * 0.5)
                served.end(signal.SIGKILL)
            known = sum(len(acknowledged(to)) for to in notes)
            moved += known > before
            before = known
    assert moved > KILLS // 2, "the kills did not fall into the work"
    lines = [json.loads(line) for line in girnel(home, "export").stdout.splitlines()]
    assert [line["position"] for line in lines] == list(range(1, len(lines) + 1))
    there = {(r["device"], r["seq"]): line["position"] for line in lines if (r := line["record"])}
    assert len(there) == len(lines), "a record is there twice"
    for one, to in zip(devices, notes, strict=True):
        told = acknowledged(to)
        assert len(told) > KILLS
        for seq, position in told:
            assert there[one.holder.device, seq] == position
    looked = girnel(home, "doctor")
    assert looked.returncode == 0, looked.stdout
    jars = json.loads(girnel(home, "on-hand", "--json").stdout)
    assert sum(float(row["amount"]["value"]) for row in jars) == sum(
        line["record"]["body"]["kind"] == "received" for line in lines
    )
