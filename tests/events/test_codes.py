"""Codes on lids: the same on every device, and a slip of the pen is noticed."""

from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events import codes
from events.quantity import NotUnderstood

names = st.builds(
    "{}:{}:{}".format,
    st.from_regex(r"[a-z0-9][a-z0-9-]{0,9}", fullmatch=True),
    st.integers(1, 10**6),
    st.integers(0, 9),
)


def test_a_code_is_the_beginning_of_the_digest_of_the_name() -> None:
    digest = sha256(b"cellar:17:0").hexdigest()
    first_twenty_bits = int(digest[:5], 16)
    signs = codes.code("cellar:17:0")[:4]
    value = 0
    for sign in signs:
        value = value * 32 + "0123456789ABCDEFGHJKMNPQRSTVWXYZ".index(sign)
    assert value == first_twenty_bits
    assert codes.code("cellar:17:0")[4] == "0123456789ABCDEFGHJKMNPQRSTVWXYZ*~$=U"[value % 37]


@pytest.mark.parametrize(
    ("signs", "value", "sign"),
    [("0000", 0, "0"), ("0010", 32, "*"), ("0011", 33, "~"), ("0012", 34, "$"), ("0013", 35, "="),
     ("0014", 36, "U"), ("0015", 37, "0"), ("0016", 38, "1"), ("0100", 1024, "S")],
)  # fmt: skip
def test_the_check_symbol_is_the_remainder_by_37(signs: str, value: int, sign: str) -> None:
    assert codes.CHECKS.index(sign) == value % 37
    assert codes.check(signs) == sign


@given(names, st.integers(4, 51))
def test_a_code_finds_its_lot(name: str, length: int) -> None:
    assert codes.find(codes.code(name, length), [name]) == [name]
    assert codes.find(name, [name]) == [name]
    assert codes.is_code(codes.code(name, length))


@given(st.lists(names, max_size=60, unique=True))
def test_no_two_codes_are_alike(lots: list[str]) -> None:
    made = codes.codes(lots)
    assert set(made) == set(lots)
    assert len(set(made.values())) == len(lots)
    for lot, code in made.items():
        assert codes.find(code, lots) == [lot]


def test_codes_grow_where_two_would_be_alike() -> None:
    lots = [f"shed:{n}:0" for n in range(1, 4001)]
    made = codes.codes(lots)
    longer = [lot for lot, code in made.items() if len(code) > 5]
    assert longer
    assert len(set(made.values())) == len(lots)
    for lot in longer:
        begin = made[lot][:4]
        assert sum(codes.code(other)[:4] == begin for other in lots) > 1
    short = codes.code(longer[0])
    assert len(codes.find(short, lots)) > 1
    assert longer[0] in codes.find(short, lots)


def test_written_by_hand_and_read_kindly() -> None:
    lot = next(
        f"hut:{n}:0" for n in range(1, 9999) if {"0", "1"} <= set(codes.code(f"hut:{n}:0")[:4])
    )
    code = codes.code(lot)
    by_hand = code.lower().replace("0", "o").replace("1", "l")
    assert codes.find(by_hand, [lot]) == [lot]
    assert codes.find(code.replace("1", "i"), [lot]) == [lot]
    assert codes.find(f" {code[:2]}-{code[2:]} ", [lot]) == [lot]


@given(names, st.integers(0, 3), st.sampled_from(codes.SIGNS))
def test_one_wrong_sign_is_always_noticed(name: str, place: int, sign: str) -> None:
    code = codes.code(name)
    if code[place] == sign:
        return
    wrong = code[:place] + sign + code[place + 1 :]
    with pytest.raises(
        NotUnderstood, match=r"^“.*” is not a lot code: its last sign should be .\.$"
    ):
        codes.find(wrong, [name])
    assert not codes.is_code(wrong)


@given(names, st.integers(0, 2))
def test_two_signs_the_wrong_way_round_are_noticed(name: str, place: int) -> None:
    code = codes.code(name)
    wrong = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
    if wrong != code:
        with pytest.raises(NotUnderstood, match="its last sign should be"):
            codes.find(wrong, [name])


@pytest.mark.parametrize(
    "typed", ["", " ", "beans!", "7K3", "green beans", "UUUUU", "ÄÄÄÄÄ", "7" * 60]
)
def test_what_is_no_code_is_said(typed: str) -> None:
    with pytest.raises(NotUnderstood, match=r"^“.*” is not a lot code: .*\.$"):
        codes.find(typed, ["hut:1:0"])
    assert not codes.is_code(typed)


def test_a_lot_nobody_knows_is_not_found() -> None:
    assert codes.find("hut:1:0", []) == []
    assert codes.find(codes.code("hut:1:0"), ["hut:2:0"]) == []


@pytest.mark.parametrize("length", [3, 52])
def test_a_code_has_four_signs_or_more(length: int) -> None:
    with pytest.raises(ValueError, match="A lot code has 4 to 51 signs"):
        codes.code("hut:1:0", length)
