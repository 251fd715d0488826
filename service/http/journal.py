"""What was asked of the service, a line of JSON each: for whoever runs it.

A line names the route by its template and the device by its name in the log. Rule: no token, no
code, no body, no query, and no path as it was sent, for that may name food.
"""

from typing import Any, TextIO

import msgspec


def request(
    to: TextIO, *, now_ms: int, method: str, route: str, status: int, ms: float, device: str | None
) -> None:
    """One request, answered. `ms`: how long it took."""
    _write(
        to,
        {
            "now": now_ms,
            "method": method,
            "route": route,
            "status": status,
            "ms": round(ms, 2),
            "device": device,
        },
    )


def fault(to: TextIO, name: str, where: list[str]) -> None:
    """Something that nobody foresaw: its kind and its place, never what it says."""
    _write(to, {"fault": name, "in": where})


def _write(to: TextIO, line: dict[str, Any]) -> None:
    try:
        to.write(msgspec.json.encode(line).decode() + "\n")
        to.flush()
    except (OSError, ValueError):
        return  # a closed pipe is no reason to answer nobody
