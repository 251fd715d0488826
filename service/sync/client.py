"""The household's service over HTTP, as a device asks it.

Nothing is decided here: what a status means is one of three errors, with a sentence for people.
Rules: the token goes in one header, to the one address that the device was paired with; no
redirect is followed; no token, code or address with a name in it stands in an error; plain HTTP
goes only where nobody else listens, unless a person has said so.
"""

import ipaddress
import ssl
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path
from typing import IO, Any, TypeVar
from urllib.parse import urlsplit

import httpx
import msgspec

from service.access import Listed
from service.drafts import Receipt
from service.errors import BadCode, LogChanged, TurnedAway, Unreachable, WrongUse
from service.sync.messages import Cursor
from service.sync.pairing import Change, Join, Joined, Pair, Paired
from service.sync.replica import CHANGED, UNREAD, Pulled, PulledAsides
from service.sync.standing import Stand

T = TypeVar("T")

TIMEOUT = httpx.Timeout(30.0, connect=5.0)

SLOW = httpx.Timeout(600.0, connect=5.0)
"""For what a service of many years has to reckon first."""

QUIET_S = 60.0
"""Seconds without a sign of life after which a stream is taken for dead."""

OWN_NAMES = (".local", ".lan", ".internal", ".home.arpa")
"""Ends of names that only a home network gives out."""

PRIVATE = tuple(
    ipaddress.ip_network(net)
    for net in ("127.0.0.0/8", "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16",
                "::1/128", "fc00::/7", "fe80::/10")
)  # fmt: skip
"""Addresses of this machine and of home networks (RFC 1918, 3927, 4193, 4291)."""

AWAY = (
    "The household's service does not answer; all that was logged here waits, and nothing is lost."
)

PAIR_ANEW = (
    "The service lets this device in no more: it was retired. What waits here stays; a keeper pairs "
    "it anew with girnel pair --formerly {device}, then say girnel join here with that code."
)


class Problem(msgspec.Struct):
    """A problem as the service tells it (RFC 9457)."""

    detail: str = ""


def address(typed: str, *, insecure: bool = False) -> str:
    """The service's address as it is kept. WrongUse where it is none, or not safe to talk to."""
    parts = urlsplit(typed.strip() if "://" in typed else f"https://{typed.strip()}")
    try:
        host, port = parts.hostname, parts.port
    except ValueError:
        host = port = None
    if parts.scheme not in ("http", "https") or not host or parts.username or parts.query:
        raise WrongUse(
            "That is no address of a service: write it like https://girnel.example or "
            "http://192.168.1.20:8470."
        )
    if parts.scheme == "http" and not insecure and not near(host):
        raise WrongUse(
            f"http://{host} would carry everything readable over other people's networks: use "
            "https://, or say --insecure if you know that only your household can listen."
        )
    name = f"[{host}]" if ":" in host else host
    return f"{parts.scheme}://{name}{f':{port}' if port else ''}{parts.path.rstrip('/')}"


def near(host: str) -> bool:
    """Whether a host is this machine, or one in a home network."""
    try:
        there = ipaddress.ip_address(host)
    except ValueError:
        return host == "localhost" or "." not in host or host.endswith(OWN_NAMES)
    return any(there in net for net in PRIVATE)


class Client:
    """The service at an address, for one device. Use it as `async with`."""

    def __init__(
        self,
        url: str,
        token: str | None = None,
        ca: str | None = None,
        transport: httpx.AsyncBaseTransport | None = None,
    ) -> None:
        self._device = (token or "").partition(".")[0]
        headers = {"User-Agent": "girnel"}
        if token is not None:
            headers["Authorization"] = f"Bearer {token}"
        self._http = httpx.AsyncClient(
            base_url=url,
            headers=headers,
            timeout=TIMEOUT,
            verify=_trust(ca) if url.startswith("https:") else False,
            trust_env=False,
            transport=transport,
        )

    async def __aenter__(self) -> "Client":
        return self

    async def __aexit__(self, *_: object) -> None:
        await self._http.aclose()

    # -- the exchange --------------------------------------------------------------------------------

    async def push(self, contents: Sequence[bytes]) -> list[Receipt]:
        body = b"[" + b",".join(contents) + b"]"
        return await self._ask("POST", "/v1/events", list[Receipt], body)

    async def pull(self, after: Cursor, limit: int) -> Pulled:
        asked = {"limit": str(limit), **({"after": str(after)} if after.position else {})}
        return await self._ask("GET", "/v1/events", Pulled, params=asked)

    async def asides(self, after: str) -> PulledAsides:
        asked = {"after": after} if after else {}
        return await self._ask("GET", "/v1/set-aside", PulledAsides, params=asked)

    async def stand(self) -> Stand:
        return await self._ask("GET", "/v1/state", Stand, timeout=SLOW)

    async def snapshot(self, program: str, to: IO[bytes]) -> bool:
        asked = {"program": program}
        async with (
            _told(),
            self._http.stream("GET", "/v1/snapshot", params=asked, timeout=SLOW) as answer,
        ):
            if answer.status_code == 404:
                return False
            if answer.status_code != 200:
                await answer.aread()
                raise self._refused(answer, "/v1/snapshot")
            async for piece in answer.aiter_bytes():
                to.write(piece)
        return True

    async def news(self, after: Cursor) -> AsyncIterator[None]:
        asked = {"after": str(after)} if after.position else {}
        timeout = httpx.Timeout(TIMEOUT.connect, read=QUIET_S)
        async with (
            _told(),
            self._http.stream("GET", "/v1/events/stream", params=asked, timeout=timeout) as answer,
        ):
            if answer.status_code != 200:
                raise Unreachable(AWAY)
            async for line in answer.aiter_lines():
                if line.startswith("data:"):
                    yield

    # -- devices -------------------------------------------------------------------------------------

    async def join(self, code: str) -> Joined:
        return await self._ask("POST", "/v1/join", Joined, _encode(Join(code=code)))

    async def pair(self, wish: Pair) -> Paired:
        return await self._ask("POST", "/v1/pair", Paired, _encode(wish))

    async def devices(self) -> list[Listed]:
        return await self._ask("GET", "/v1/devices", list[Listed])

    async def change(self, device: str, wish: Change) -> Listed:
        return await self._ask("PATCH", f"/v1/devices/{device}", Listed, _encode(wish))

    # -- one question ----------------------------------------------------------------------------------

    async def _ask(
        self, method: str, path: str, kind: type[T], body: bytes | None = None, **more: Any
    ) -> T:
        headers = {} if body is None else {"Content-Type": "application/json"}
        async with _told():
            answer = await self._http.request(method, path, content=body, headers=headers, **more)
        if answer.status_code != 200:
            raise self._refused(answer, path)
        try:
            return msgspec.json.decode(answer.content, type=kind)
        except (msgspec.MsgspecError, UnicodeError, RecursionError):
            raise Unreachable(UNREAD) from None

    def _refused(self, answer: httpx.Response, path: str) -> Exception:
        status = answer.status_code
        try:
            detail = msgspec.json.decode(answer.content, type=Problem).detail[:400]
        except (msgspec.MsgspecError, UnicodeError, RecursionError):
            detail = ""
        if status == 403 and path == "/v1/join":
            return BadCode(detail or "The service would not have that code.")
        if status == 401:
            return TurnedAway(PAIR_ANEW.format(device=self._device))
        if status == 403:
            return TurnedAway(f"The service does not let this device do that. {detail}")
        if status == 409 and path == "/v1/events":
            return LogChanged(CHANGED)
        if status == 429:
            return Unreachable("The service asks to wait a little: too much was asked at once.")
        if status >= 500 or status in (408, 413, 421) or not detail:
            return Unreachable(
                f"The household's service could not do it ({status}). {detail}".strip()
            )
        return WrongUse(detail)


@asynccontextmanager
async def _told() -> AsyncIterator[None]:
    """What goes wrong on the way, as one of ours; nothing of the request stands in it."""
    try:
        yield
    except httpx.ConnectError as wrong:
        raise Unreachable(UNTRUSTED if "certificate" in str(wrong).lower() else AWAY) from None
    except (httpx.HTTPError, httpx.InvalidURL, httpx.StreamError):
        raise Unreachable(AWAY) from None


UNTRUSTED = (
    "The service's certificate is not one that this machine trusts: join with --ca FILE, the "
    "certificate that the household made for it."
)


def _trust(ca: str | None) -> ssl.SSLContext:
    try:
        return ssl.create_default_context(cafile=None if ca is None else str(Path(ca)))
    except (OSError, ssl.SSLError):
        raise WrongUse(
            f"{ca} is no certificate that can be read: name the service's own."
        ) from None


def _encode(value: msgspec.Struct) -> bytes:
    return msgspec.json.encode(value)
