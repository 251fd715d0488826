"""Who may do what: every role against every route, tokens that are not good, nothing secret told."""

import asyncio
import io
import json
import re
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from litestar.routes import HTTPRoute

from service.http import problems
from service.http.doors import COOKIE
from service.http.edge import Edge, bare
from service.http.limits import Buckets, Limits
from service.http.state import Serving
from service.sync.messages import JSON
from tests.serving import LOCAL, ROLES, Served, beans, problem, serving

READS = {"keeper", "member", "reader"}
MAY: dict[tuple[str, str], set[str] | None] = {
    ("POST", "/v1/events"): {"keeper", "member", "sensor"},
    ("GET", "/v1/events"): READS,
    ("GET", "/v1/events/stream"): READS,
    ("GET", "/v1/snapshot"): READS,
    ("GET", "/v1/state"): READS,
    ("GET", "/v1/set-aside"): READS,
    ("GET", "/v1/on-hand"): READS,
    ("GET", "/v1/have"): READS,
    ("GET", "/v1/trail/{lot}"): READS,
    ("GET", "/v1/concerns"): READS,
    ("GET", "/v1/digest"): READS,
    ("GET", "/v1/rotation"): READS,
    ("GET", "/v1/reorder"): READS,
    ("GET", "/v1/carrying"): READS,
    ("GET", "/v1/jars"): READS,
    ("GET", "/v1/ground"): READS,
    ("GET", "/v1/fill"): READS,
    ("GET", "/v1/climate"): READS,
    ("GET", "/v1/what-if"): READS,
    ("POST", "/v1/pair"): {"keeper"},
    ("GET", "/v1/devices"): READS,
    ("PATCH", "/v1/devices/{device}"): {"keeper"},  # and a device its own end
    ("POST", "/v1/no-more/{word}"): None,
    ("POST", "/v1/here/deeds"): set(),
    ("POST", "/v1/join"): None,
    ("GET", "/health"): None,
    ("GET", "/openapi.json"): None,
    ("GET", "/docs"): None,
}
"""Who may use each route; None: whoever comes. The home's own console has the last but four."""

QUERIES = {
    "/v1/have": "?food=beans",
    "/v1/fill": "?food=rice&amount=1 kg&into=5 gal bucket",
    "/v1/what-if": "?winter=2C",
    "/v1/events/stream": "?after=other.1.1",
}
"""What a route needs to be asked at all; a stream that ends at once, as one that is refused."""


@pytest.fixture
async def served(tmp_path: Path) -> AsyncIterator[Served]:
    async with serving(tmp_path, Serving(local_token=LOCAL)) as made:
        yield made


def routes(served: Served) -> set[tuple[str, str]]:
    return {
        (method, route.path_format)
        for route in served.app.routes
        if isinstance(route, HTTPRoute)
        for method in route.methods
        if method != "OPTIONS"
    }


def address(path: str) -> str:
    return path.replace("{lot}", "beans").replace("{device}", "nobody").replace(
        "{word}", "word"
    ) + QUERIES.get(path, "")


async def test_every_route_has_its_row_and_every_row_its_route(served: Served) -> None:
    assert routes(served) == set(MAY)


@pytest.mark.parametrize(("method", "path"), sorted(MAY))
async def test_every_role_against_every_route(served: Served, method: str, path: str) -> None:
    for role in (*ROLES, None):
        answer = await served.ask(method, address(path), role, content=b"{}", headers=AS_JSON)
        may = MAY[method, path]
        if may is None or role in may:
            assert answer.status_code not in (401, 405, 429), (role, answer.text)
            assert answer.status_code < 500
            if answer.status_code == 403:
                assert path == "/v1/join", (role, answer.text)
        else:
            assert answer.status_code == (401 if role is None else 403), (role, answer.text)
            problem(answer)


AS_JSON = {"Content-Type": JSON}


async def test_the_homes_own_console_writes_and_no_keeper_does_so(served: Served) -> None:
    body = b'{"drafts":[{"body":{"kind":"store_set","store":"barn","facts":{}}}]}'
    for role in ROLES:
        answer = await served.ask("POST", "/v1/here/deeds", role, content=body, headers=AS_JSON)
        assert answer.status_code == 403
    answer = await served.ask("POST", "/v1/here/deeds", "local", content=body, headers=AS_JSON)
    assert answer.status_code == 200, answer.text
    device = served.ledger.household.device
    assert answer.json() == {"records": [f"{device}:2"]}


# -- tokens ------------------------------------------------------------------------------------


async def test_a_token_that_is_not_good_opens_nothing(served: Served) -> None:
    good = served.tokens["keeper"]
    device, _, secret = good.partition(".")
    other = served.tokens["member"].partition(".")[2]
    for token in ("x", device, f"{device}.", f"{device}.{other}", good[:-1], good + "0",
                  good.upper(), f"{device}.{secret[::-1]}", "Ä" * 40, "0" * 8000):  # fmt: skip
        headers = [(b"authorization", b"Bearer " + token.encode())]
        async with served.client(None) as client:
            answer = await client.get("/v1/events", headers=headers)
        assert answer.status_code == 401, token[:60]
        told = problem(answer)
        assert token[:12] not in json.dumps(told) or len(token) < 3
        assert answer.headers["www-authenticate"].startswith("Bearer")


@pytest.mark.parametrize("header", ["", "Bearer", "Bearer ", "Basic abc", "bearer"])
async def test_what_is_no_bearer_token_is_asked_for_one(served: Served, header: str) -> None:
    async with served.client(None) as client:
        answer = await client.get("/v1/events", headers={"Authorization": header})
    assert answer.status_code == 401
    assert problem(answer)["type"] == "/docs#no-token"


async def test_a_browser_shows_its_token_in_the_cookie(served: Served) -> None:
    async with served.client(None, Cookie=f"{COOKIE}={served.tokens['reader']}") as client:
        assert (await client.get("/v1/on-hand")).status_code == 200
        assert (await client.post("/v1/events", content=b"[]", headers=AS_JSON)).status_code == 403
    both = {"Cookie": f"{COOKIE}={served.tokens['keeper']}", "Authorization": "Bearer wrong"}
    async with served.client(None, **both) as client:
        assert (await client.get("/v1/on-hand")).status_code == 401  # what was said first, counts


async def test_a_token_in_an_address_is_none(served: Served) -> None:
    answer = await served.ask("GET", f"/v1/on-hand?token={served.tokens['keeper']}", None)
    assert answer.status_code == 401


async def test_a_retired_devices_token_stops_at_once(served: Served) -> None:
    assert (await served.ask("GET", "/v1/on-hand")).status_code == 200
    await served.access.retire(served.devices["member"])
    answer = await served.ask("GET", "/v1/on-hand")
    assert answer.status_code == 401
    assert "pair the device anew" in problem(answer)["detail"]


async def test_another_households_token_opens_nothing_here(served: Served, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    async with serving(tmp_path / "other") as other:
        served.tokens["foreign"] = other.tokens["keeper"]
        assert (await served.ask("GET", "/v1/events", "foreign")).status_code == 401


async def test_an_address_that_guesses_is_slowed_and_good_tokens_are_not(tmp_path: Path) -> None:
    limits = Limits(wrong_each_second=0.1, wrong_at_once=5)
    async with serving(tmp_path, Serving(limits=limits)) as served:
        served.tokens["wrong"] = "nobody.secret"
        answers = [await served.ask("GET", "/v1/events", "wrong") for _ in range(7)]
        assert [answer.status_code for answer in answers] == [401] * 5 + [429] * 2
        assert 1 <= int(answers[-1].headers["retry-after"]) <= 10
        problem(answers[-1])
        assert (await served.ask("GET", "/v1/events")).status_code == 200


def test_a_bucket_fills_again_with_time() -> None:
    now = [0.0]
    buckets = Buckets(2.0, 3, lambda: now[0])
    assert [buckets.take("a") for _ in range(3)] == [0, 0, 0]
    assert buckets.take("a") == 0.5
    assert buckets.take("b") == 0
    now[0] = 0.5
    assert buckets.take("a") == 0
    assert buckets.take("a") == 0.5
    now[0] = 1000
    assert [buckets.take("a") == 0 for _ in range(4)] == [True, True, True, False]


# -- the edge ----------------------------------------------------------------------------------


def edged(served: Served, to: io.StringIO, **headers: str) -> httpx.AsyncClient:
    edge: Any = Edge(served.app, served.before, to)
    return httpx.AsyncClient(
        transport=httpx.ASGITransport(app=edge, raise_app_exceptions=False),
        base_url="http://localhost:8470",
        headers=headers,
    )


async def test_under_a_foreign_name_nothing_is_answered(tmp_path: Path) -> None:
    async with serving(tmp_path, Serving(hosts=frozenset({"localhost", "[::1]"}))) as served:
        for host, status in (("localhost:8470", 200), ("LOCALHOST", 200), ("[::1]:8470", 200),
                             ("evil.example", 421), ("localhost.evil.example", 421),
                             ("127.0.0.1.evil:8470", 421), ("", 421)):  # fmt: skip
            async with edged(served, io.StringIO(), Host=host) as client:
                answer = await client.get("/health")
                assert answer.status_code == status, host
                if status == 421:
                    problem(answer)


def test_a_host_without_its_port() -> None:
    assert [bare(host) for host in ("a:1", "a", "[::1]:80", "[::1]", "A.b:x")] == [
        "a", "a", "[::1]", "[::1]", "a.b:x",
    ]  # fmt: skip


async def test_the_journal_names_routes_and_devices_and_nothing_else(tmp_path: Path) -> None:
    async with serving(tmp_path, Serving(local_token=LOCAL)) as served:
        await served.push(served.said(1, beans()))
        to = io.StringIO()
        token = served.tokens["member"]
        async with edged(served, to, Authorization=f"Bearer {token}") as client:
            await client.get("/v1/trail/green%20beans?on=2026-09-21")
            await client.get("/v1/have?food=secret-beans")
            await client.get("/v1/nothing-of-beans")
            await client.post("/v1/events", content=b'[{"note":"beans"}]', headers=AS_JSON)
            await client.get("/health", headers={"Authorization": f"Bearer {LOCAL}"})
        lines = [json.loads(line) for line in to.getvalue().splitlines()]
        assert [(line["method"], line["route"], line["status"]) for line in lines] == [
            ("GET", "/v1/trail/{lot}", 200),
            ("GET", "/v1/have", 200),
            ("GET", "-", 404),
            ("POST", "/v1/events", 200),
            ("GET", "/health", 200),
        ]
        assert [line["device"] for line in lines] == [
            *[served.devices["member"]] * 2, None, served.devices["member"], None,
        ]  # fmt: skip
        assert {"now", "ms"} < set(lines[0])
        for secret in ("beans", token, token.partition(".")[2], LOCAL, "on=", "food"):
            assert secret not in to.getvalue(), secret


async def test_a_body_that_does_not_come_is_not_waited_for(tmp_path: Path) -> None:
    async with serving(tmp_path, Serving(body_s=0.05)) as served:
        edge = Edge(served.app, served.before, io.StringIO())
        sent: list[Any] = []
        given = [{"type": "http.request", "body": b"[", "more_body": True}]

        async def receive() -> Any:
            return given.pop() if given else await asyncio.Event().wait()

        async def send(message: Any) -> None:
            sent.append(message)

        token = served.tokens["member"].encode()
        scope: Any = {
            "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST",
            "scheme": "http", "path": "/v1/events", "raw_path": b"/v1/events", "query_string": b"",
            "root_path": "", "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 2), "state": {},
            "headers": [(b"content-type", b"application/json"),
                        (b"authorization", b"Bearer " + token)],
        }  # fmt: skip
        await edge(scope, receive, send)
        assert sent[0]["status"] == 408


# -- problems ----------------------------------------------------------------------------------


async def test_every_fault_of_every_route_has_the_one_shape(served: Served) -> None:
    for method, path in sorted(routes(served)):
        for role in ("keeper", "sensor", None):
            for wrong in ("GET", "POST", "PUT", "PATCH", "DELETE", "HEAD"):
                answer = await served.ask(wrong, address(path), role, content=b"{", headers=AS_JSON)
                assert answer.status_code < 500
                if answer.status_code >= 400 and wrong != "HEAD":
                    problem(answer)
                if answer.status_code == 405:
                    assert method in answer.headers["allow"]
    for path in (
        "/",
        "/v1",
        "/v1/",
        "/v1/none",
        "/v1/events/",
        "/%00",
        "/v1/trail/%ff",
        "/" + "x" * 9000,
    ):
        answer = await served.ask("GET", path, "keeper")
        if answer.status_code >= 400:
            assert problem(answer)["status"] == 404


async def test_a_fault_of_the_program_tells_no_trace_and_no_secret(
    served: Served, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    secret = "the-secret-beans"

    def broken(*_: object) -> None:
        raise KeyError(secret)

    monkeypatch.setattr("service.http.looks.stock.concerns", broken)
    answer = await served.ask("GET", "/v1/concerns")
    assert answer.status_code == 500
    told = problem(answer)
    assert told["type"] == "/docs#fault"
    shown = answer.text + str(answer.headers) + "".join(capsys.readouterr())
    for word in (secret, "Traceback", ".py", "line ", served.tokens["member"]):
        assert word not in shown, word


def test_every_kind_of_problem_is_one_that_is_told_somewhere() -> None:
    source = "".join(
        path.read_text() for path in Path("service").rglob("*.py") if "__pycache__" not in str(path)
    )
    unused = [kind for kind in problems.KINDS if len(re.findall(f'"{kind}"', source)) < 2]
    assert unused == []
