"""Routes of pairing: codes, tokens said once, who may alter whom, and what the log learns of it."""

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from events import codec
from service.access import GOOD_FOR_MS
from tests.serving import NOW, Served, beans, problem, said, serving


@pytest.fixture
async def served(tmp_path: Path) -> AsyncIterator[Served]:
    async with serving(tmp_path) as made:
        yield made


async def paired(served: Served, asking: str | None = "keeper", **wish: Any) -> httpx.Response:
    return await served.ask("POST", "/v1/pair", asking, json=wish)


async def joined(served: Served, code: str) -> httpx.Response:
    return await served.ask("POST", "/v1/join", None, json={"code": code})


async def device(served: Served, **wish: Any) -> dict[str, Any]:
    code = (await paired(served, **wish)).json()["code"]
    answer = await joined(served, code)
    assert answer.status_code == 200, answer.text
    told: dict[str, Any] = answer.json()
    return told


async def alter(served: Served, device: str, asking: str = "keeper", **wish: Any) -> httpx.Response:
    return await served.ask("PATCH", f"/v1/devices/{device}", asking, json=wish)


async def test_a_code_makes_a_device_of_the_household(served: Served) -> None:
    answer = await paired(served, role="reader", name="hall screen")
    assert answer.headers["cache-control"] == "no-store"
    told = answer.json()
    assert told["until"] == NOW + GOOD_FOR_MS
    made = await joined(served, told["code"])
    assert made.headers["cache-control"] == "no-store"
    one = made.json()
    assert (one["role"], one["name"], one["household"]) == ("reader", "hall screen", "household01")
    assert (one["household_name"], one["timezone"]) == ("Hollow Lane", "Europe/London")
    assert (one["log"], one["epoch"]) == ("household01", 1)
    headers = {"Authorization": f"Bearer {one['token']}"}
    assert (await served.ask("GET", "/v1/on-hand", None, headers=headers)).status_code == 200
    facts = served.ledger.book.settings.devices[one["device"]]
    assert facts == {"name": "hall screen", "role": "reader"}


async def test_a_code_is_good_once_and_what_is_none_is_told_so(served: Served) -> None:
    code = (await paired(served)).json()["code"]
    assert (await joined(served, code)).status_code == 200
    for shown in (code, "00000000", "x", "ééééèèèè"):
        answer = await joined(served, shown)
        assert answer.status_code == 403
        told = problem(answer)
        assert told["type"] == "/docs#bad-code"
        assert shown not in told["detail"]


async def test_many_wrong_codes_are_answered_with_wait(served: Served) -> None:
    statuses = [(await joined(served, f"0000000{n % 10}")).status_code for n in range(40)]
    assert statuses[0] == 403
    assert statuses[-1] == 429
    answer = await joined(served, "00000000")
    assert int(answer.headers["retry-after"]) >= 1


async def test_who_has_to_wait_costs_no_slow_hash(
    served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    hashed: list[bytes] = []

    def counted(code: bytes, **_: object) -> bytes:
        hashed.append(code)
        return code

    monkeypatch.setattr("service.access.hashlib.scrypt", counted)
    for n in range(60):
        await joined(served, f"000000{n:02}")
    assert len(hashed) < 30


@pytest.mark.parametrize("role", ["member", "reader", "sensor", None])
async def test_only_a_keeper_pairs(served: Served, role: str | None) -> None:
    answer = await paired(served, role)
    assert answer.status_code == (401 if role is None else 403)


@pytest.mark.parametrize(
    "wish",
    [{"role": "cook"}, {"name": ""}, {"name": "a\nb\u0000"}, {"name": "x" * 300}, {"more": 1},
     {"member": "stranger"}, {"formerly": "device02"}, {"role": 1}],
)  # fmt: skip
async def test_what_is_not_understood_makes_no_code(served: Served, wish: dict[str, Any]) -> None:
    answer = await paired(served, **wish)
    assert answer.status_code == 400, answer.text
    problem(answer)


async def test_who_is_in_use_is_nobodys_former_name(served: Served) -> None:
    old = served.devices["member"]
    assert "still in use" in problem(await paired(served, formerly=old))["detail"]
    await alter(served, old, retired=True)
    new = await device(served, formerly=old)
    assert (new["formerly"], new["name"]) == ([old], "the member")
    headers = {"Authorization": f"Bearer {new['token']}"}
    content = said(old, 1, beans())
    answer = await served.ask(
        "POST", "/v1/events", None, headers={**headers, "Content-Type": "application/json"},
        content=b"[" + codec.encode(content) + b"]",
    )  # fmt: skip
    assert [receipt["state"] for receipt in answer.json()] == ["new"]
    entry = served.ledger.book.entry(f"{old}:1")
    assert entry is not None
    assert entry.sent_by == new["device"]


async def test_the_list_says_who_there_is_and_what_is_missing_of_them(served: Served) -> None:
    await served.push(served.said(3, beans()))
    listed = {one["device"]: one for one in (await served.ask("GET", "/v1/devices")).json()}
    own = listed[served.devices["member"]]
    assert (own["role"], own["name"], own["retired"]) == ("member", "the member", False)
    assert (own["missing"], own["heard"]) == (2, NOW)
    assert listed[served.ledger.household.device]["role"] == "keeper"
    assert {served.devices[role] for role in ("keeper", "reader", "sensor")} <= set(listed)


async def test_a_keeper_names_and_retires(served: Served) -> None:
    name = served.devices["sensor"]
    assert (await alter(served, name, name="cellar scales")).json()["name"] == "cellar scales"
    assert (await alter(served, name, retired=True)).json()["retired"] is True
    assert (await served.ask("GET", "/v1/on-hand", "sensor")).status_code == 401
    facts = served.ledger.book.settings.devices[name]
    assert (facts["name"], facts["retired"]) == ("cellar scales", "yes")


async def test_others_alter_nobody_but_may_end_themselves(served: Served) -> None:
    own, other = served.devices["member"], served.devices["reader"]
    for name, wish in ((other, {"retired": True}), (other, {"name": "x"}), (own, {"name": "x"})):
        assert (await alter(served, name, "member", **wish)).status_code == 403
    assert (await alter(served, own, "member", retired=True)).status_code == 200
    assert (await served.ask("GET", "/v1/on-hand", "member")).status_code == 401


async def test_who_is_not_known_and_who_keeps_the_log_is_not_retired(served: Served) -> None:
    assert (await alter(served, "nobody", retired=True)).status_code == 404
    assert (await alter(served, "a b%00", retired=True)).status_code in (400, 404)
    answer = await alter(served, served.ledger.household.device, retired=True)
    assert "cannot be retired" in problem(answer)["detail"]
    assert (await alter(served, served.devices["member"], retired=False)).status_code == 400
