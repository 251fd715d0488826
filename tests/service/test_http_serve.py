"""The service as a process on a real port: started, followed, ended; and a console beside it."""

import json
import os
import signal
import socket
import stat
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests.running import ROOT, Running, girnel, made, running


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return made(tmp_path / "home")


def bring(home: Path, amount: str = "12 jars") -> None:
    done = girnel(home, "bring-in", amount, "beans", "--in", "barn")
    assert done.returncode == 0, done.stderr


# -- start and end -------------------------------------------------------------------------------


def test_it_says_where_it_listens_answers_at_once_and_ends_on_a_signal(home: Path) -> None:
    with running(home) as one:
        answer = httpx.get(f"{one.url}/health")
        assert (answer.status_code, answer.json()) == (200, {"status": "ok"})
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert "server" not in answer.headers
        code, seconds, out, err = one.end()
    assert (code, out) == (0, "")
    assert seconds < 2
    assert [json.loads(line)["route"] for line in err.splitlines()] == ["/health"]


def test_behind_a_proxy_it_answers_to_its_public_name_too(home: Path) -> None:
    """A proxy passes on the Host that it was asked for, and whose address the asker has."""
    with running(home, GIRNEL_PUBLIC_URL="https://girnel.example:8443/") as one:
        for host, status in (("girnel.example", 200), ("girnel.example:8443", 200),
                             ("127.0.0.1:8470", 200), ("other.example", 421)):  # fmt: skip
            answer = httpx.get(f"{one.url}/health", headers={"Host": host})
            assert answer.status_code == status, host
        done = girnel(home, "pair", "--json")
        assert json.loads(done.stdout)["url"] == "https://girnel.example:8443"

        def wrong(asker: str) -> int:
            headers = {"Authorization": "Bearer wrong", "X-Forwarded-For": asker}
            return httpx.get(f"{one.url}/v1/on-hand", headers=headers).status_code

        assert [wrong("192.0.2.1") for _ in range(22)][-1] == 429
        assert wrong("192.0.2.2") == 401
        assert one.process.stdout is not None
        assert "it is at https://girnel.example:8443" in one.process.stdout.readline()
    with running(home) as one:
        answer = httpx.get(f"{one.url}/health", headers={"Host": "girnel.example"})
        assert answer.status_code == 421


@pytest.mark.parametrize(
    "typed", ["http://girnel.example", "girnel.example", "https://", "https://a:b"]
)
def test_a_public_address_that_is_none_is_said(home: Path, typed: str) -> None:
    env = {**os.environ, "GIRNEL_HOME": str(home), "GIRNEL_PUBLIC_URL": typed}
    done = subprocess.run(
        [sys.executable, "-m", "service.console", "serve", "--port", "0"],
        env=env, capture_output=True, text=True, timeout=30, check=False, cwd=ROOT,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (2, "")
    assert "GIRNEL_PUBLIC_URL" in done.stderr
    assert "Traceback" not in done.stderr


def test_ctrl_c_ends_it_too(home: Path) -> None:
    with running(home) as one:
        code, seconds, _, err = one.end(signal.SIGINT)
    assert (code, err) == (0, "")
    assert seconds < 2


@pytest.mark.parametrize(
    ("first", "then"),
    [
        (signal.SIGINT, signal.SIGINT),
        (signal.SIGTERM, signal.SIGINT),
        (signal.SIGINT, signal.SIGTERM),
    ],
)
def test_a_second_signal_while_it_ends_leaves_no_traceback(
    home: Path, first: signal.Signals, then: signal.Signals
) -> None:
    with running(home) as one:
        one.process.send_signal(first)
        time.sleep(0.03)
        code, _, _, err = one.end(then)
    assert (code, err) == (0, "")


def test_what_it_leaves_in_the_home_is_for_its_owner_alone_and_gone_at_the_end(home: Path) -> None:
    with running(home) as one:
        for name in ("serving.json", "serving.sock"):
            assert stat.S_IMODE((home / name).stat().st_mode) == 0o600, name
        assert stat.S_ISSOCK((home / "serving.sock").stat().st_mode)
        one.end()
        assert not (home / "serving.json").exists()
        assert not (home / "serving.sock").exists()


def test_after_a_kill_it_starts_again(home: Path) -> None:
    with running(home) as one:
        one.end(signal.SIGKILL)
        assert (home / "serving.sock").exists()
    with running(home) as one:
        assert one.get("/v1/on-hand").status_code == 200


def test_a_home_is_served_once(home: Path) -> None:
    with running(home):
        again = girnel(home, "serve", "--port", "0")
        assert again.returncode == 2
        assert "in use" in " ".join(again.stderr.split())


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--port", "x"), "is no port"),
        (("--port", "65536"), "is no port"),
        (("--cert", "none.pem"), "There is no file"),
        (("--host", "192.0.2.1"), "cannot be listened at"),
    ],
)
def test_what_cannot_be_served_is_said_in_a_sentence(
    home: Path, words: tuple[str, ...], says: str
) -> None:
    done = girnel(home, "serve", *words)
    assert (done.returncode, done.stdout) == (2, "")
    assert says in " ".join(done.stderr.split())
    assert "Traceback" not in done.stderr


def test_a_taken_port_is_said_in_a_sentence(home: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        done = girnel(home, "serve", "--port", str(taken.getsockname()[1]))
    assert done.returncode == 2
    assert "cannot be listened at" in " ".join(done.stderr.split())


def test_on_loopback_it_answers_to_no_other_name(home: Path) -> None:
    with running(home) as one:
        answer = one.get("/v1/on-hand", headers={"Host": "evil.example"})
        assert answer.status_code == 421
        assert answer.headers["content-type"] == "application/problem+json"
        assert one.get("/v1/on-hand").status_code == 200


def test_with_a_deep_home_the_socket_is_elsewhere(tmp_path: Path) -> None:
    deep = made(tmp_path / ("d" * 100) / "home")
    with running(deep) as one:
        path = Path(json.loads((deep / "serving.json").read_bytes())["socket"])
        assert path.is_socket()
        assert not path.is_relative_to(deep)
        one.end()
        assert not path.exists()


# -- the stream ----------------------------------------------------------------------------------


def events(lines: Iterator[str]) -> Iterator[dict[str, str]]:
    """Server-sent events, comments too."""
    found: dict[str, str] = {}
    for line in lines:
        if line == "":
            if found:
                yield found
            found = {}
            continue
        name, _, value = line.partition(": ")
        found[name or "comment"] = value


def test_the_stream_tells_what_is_there_and_what_comes(home: Path) -> None:
    with running(home) as one, httpx.Client(timeout=20) as client:
        headers = {"Authorization": f"Bearer {one.token}"}
        with client.stream("GET", f"{one.url}/v1/events/stream", headers=headers) as answer:
            assert answer.status_code == 200
            assert answer.headers["content-type"].startswith("text/event-stream")
            told = events(answer.iter_lines())
            assert next(told) == {"retry": "2000"}
            first, second = next(told), next(told)
            assert (first["event"], json.loads(second["data"])["position"]) == ("record", 2)
            write(one)
            third = next(told)
            assert json.loads(third["data"])["record"]["body"]["kind"] == "store_set"
        headers["Last-Event-ID"] = second["id"]
        with client.stream("GET", f"{one.url}/v1/events/stream", headers=headers) as answer:
            told = events(answer.iter_lines())
            next(told)
            assert next(told) == third


def test_it_ends_at_once_also_while_somebody_follows(home: Path) -> None:
    with running(home) as one, httpx.Client(timeout=20) as client:
        headers = {"Authorization": f"Bearer {one.token}"}
        with client.stream("GET", f"{one.url}/v1/events/stream", headers=headers) as answer:
            lines = answer.iter_lines()
            next(lines)
            code, seconds, _, err = one.end()
            assert list(lines)[-1] == ""
    assert code == 0
    assert seconds < 2
    assert "Traceback" not in err


def write(one: Running) -> None:
    """A store, set up through the socket in the home."""
    told = json.loads((one.home / "serving.json").read_bytes())
    transport = httpx.HTTPTransport(uds=told["socket"])
    body = {"drafts": [{"body": {"kind": "store_set", "store": "attic", "facts": {}}}]}
    with httpx.Client(transport=transport) as client:
        answer = client.post(
            "http://localhost/v1/here/deeds",
            json=body,
            headers={"Authorization": f"Bearer {told['token']}"},
        )
    assert answer.status_code == 200, answer.text
