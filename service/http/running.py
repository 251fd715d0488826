"""The service running: sockets, the server, its end.

It listens where it is told to, and at a socket in the home for a console beside it. Rules: what was
begun is answered before it ends, a stream is closed at once; the socket and the file that names it
are for their owner alone, and gone when the service is.
"""

import asyncio
import os
import signal
import socket
import ssl
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from urllib.parse import urlsplit

import msgspec
import uvicorn
from litestar import Litestar
from litestar.types import ASGIApp
from msgspec import Struct

from service.errors import WrongUse
from service.http.edge import Edge
from service.http.patience import HEAD_S, Bounded, Patience
from service.http.state import Before
from service.sync import beside

LOOPBACK = frozenset({"localhost", "127.0.0.1", "[::1]", "::1"})
"""Names under which a service that listens on loopback may be asked for."""

LONGEST = 100
"""Signs that the path of a socket may have: systems allow 103 to 108."""

TICKS = 10
"""Ticks of the server in a second."""

GRACE_S = 10
"""Seconds that a request which was begun may take to its end."""


class Place(Struct, frozen=True, kw_only=True):
    """Where to listen."""

    host: str = "127.0.0.1"
    port: int = 8470
    cert: Path | None = None
    key: Path | None = None
    public: str | None = None
    """the address at which a proxy before it answers"""

    @property
    def hosts(self) -> frozenset[str] | None:
        """Names under which it may be asked for; None: any, where the network may ask."""
        if not self.loopback:
            return None
        named = urlsplit(self.public or "").hostname
        return LOOPBACK if named is None else LOOPBACK | {named}

    @property
    def loopback(self) -> bool:
        return self.host in LOOPBACK

    @property
    def url(self) -> str:
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"http{'s' if self.cert else ''}://{host}:{self.port}"


def listen(place: Place) -> socket.socket:
    """The socket, listening. Raises WrongUse where that cannot be."""
    family = socket.AF_INET6 if ":" in place.host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((place.host, place.port))
        made.listen(512)
    except OSError as wrong:
        made.close()
        raise WrongUse(
            f"{place.host} port {place.port} cannot be listened at ({wrong.strerror}): name another "
            "with --host or --port."
        ) from None
    return made


def certified(place: Place) -> None:
    """Raises WrongUse where the certificate and its key do not go together."""
    if place.cert is None:
        return
    try:
        ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(place.cert, place.key)
    except (OSError, ssl.SSLError) as wrong:
        raise WrongUse(
            f"{place.cert} and its key cannot be used ({getattr(wrong, 'strerror', None) or 'wrong form'}): "
            "name a certificate with --cert and its key with --key."
        ) from None


@contextmanager
def beside_socket(home: Path, url: str, token: str) -> Iterator[socket.socket | None]:
    """A socket in the home for its own console, and the file that names it; None: none here."""
    if not hasattr(socket, "AF_UNIX"):
        yield None
        return
    with tempfile.TemporaryDirectory(prefix="girnel-") as passing:
        path = home / "serving.sock"
        if len(str(path)) > LONGEST:
            path = Path(passing) / "serving.sock"
        path.unlink(missing_ok=True)
        made = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        mask = os.umask(0o177)
        try:
            made.bind(str(path))
        finally:
            os.umask(mask)
        made.listen(64)
        file = home / beside.FILE
        said = beside.Serving(socket=str(path), token=token, url=url, process=os.getpid())
        _write_private(file, msgspec.json.encode(said))
        try:
            yield made
        finally:
            made.close()
            file.unlink(missing_ok=True)
            path.unlink(missing_ok=True)


def _write_private(path: Path, content: bytes) -> None:
    """A file for its owner alone, from its first byte on."""
    path.unlink(missing_ok=True)
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(content)


class _Server(uvicorn.Server):
    """A server that tells streams that it ends, and listens at the home's socket in plain text."""

    def __init__(
        self,
        config: uvicorn.Config,
        before: Before,
        local: socket.socket | None,
        ready: Callable[[], None],
    ) -> None:
        super().__init__(config)
        self._before = before
        self._local = local
        self._ready = ready
        self._patience = Patience()

    async def startup(  # type: ignore[explicit-override]
        self, sockets: list[socket.socket] | None = None
    ) -> None:
        await super().startup(sockets)
        if self._local is not None and self.started:
            self.servers.append(
                await asyncio.get_running_loop().create_unix_server(
                    self._protocol, sock=self._local
                )
            )
        if self.started:
            self._ready()

    def _protocol(self) -> asyncio.Protocol:
        protocol = self.config.http_protocol_class
        made: asyncio.Protocol = protocol(  # type: ignore[call-arg]
            config=self.config, server_state=self.server_state, app_state=self.lifespan.state
        )
        return made

    async def shutdown(  # type: ignore[explicit-override]
        self, sockets: list[socket.socket] | None = None
    ) -> None:
        self._before.closing.set()
        await super().shutdown(sockets)

    async def on_tick(self, counter: int) -> bool:  # type: ignore[explicit-override]
        if counter % (HEAD_S * TICKS) == 0:
            self._patience.look(self.server_state.connections)
        return await super().on_tick(counter)

    @contextmanager
    def capture_signals(self) -> Iterator[None]:  # type: ignore[explicit-override]
        """Ends on a signal as on any other day: what it means is not passed on."""
        before = {one: signal.signal(one, self._end) for one in (signal.SIGINT, signal.SIGTERM)}
        try:
            yield
        finally:
            for one, then in before.items():
                signal.signal(one, then)

    def _end(self, number: int, frame: FrameType | None) -> None:
        """A second signal hurries nothing: what was begun ends within its grace."""
        self.should_exit = True


async def run(
    app: Litestar, place: Place, listening: socket.socket, ready: Callable[[], None]
) -> None:
    """Serve until a signal ends it; `ready` is called once it can be asked."""
    before: Before = app.state.before
    edge: ASGIApp = Edge(app, before)
    config = uvicorn.Config(
        edge,
        http=Bounded,
        log_config=None,
        access_log=False,
        server_header=False,
        lifespan="on",
        timeout_graceful_shutdown=GRACE_S,
        timeout_keep_alive=30,
        ssl_certfile=place.cert,
        ssl_keyfile=place.key,
        ws="none",
    )
    token = before.serving.local_token or ""
    with beside_socket(before.settings.home, place.public or place.url, token) as local:
        await _Server(config, before, local, ready).serve(sockets=[listening])
