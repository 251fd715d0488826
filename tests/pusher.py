"""A device that pushes to a service until somebody ends it, as a process of its own.

`python -m tests.pusher PORT TOKEN HOUSEHOLD DEVICE NOTES`: what the service has acknowledged is
written into NOTES, a counter and a position a line, after the answer and never before.
"""

import json
import sys
import time
from pathlib import Path

import httpx

from events import codec
from events.kinds import GRAIN, Amount, Received, Stamp
from events.record import Record

START = 1_795_000_000_000


def said(household: str, device: str, seq: int) -> bytes:
    """A jar that came in."""
    body = Received(food="beans", amount=Amount(unit="jar", n=GRAIN), store="barn")
    return codec.encode(
        Record(household=household, device=device, seq=seq, stamp=Stamp(START + seq),
               at="2026-11-18", offset=0, typed="18 Nov", body=body)
    )  # fmt: skip


def push(port: str, token: str, household: str, device: str, notes: Path) -> None:
    """Push batches of one to seven; what got no answer is pushed again."""
    seq, headers = 1, {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    with (
        httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=5) as client,
        notes.open("a") as to,
    ):
        while True:
            batch = [said(household, device, n) for n in range(seq, seq + 1 + seq % 7)]
            try:
                answer = client.post(
                    "/v1/events", content=b"[" + b",".join(batch) + b"]", headers=headers
                )
            except httpx.TransportError:
                time.sleep(0.02)
                continue
            if answer.status_code == 429:
                time.sleep(float(answer.headers["Retry-After"]))
                continue
            if answer.status_code != 200:
                raise SystemExit(f"{answer.status_code}: {answer.text}")
            receipts = json.loads(answer.content)
            for number, receipt in enumerate(receipts, seq):
                assert receipt["state"] in ("new", "known"), receipt
                to.write(f"{number} {receipt['position']}\n")
            to.flush()
            seq += len(batch)


if __name__ == "__main__":
    _, where, secret, whose, who, into = sys.argv
    push(where, secret, whose, who, Path(into))
