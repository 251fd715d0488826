"""The service says what it is: the document is whole, the page needs nothing, and both are true."""

import json
import re
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
import schemathesis.checks
import schemathesis.specs.openapi.checks
from hypothesis import HealthCheck, Phase, given, settings
from litestar.routes import HTTPRoute

from service.http import problems
from service.http.described import GIVES, TAKES
from service.http.state import Serving
from tests.running import Running, made, running
from tests.serving import LOCAL, Served, serving

HIDDEN = {"/v1/here/deeds", "/v1/no-more/{word}", "/openapi.json", "/docs", "/v1/events/stream"}


@pytest.fixture
async def served(tmp_path: Path) -> AsyncIterator[Served]:
    async with serving(tmp_path, Serving(local_token=LOCAL)) as made:
        yield made


async def document(served: Served) -> dict[str, Any]:
    told: dict[str, Any] = (await served.ask("GET", "/openapi.json", None)).json()
    return told


async def test_every_route_is_described_with_its_bodies_and_problems(served: Served) -> None:
    said = await document(served)
    assert said["openapi"].startswith("3.1")
    routes = {r.path_format for r in served.app.routes if isinstance(r, HTTPRoute)}
    assert set(said["paths"]) == routes - (HIDDEN - {"/v1/events/stream"})
    for path, methods in said["paths"].items():
        for method, operation in methods.items():
            answers = operation["responses"]
            assert operation["description"], path
            assert {"400", "429", "500"} <= set(answers), path
            for status, answer in answers.items():
                if int(status) >= 400:
                    assert set(answer["content"]) == {problems.PROBLEM}, (path, status)
            if method != "get":
                body = operation["requestBody"]
                assert body["required"], path
                assert "application/json" in body["content"], path
                assert body["content"]["application/json"]["schema"], path
            if operation.get("security") == []:
                assert path in ("/health", "/v1/join")
            else:
                assert {"401", "403"} <= set(answers), path


async def test_what_is_referred_to_is_there(served: Served) -> None:
    said = await document(served)
    schemas = said["components"]["schemas"]
    named = set(re.findall(r"#/components/schemas/([\w.-]+)", str(said)))
    assert named <= set(schemas)
    assert {"Record", "Received", "Consumed", "ProblemDetails", "Receipt"} <= set(schemas)


async def test_the_page_loads_nothing_and_names_every_endpoint_and_problem(served: Served) -> None:
    answer = await served.ask("GET", "/docs", None)
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    for outside in ("http:", "https:", "src=", "@import", "<script", "<link"):
        assert outside not in answer.text, outside
    for path in (await document(served))["paths"]:
        assert path in answer.text
    for kind in problems.KINDS:
        assert f'id="{kind}"' in answer.text


# -- whatever is sent ------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    home = made(tmp_path_factory.mktemp("schema") / "home")
    with running(home) as one:
        yield one
        code, _, _, err = one.end()
        assert code == 0
        lines = [json.loads(line) for line in err.splitlines()]
        assert lines, "nothing was asked"
        faults = [line for line in lines if line.get("status", 500) >= 500]
        assert faults == [], "a fault was journalled"


def operations() -> list[tuple[str, str]]:
    looks = {("get", f"/v1/{look}") for look in LOOKS}
    return sorted({*TAKES, *GIVES, ("get", "/v1/snapshot")} | looks)


LOOKS = ("on-hand", "have", "trail/{lot}", "concerns", "digest", "rotation", "reorder", "carrying",
         "jars", "ground", "fill", "climate", "what-if")  # fmt: skip


@pytest.mark.parametrize(("method", "path"), operations())
def test_whatever_is_sent_the_answer_is_as_described_and_never_a_fault(
    service: Running, method: str, path: str
) -> None:
    schema = schemathesis.openapi.from_url(f"{service.url}/openapi.json")
    headers = {"Authorization": f"Bearer {service.token}"}

    @settings(
        max_examples=10,
        deadline=None,
        database=None,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
        phases=[Phase.generate],
    )
    @given(case=schema[path][method].as_strategy())
    def sent(case: Any) -> None:
        answer = case.call(headers=headers)
        case.validate_response(answer, checks=CHECKS)

    sent()


CHECKS = [
    schemathesis.checks.not_a_server_error,
    schemathesis.specs.openapi.checks.status_code_conformance,
    schemathesis.specs.openapi.checks.content_type_conformance,
    schemathesis.specs.openapi.checks.response_schema_conformance,
]
