"""The jobs that run by themselves while the household is served: the only use of APScheduler.

It is one plain ticker, a minute long, in memory: by settings alone it fires twice on the night on
which an hour comes twice, and loses what came due while the machine was off. What is due is
reckoned anew at every tick from what is on disk, so a tick that is late, lost or doubled is harmless.
A job that fails says so and stops no other.
"""

import asyncio
import json
import sys
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from contextlib import asynccontextmanager
from datetime import UTC
from typing import NamedTuple

from apscheduler.schedulers.asyncio import AsyncIOScheduler  # type: ignore[import-untyped]
from apscheduler.triggers.interval import IntervalTrigger  # type: ignore[import-untyped]

from service.errors import GirnelError

TICK_S = 60
GRACE_S = 20.0
"""How long what is under way may take when serving ends."""


class Job(NamedTuple):
    """Something to be done every so many seconds, at the first tick too; 0: at every tick."""

    name: str
    every_s: float
    run: Callable[[], Awaitable[object]]


def complain(job: str, said: str) -> None:
    """A line of JSON on the error stream, where the service's own lines go."""
    sys.stderr.write(json.dumps({"job": job, "said": said}, ensure_ascii=False) + "\n")
    sys.stderr.flush()


class _Round:
    """The jobs, and when each was last begun; one round at a time."""

    def __init__(self, jobs: Sequence[Job]) -> None:
        self._jobs = jobs
        self._begun: dict[str, float] = {}
        self.task: asyncio.Task[None] | None = None

    def begin(self) -> None:
        """Start a round, unless one is still under way."""
        if self.task is None or self.task.done():
            self.task = asyncio.get_running_loop().create_task(self._run())

    async def _run(self) -> None:
        for job in self._jobs:
            now = asyncio.get_running_loop().time()
            if now - self._begun.get(job.name, -job.every_s) < job.every_s:
                continue
            self._begun[job.name] = now
            try:
                await job.run()
            except GirnelError as error:
                complain(job.name, error.sentence)
            except Exception as error:  # noqa: BLE001 - one job's fault stops no other
                complain(job.name, f"it failed ({type(error).__name__}: {error})")


@asynccontextmanager
async def timetable(jobs: Sequence[Job], tick_s: float = TICK_S) -> AsyncIterator[None]:
    """Run the jobs, at once and at every tick, until the block ends."""
    rounds = _Round(jobs)

    async def tick() -> None:
        rounds.begin()

    scheduler = AsyncIOScheduler(timezone=UTC)
    scheduler.add_job(
        tick,
        IntervalTrigger(seconds=tick_s, timezone=UTC),
        coalesce=True,
        misfire_grace_time=None,
        max_instances=1,
    )
    scheduler.start()
    rounds.begin()
    try:
        yield
    finally:
        scheduler.shutdown(wait=False)
        if rounds.task is not None:
            _, late = await asyncio.wait([rounds.task], timeout=GRACE_S)
            for task in late:
                task.cancel()
                await asyncio.wait([task])
