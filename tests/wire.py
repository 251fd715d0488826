"""A bad way between a device and the service: what is lost, late, doubled, torn, in another order.

Each request draws one fault from a list; when the list is empty the way is good. The service's own
answers are never altered but by cutting them short.
"""

from collections.abc import Iterable
from typing import Literal, TypeAlias

import httpx

Fault: TypeAlias = Literal["", "lost", "unanswered", "twice", "late", "cut", "stale"]
FAULTS: tuple[Fault, ...] = ("", "lost", "unanswered", "twice", "late", "cut", "stale")
"""Nothing; it never arrives; it arrives and the answer does not; it arrives twice; it arrives only
before some later one; the answer is cut short; the answer is that to an earlier request."""


class BadWay(httpx.AsyncBaseTransport):
    """A transport over another one."""

    def __init__(self, service: httpx.AsyncBaseTransport, faults: Iterable[Fault] = ()) -> None:
        self._service = service
        self._faults = list(faults)
        self._late: list[httpx.Request] = []
        self._answers: dict[tuple[str, str], tuple[int, bytes]] = {}
        self.met: list[Fault] = []

    def mend(self) -> None:
        """From here on the way is good; what is late still arrives."""
        self._faults = []

    async def handle_async_request(self, request: httpx.Request) -> httpx.Response:  # type: ignore[explicit-override]
        fault = self._faults.pop(0) if self._faults else ""
        self.met.append(fault)
        await self._arrive(fault, request)
        if fault == "lost":
            raise httpx.ConnectError("no way there", request=request)
        if fault == "late":
            self._late.append(request)
            raise httpx.ReadTimeout("no answer yet", request=request)
        kind = (request.method, request.url.path)
        earlier = self._answers.get(kind)
        status, content = await self._ask(request)
        if fault == "twice":
            status, content = await self._ask(request)
        if fault == "unanswered":
            raise httpx.ReadError("the line went dead", request=request)
        self._answers[kind] = (status, content)
        if fault == "stale" and earlier is not None:
            status, content = earlier
        if fault == "cut":
            content = content[: len(content) * 2 // 3]
        return httpx.Response(status, content=content, request=request)

    async def _arrive(self, fault: Fault, request: httpx.Request) -> None:
        """What was late arrives: the newest first, so that the order is another."""
        if fault not in ("late", "lost"):
            while self._late:
                await self._ask(self._late.pop())

    async def _ask(self, request: httpx.Request) -> tuple[int, bytes]:
        again = httpx.Request(
            request.method, request.url, headers=request.headers, content=await request.aread()
        )
        answer = await self._service.handle_async_request(again)
        return answer.status_code, await answer.aread()
