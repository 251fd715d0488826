"""What a body is in, and what an answer is wanted in: JSON, or MessagePack where it is said.

Bodies are bytes here; who reads them decodes them strictly. Rule: what is sent says what it is, so
that a form on somebody else's page cannot push.
"""

from typing import Any, TypeVar

import msgspec
from litestar import Request, Response

from service.http.problems import Problem
from service.sync.messages import JSON, MSGPACK

T = TypeVar("T")
Asking = Request[Any, Any, Any]


def sent_in(request: Asking) -> str:
    """The media type of the body. Problem 415 where it is none that is read here."""
    media = request.content_type[0].lower()
    if media not in (JSON, MSGPACK):
        raise Problem(
            415, "wrong-form", f"Send {JSON} or {MSGPACK}, and say so in Content-Type.",
            {"Accept-Post": f"{JSON}, {MSGPACK}"},
        )  # fmt: skip
    return media


def wanted_in(request: Asking) -> str:
    """The media type of the answer: JSON, unless MessagePack is preferred."""
    accept = request.headers.get("accept")
    if accept is None or MSGPACK not in accept:
        return JSON
    return request.accept.best_match([JSON, MSGPACK], JSON)


def read(request: Asking, body: bytes, kind: type[T]) -> T:
    """A body as a value of that kind, nothing turned into something else on the way."""
    packed = sent_in(request) == MSGPACK
    try:
        if packed:
            return msgspec.msgpack.decode(body, type=kind)
        return msgspec.json.decode(body, type=kind)
    except (msgspec.MsgspecError, UnicodeError, RecursionError) as wrong:
        raise Problem(400, "not-understood", f"{str(wrong)[:200].rstrip('.')}.") from None


def answer(request: Asking, value: object, **more: Any) -> Response[bytes]:
    """A value in the form that is wanted."""
    media = wanted_in(request)
    encode = msgspec.msgpack.encode if media == MSGPACK else msgspec.json.encode
    return raw(encode(value), media, **more)


def raw(content: bytes, media: str, **more: Any) -> Response[bytes]:
    """Bytes that are in that form already."""
    headers = {"Vary": "Accept", "Cache-Control": "no-cache", **more.pop("headers", {})}
    return Response(content, media_type=media, headers=headers, **more)
