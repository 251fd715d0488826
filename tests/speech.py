"""A household to say lines to, and what a line has written in short words, nothing left out."""

import json
import re
from contextlib import redirect_stdout
from functools import cache
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from service.console import main
from tests.console import NOW, Console, set_up

GRAIN = 5_040_000

BRINGING = (
    ("12 qt", "green beans", "--form", "home-canned", "--in", "back-room", "--on", "2026-08-14"),
    ("3 jars", "wax beans", "--form", "home-canned", "--in", "kitchen", "--on", "2026-08-20"),
    ("6 jars", "plum jam", "--in", "kitchen", "--on", "2026-09-01"),
    ("25 kg", "rolled oats", "--in", "barn", "--on", "2026-10-02"),
    ("40 lb", "carrots", "--in", "bed-3", "--on", "2026-10-01"),
    ("30 lb", "apples", "--in", "barn", "--on", "2026-10-05"),
    ("8 bags", "peas", "--form", "frozen", "--in", "kitchen", "--on", "2026-07-01"),
    ("4 bags", "peas and carrots", "--in", "kitchen", "--on", "2026-07-02"),
    ("30 heads", "garlic", "--in", "barn", "--on", "2026-07-20"),
    ("2 doz", "eggs", "--in", "kitchen", "--on", "2026-11-20"),
    ("5 jars", "tomatoes", "--in", "back-room", "--on", "2025-09-01"),
    ("7 jars", "tomatoes", "--in", "back-room", "--on", "2026-09-05"),
    ("3", "pumpkins", "--in", "barn", "--on", "2026-10-10"),
    ("5 jars", "honey", "--in", "barn", "--on", "2026-08-01"),
    ("20 lb", "potatoes", "--in", "barn", "--on", "2026-09-15"),
)

SETTING_UP = (
    ("food", "add", "green beans", "--also", "string beans"),
    ("food", "add", "apples", "--unit", "pie bag = 2 lb"),
    ("hold", "honey", "--reason", "taste", "--on", "2026-08-02"),
    ("set-aside", "potatoes", "5 lb", "--in", "barn", "--for", "seed", "--on", "2026-09-16"),
    ("store", "add", "chest-freezer", "--kind", "freezer"),
    (
        "bring-in",
        "5 bags",
        "raspberries",
        "--form",
        "frozen",
        "--in",
        "chest-freezer",
        "--on",
        "2026-07-10",
    ),
    ("bring-in", "4 kg", "plums", "--in", "kitchen", "--on", "2026-09-12"),
    (
        "bring-in",
        "9 jars",
        "salsa",
        "--form",
        "home-canned",
        "--in",
        "back-room",
        "--on",
        "2026-09-20",
    ),
    ("carry", "4", "salsa", "--from", "back-room", "--to", "kitchen", "--on", "2026-10-01"),
    ("count", "4", "salsa", "--in", "back-room", "--on", "2026-11-01"),
)


class _Quiet(Console):
    """A console of which nobody reads what it says."""

    def run(self, *argv: str) -> int:  # type: ignore[explicit-override]
        with redirect_stdout(StringIO()):
            return main.run(list(argv))


@cache
def made() -> dict[str, bytes]:
    """The files of the household's home, to be copied."""
    with TemporaryDirectory() as home, pytest.MonkeyPatch.context() as patch:
        console = _Quiet(Path(home), patch, None)  # type: ignore[arg-type]
        set_up(console, BRINGING)
        for typed in SETTING_UP:
            console.does(*typed)
        return {file.name: file.read_bytes() for file in Path(home).iterdir()}


def settle_in(home: Path) -> None:
    """The household's home, as it is made."""
    home.mkdir(exist_ok=True)
    for name, content in made().items():
        (home / name).write_bytes(content)


def records(console: Console) -> list[dict[str, Any]]:
    return [json.loads(line)["record"] for line in console.log().splitlines()]


def written(before: list[dict[str, Any]], after: list[dict[str, Any]]) -> list[str]:
    """What each new record says: its kind, and every field that is not left at its blank."""
    foods = lots(after)
    return [_said(record, foods) for record in after[len(before) :]]


def lots(found: list[dict[str, Any]]) -> dict[str, str]:
    """Lots by their names, to their foods; with the year where a food has several."""
    made = [record for record in found if record["body"]["kind"] == "received"]
    foods = [record["body"]["food"] for record in made]
    return {
        f"{r['device']}:{r['seq']}:0": food if foods.count(food) == 1 else f"{food} {r['at'][:4]}"
        for r, food in zip(made, foods, strict=True)
    }


def _said(record: dict[str, Any], foods: dict[str, str]) -> str:
    body = dict(record["body"])
    words = [body.pop("kind")]
    if "lot" in body:
        lot = body.pop("lot")
        words.append(foods.get(lot, f"lot {lot.rpartition(':')[2]} of this deed"))
    if "mark" in body:
        body["mark"] = body["mark"].partition(":")[2]
    for name in ("record", "rests_on"):
        if name in body:
            body[name] = re.sub(r"[a-z0-9-]+:([0-9]+)(?:, )?", r"\1 ", str(body[name])).strip(
                "[' ]"
            )
    for name, says in (("yields", _made), ("draws", _drawn)):
        if name in body:
            body[name] = " + ".join(says(one, foods) for one in body[name])
    if "facts" in body:
        body["facts"] = ", ".join(f"{fact}: {text}" for fact, text in body["facts"].items())
    words += [
        f"{name}={_value(value)}" for name, value in body.items() if value not in (None, False, "")
    ]
    words += [
        f"{name}={record[name]}"
        for name in ("at", "typed", "by", "note")
        if record.get(name) not in (None, NOW)
    ]
    return "; ".join(words)


def _made(made: dict[str, Any], foods: dict[str, str]) -> str:
    """A lot that came of a making: how much of what, in which form and packages, where."""
    package = _value(made["package"]) if "package" in made else ""
    said = [made["food"], made.get("form", ""), package, made.get("store", "")]
    return ", ".join([_value(made["amount"]), *(word for word in said if word)])


def _drawn(drawn: dict[str, Any], foods: dict[str, str]) -> str:
    """What went into a making, and out of which store."""
    rest = "rest" if drawn.get("rest") else ""
    said = [foods[drawn["lot"]], drawn.get("store", ""), rest]
    return ", ".join([_value(drawn["amount"]), *(word for word in said if word)])


def _value(value: object) -> str:
    if not isinstance(value, dict):
        return str(value)
    if "n" not in value:
        return " ".join(str(part) for part in value.values())
    figures = [value.get(end) for end in ("n", "low", "high")]
    shown = [f"{n / GRAIN:g}" for n in figures if n is not None]
    return f"{'/'.join(shown)} {value['unit']} <{value['said']}>"
