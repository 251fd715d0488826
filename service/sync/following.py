"""A replica that stays up to date by itself: round after round until it is stopped.

A round begins when the service says that there is news, when something was logged here, and now and
then in any case. Rule: while the service is away it is asked less and less often, never at the same
moment as every other device, and nothing is given up.
"""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager, suppress

from service.clock import Secrets
from service.errors import Unreachable
from service.sync.replica import Opening, Replica, Tally, Wire, here

LOOK_S = 2.0
"""Seconds between two looks at whether something was logged here."""

ASK_S = 30.0
"""Seconds after which the service is asked though it said nothing of news."""

FIRST_S, MOST_S = 2.0, 300.0
"""Seconds to wait after the first failure, and after many."""

REFUSED_EVERY = 20
"""Rounds after which what the service would not have is sent again."""


class Following:
    """One home and its service. `say` is told each tally, and each sentence of what went wrong."""

    def __init__(
        self,
        replica: Replica,
        opening: Opening,
        wire: Wire,
        ids: Secrets,
        say: Callable[[Tally | str], Awaitable[None]],
    ) -> None:
        self._replica = replica
        self._opening = opening
        self._wire = wire
        self._ids = ids
        self._say = say
        self._news = asyncio.Event()

    async def run(self) -> None:
        """Until it is cancelled. Raises TurnedAway or LogChanged: a person has to do something."""
        async with self._listening():
            rounds = failed = 0
            while True:
                self._news.clear()
                try:
                    tally = await self._replica.once(refused=rounds % REFUSED_EVERY == 0)
                except Unreachable as wrong:
                    if not failed:
                        await self._say(wrong.sentence)
                    await asyncio.sleep(pause(failed, self._ids.fraction()))
                    failed += 1
                    continue
                if tally.sent or tally.received or failed:
                    await self._say(tally)
                rounds, failed = rounds + 1, 0
                await self._something()

    async def _something(self) -> None:
        """Wait for news, for something logged here, or long enough."""
        for _ in range(int(ASK_S / LOOK_S)):
            with suppress(TimeoutError):
                await asyncio.wait_for(self._news.wait(), LOOK_S)
                return
            async with self._opening(False) as store:
                if "waiting" in await store.counts():
                    return

    @asynccontextmanager
    async def _listening(self) -> AsyncIterator[None]:
        task = asyncio.create_task(self._listen())
        try:
            yield
        finally:
            task.cancel()
            with suppress(asyncio.CancelledError):
                await task

    async def _listen(self) -> None:
        """The service's own word that there is news; without it, asking now and then has to do."""
        failed = 0
        while True:
            async with self._opening(False) as store:
                at = await here(store)
            try:
                async for _ in self._wire.news(at):
                    failed = 0
                    self._news.set()
            except Unreachable:
                failed += 1
            await asyncio.sleep(pause(failed, self._ids.fraction()))


def pause(failed: int, fraction: float) -> float:
    """Seconds to wait after so many failures: twice as long each time, then half of it by chance."""
    longest = min(MOST_S, FIRST_S * (1 << min(failed, 10)))
    return longest * (0.5 + fraction / 2)
