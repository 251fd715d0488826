"""Days of a household by dice: service and devices end, are cut off, set back, and agree in the end."""

import asyncio
from collections.abc import Mapping, Sequence
from unittest.mock import patch

import pytest

from service.storage.memory import MemoryStore
from service.storage.store import Item, Outcome
from service.sync.replica import Replica
from tests import simulation
from tests.conftest import EXAMPLES
from tests.simulation import Disk, History, Wrong


@pytest.mark.parametrize("part", range(4))
def test_whatever_the_dice_say_all_agree_and_nothing_is_lost(part: int) -> None:
    for seed in range(part * EXAMPLES // 4, (part + 1) * EXAMPLES // 4):
        simulation.run(seed)


def test_the_dice_come_to_what_they_are_for() -> None:
    """Clocks that were redated, names with two contents: else the histories would prove little."""
    told = aside = 0
    for seed in range(60):
        history = History(seed)
        with patch("service.sync.replica.PUSH", 3), patch("service.sync.replica.PULL", 4):
            asyncio.run(history.run())
        told += sum(b'"redated"' in row.content for row in history.hub.disk._rows)
        aside += len(history.hub.disk._asides)
    assert told > 10
    assert aside > 3


def until_it_is_found() -> str:
    for seed in range(400):
        try:
            simulation.run(seed)
        except Wrong as found:
            return str(found)
    return pytest.fail("400 histories found nothing")


def test_a_disk_that_forgets_is_found_with_its_seed() -> None:
    async def append(
        self: Disk, items: Sequence[Item], received: int, meta: Mapping[str, str] | None = None
    ) -> list[Outcome]:
        done = await MemoryStore.append(self, items, received, meta)
        if self._rows and self._dice.random() < 0.02:
            last = self._rows.pop().position
            self._positions = {name: at for name, at in self._positions.items() if at != last}
        return done

    with patch.object(Disk, "append", append):
        said = until_it_is_found()
    seed = int(said.removeprefix("seed ").partition(":")[0])
    with patch.object(Disk, "append", append), pytest.raises(Wrong, match=f"seed {seed}:"):
        simulation.run(seed)
    simulation.run(seed)


def test_a_replica_that_hears_nothing_of_what_was_set_aside_is_found() -> None:
    async def deaf(self: Replica, count: int) -> None:
        """Nothing is asked for."""

    with patch.object(Replica, "_pull_asides", deaf):
        assert "another state" in until_it_is_found()
