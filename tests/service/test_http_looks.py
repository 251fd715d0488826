"""The looks over HTTP: what the console prints with --json, under the same name, and ETags."""

import json
from argparse import ArgumentParser
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from service import access, assemble
from service.clock import Fixed, RandomIds, moment
from service.console import main
from service.http.app import make_app
from service.http.state import Serving
from service.settings import Settings
from service.sync.messages import MSGPACK
from tests.console import NOW as CONSOLE_NOW
from tests.console import Console
from tests.serving import LOCAL, Served, beans, problem, serving


@pytest.fixture
async def served(tmp_path: Path) -> AsyncIterator[Served]:
    async with serving(tmp_path) as made:
        await made.push(made.said(1, beans()))
        yield made


DEMO = [
    ("on-hand", {}),
    ("on-hand", {"in": "kitchen"}),
    ("on-hand", {"on": "1 Nov 2026"}),
    ("have", {"food": "beans"}),
    ("have", {"food": "thighs"}),
    ("concerns", {}),
    ("digest", {}),
    ("digest", {"on": "2026-11-15"}),
    ("rotation", {}),
    ("rotation", {"in": "kitchen"}),
    ("reorder", {}),
    ("carrying", {}),
    ("jars", {}),
    ("jars", {"on": "2026-10-01"}),
    ("ground", {}),
    ("ground", {"of": "carrots"}),
    ("climate", {}),
    ("what-if", {"winter": "+3F"}),
    ("fill", {"amount": "25 kg", "food": "rice", "into": "5 gal bucket"}),
]


def test_every_endpoint_gives_what_the_console_prints(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    import asyncio

    home = tmp_path / "home"
    console = Console(home, monkeypatch, capsys)
    assert main.run(["demo", "--home", str(home)]) == 0
    lot = console.json("on-hand")[0]["lot"]
    asked = [*DEMO, (f"trail/{lot}", {})]
    printed = [console.json(*typed(path, query)) for path, query in asked]

    async def answers() -> list[Any]:
        clock = Fixed(moment(CONSOLE_NOW))
        async with assemble.open_home(home, clock, writing=False) as ledger:
            doors = access.at(tmp_path, clock, RandomIds())
            app = make_app(
                ledger,
                doors,
                Settings(home=home, now_ms=clock.ms),
                Serving(local_token=LOCAL),
            )
            one = Served(app, ledger, doors, clock, {"local": LOCAL}, {})
            found = []
            for path, query in asked:
                answer = await one.ask("GET", f"/v1/{path}", "local", params=query)
                assert answer.status_code == 200, (path, answer.text)
                found.append(answer.json())
            doors.close()
            return found

    for (path, query), got, want in zip(asked, asyncio.run(answers()), printed, strict=True):
        assert got == want, (path, query)
        assert want or (path, query) in [("carrying", {}), ("concerns", {})]


def typed(path: str, query: dict[str, str]) -> list[str]:
    """A look as it is typed on the console."""
    name, _, word = path.partition("/")
    words = [word] if word else []
    for key, value in query.items():
        words += [value] if key in ("food", "amount") else [f"--{key}", value]
    return [name, *words]


def looks_of_the_console() -> set[str]:
    """Every command that takes a day and prints JSON, and writes nothing."""
    found = set()
    for action in main.parser()._actions:
        if isinstance(action.choices, dict):
            for name, sub in action.choices.items():
                assert isinstance(sub, ArgumentParser)
                options = {option for one in sub._actions for option in one.option_strings}
                if {"--json", "--on"} <= options and "--note" not in options:
                    found.add(name)
    return found


async def test_every_look_of_the_console_has_its_endpoint(served: Served) -> None:
    served_looks = {
        route.path.split("/")[2] for route in served.app.routes if route.path[:4] == "/v1/"
    }
    assert looks_of_the_console() - served_looks == set(), "add it to service/http/looks.py"


# -- what is asked wrongly -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/v1/on-hand?in=attic", 400),
        ("/v1/on-hand?on=someday", 400),
        ("/v1/on-hand?on=9999-99-99", 400),
        ("/v1/on-hand?in=%00", 400),
        ("/v1/have", 400),
        ("/v1/have?food=", 400),
        ("/v1/have?food=" + "x" * 500, 400),
        ("/v1/trail/nothing-here", 404),
        ("/v1/trail/a:1:0", 404),
        ("/v1/trail/%20", 404),
        ("/v1/digest?on=x", 400),
    ],
)
async def test_what_is_not_understood_is_told_in_a_sentence(
    served: Served, path: str, status: int
) -> None:
    answer = await served.ask("GET", path)
    assert answer.status_code == status, answer.text
    problem(answer)


async def test_what_may_mean_several_things_is_a_question(served: Served) -> None:
    await served.push(served.said(2, beans(3)))
    answer = await served.ask("GET", "/v1/trail/green beans")
    assert answer.status_code == 409
    assert problem(answer)["type"] == "/docs#needs-choice"


# -- ETags -------------------------------------------------------------------------------------


async def test_a_look_that_has_not_changed_is_not_sent_again(served: Served) -> None:
    first = await served.ask("GET", "/v1/on-hand")
    tag = first.headers["etag"]
    assert tag.startswith('W/"')
    for sent in (tag, tag.removeprefix("W/"), f'"x", {tag}', "*"):
        again = await served.ask("GET", "/v1/on-hand", headers={"If-None-Match": sent})
        assert (again.status_code, again.content) == (304, b""), sent
        assert again.headers["etag"] == tag
    other = await served.ask("GET", "/v1/on-hand", headers={"If-None-Match": 'W/"x"'})
    assert other.status_code == 200
    await served.push(served.said(2, beans(3)))
    changed = await served.ask("GET", "/v1/on-hand", headers={"If-None-Match": tag})
    assert changed.status_code == 200
    assert len(changed.json()) == 2


async def test_the_day_and_the_form_are_in_the_etag(served: Served) -> None:
    tag = (await served.ask("GET", "/v1/rotation")).headers["etag"]
    served.clock.ms += 86_400_000
    served.before.clock = served.clock
    headers = {"If-None-Match": tag}
    assert (await served.ask("GET", "/v1/rotation", headers=headers)).status_code == 200
    packed = await served.ask("GET", "/v1/on-hand", headers={"Accept": MSGPACK})
    assert packed.headers["etag"] != (await served.ask("GET", "/v1/on-hand")).headers["etag"]
    assert msgspec.msgpack.decode(packed.content) == (await served.ask("GET", "/v1/on-hand")).json()


async def test_numbers_and_words_come_as_the_console_has_them(served: Served) -> None:
    (row,) = json.loads((await served.ask("GET", "/v1/on-hand")).content)
    assert (row["food"], row["amount"]) == ("green beans", {"value": "12", "unit": "jar"})
