"""What a server costs that does nothing: uvicorn alone, and litestar on it. `bare.py alone|litestar`

A process of its own on a free port, which it prints. The floor under the figures in `test_serve`.
"""

import socket
import sys
from typing import Any

import uvicorn
from litestar import Litestar, get


async def alone(scope: dict[str, Any], receive: Any, send: Any) -> None:
    """An answer with nothing before it."""
    if scope["type"] == "http":
        headers = [(b"content-length", b"2")]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": b"{}"})


@get("/")
async def empty() -> bytes:
    return b"{}"


if __name__ == "__main__":
    listening = socket.create_server(("127.0.0.1", 0))
    print(listening.getsockname()[1], flush=True)
    app: Any = alone if sys.argv[1] == "alone" else Litestar([empty], openapi_config=None)
    config = uvicorn.Config(
        app, log_config=None, access_log=False, log_level="error", lifespan="off"
    )
    uvicorn.Server(config).run(sockets=[listening])
