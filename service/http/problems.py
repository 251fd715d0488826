"""What went wrong, as RFC 9457 problem details: one shape for every route and every fault.

Whatever is raised under the app becomes one of these, also what the framework raises and what
nobody foresaw. Rule: an answer holds a sentence for people and never a trace, a token, a path of
the machine, or what somebody sent beyond the few signs that are wrong.
"""

import sys
import traceback
from collections.abc import Callable, Mapping
from typing import Any

import msgspec
from litestar import Request, Response
from litestar.exceptions import HTTPException, ValidationException

from service.errors import (
    BadCode,
    DiskFull,
    GirnelError,
    HomeError,
    NeedsChoice,
    StoreError,
    WrongUse,
)
from service.http import journal
from service.sync.messages import OtherLog, TooMuch

PROBLEM = "application/problem+json"

KINDS = {
    "not-understood": "What was sent is not understood.",
    "needs-choice": "It may mean several things: say which.",
    "no-token": "A token is needed: Authorization: Bearer TOKEN.",
    "bad-token": "The token is not known here, or not any more: pair the device anew.",
    "may-not": "The token's role may not do that.",
    "bad-code": "The pairing code is not good, or not any more.",
    "not-found": "There is nothing of that name.",
    "wrong-method": "That is not done there; Allow says what is.",
    "too-slow": "The rest of the request did not come in time.",
    "overtaken": "Something else was written first: look, then say it again.",
    "other-log": "The cursor is of another log, or of one as it was before a restore.",
    "too-much": "Too much at once: send it in parts.",
    "wrong-form": "Not in a form that is read here: send JSON or MessagePack.",
    "wrong-host": "Asked for under another name than it is served under.",
    "too-often": "Too many requests: wait as many seconds as Retry-After says.",
    "fault": "A fault of this program.",
    "no-room": "There is no room left on the disk; nothing was written.",
    "not-now": "The log cannot be read or written just now.",
}
"""Each kind of problem, with its title. `type` is its place on the page of the documents."""

BY_STATUS = {
    400: "not-understood",
    401: "no-token",
    403: "may-not",
    404: "not-found",
    405: "wrong-method",
    413: "too-much",
    415: "wrong-form",
    429: "too-often",
}


class Problem(Exception):
    """Something that is told to whoever asked. `detail`: one sentence: what was read, what to do."""

    def __init__(
        self, status: int, kind: str, detail: str, headers: Mapping[str, str] | None = None
    ) -> None:
        super().__init__(detail)
        self.status = status
        self.kind = kind
        self.title = KINDS[kind]
        self.detail = detail
        self.headers = dict(headers or {})

    def body(self) -> bytes:
        return msgspec.json.encode(
            {
                "type": f"/docs#{self.kind}",
                "title": self.title,
                "status": self.status,
                "detail": self.detail,
            }
        )


class ProblemDetails(msgspec.Struct, kw_only=True):
    """A problem as it is sent (RFC 9457)."""

    type: str
    title: str
    status: int
    detail: str


ANSWERS: dict[type[GirnelError], tuple[int, str]] = {
    OtherLog: (409, "other-log"),
    TooMuch: (413, "too-much"),
    BadCode: (403, "bad-code"),
    NeedsChoice: (409, "needs-choice"),
    WrongUse: (400, "not-understood"),
    DiskFull: (507, "no-room"),
    HomeError: (503, "not-now"),
    StoreError: (503, "not-now"),
}
"""An error of this program, and how it is told; the first that fits."""


def of(wrong: Exception) -> Problem:
    """Any exception as a problem."""
    if isinstance(wrong, Problem):
        return wrong
    if isinstance(wrong, GirnelError):
        return _of_ours(wrong)
    if isinstance(wrong, HTTPException):
        return _of_framework(wrong)
    if isinstance(wrong, UnicodeError | RecursionError):
        return Problem(400, "not-understood", "What was sent is not text that is read here.")
    last = traceback.extract_tb(wrong.__traceback__)[-1:]
    journal.fault(sys.stderr, type(wrong).__name__, [f"{at.name}:{at.lineno}" for at in last])
    return Problem(
        500, "fault", f"This program has a fault ({type(wrong).__name__}); the log is whole."
    )


def _of_ours(wrong: GirnelError) -> Problem:
    for kind, (status, name) in ANSWERS.items():
        if isinstance(wrong, kind):
            if status >= 500:  # its sentence names a file of this machine
                return Problem(status, name, KINDS[name], {"Retry-After": "30"})
            return Problem(status, name, wrong.sentence)
    return Problem(400, "not-understood", wrong.sentence)


def _of_framework(wrong: HTTPException) -> Problem:
    status = wrong.status_code
    if status >= 500:
        return Problem(500, "fault", "This program has a fault; the log is whole.")
    kind = BY_STATUS.get(status, "not-understood")
    detail = KINDS[kind]
    if isinstance(wrong, ValidationException):
        extra = wrong.extra if isinstance(wrong.extra, list) else []
        said = "; ".join(_parameter(one) for one in extra if isinstance(one, dict))
        detail = f"{said or wrong.detail.partition(' for path')[0]}."
    allow = (wrong.headers or {}).get("allow")
    return Problem(status, kind, detail, {"Allow": allow} if allow else {})


def _parameter(one: Mapping[str, Any]) -> str:
    return f"`{str(one.get('key', ''))[:60]}`: {str(one.get('message', ''))[:200].rstrip('.')}"


def answer(_: Request[Any, Any, Any], wrong: Exception) -> Response[bytes]:
    """The one handler of exceptions."""
    problem = of(wrong)
    return Response(
        problem.body(), status_code=problem.status, media_type=PROBLEM, headers=problem.headers
    )


HANDLERS: dict[int | type[Exception], Callable[..., Response[bytes]]] = {
    HTTPException: answer,
    Exception: answer,
}
