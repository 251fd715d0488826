"""A reader's mail program says "no more" with one press (RFC 8058): their digest ends.

The address names one reader and cannot be guessed; it does nothing else, and only a POST does it: a
program that merely follows links ends nobody's mail. It needs no token, asks nothing back, and
sends nobody elsewhere.
"""

from typing import Any

from litestar import Request, Response, post
from litestar.params import FromPath

from events.kinds import MemberSet
from service.drafts import Draft
from service.http.doors import refuse_early, refuse_often
from service.http.problems import Problem
from service.http.state import before
from service.jobs.household import reader_who


@post("/v1/no-more/{word:str}", open=True, status_code=200, include_in_schema=False)
async def no_more(request: Request[Any, Any, Any], word: FromPath[str]) -> Response[str]:
    """No more mail for the reader whose word that is, until they choose it again."""
    at = before(request)
    refuse_early(at, request)
    reader = await reader_who(at.settings.home, at.ledger.book, word)
    if reader is None:
        refuse_often(at, request)
        raise Problem(404, "not-found", "No reader here is meant by that.")
    if at.ledger.book.settings.members.get(reader, {}).get("digest") != "none":
        await at.ledger.write([Draft(body=MemberSet(member=reader, facts={"digest": "none"}))])
    return Response("No more of it.\n", media_type="text/plain")


routes = [no_more]
