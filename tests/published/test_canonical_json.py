"""The canonical form against RFC 8785, with the package rfc8785 as referee.

Source: RFC 8785 (JSON Canonicalization Scheme), sections 3.2.2 to 3.2.4 and appendix B; the
objects are those of the scheme's own test files (cyberphone/json-canonicalization, testdata).
"""

import json
import random
import struct

import pytest
import rfc8785

from events.canonical import Refused, canonical

# RFC 8785, appendix B: IEEE 754 bits and what ECMAScript prints
NUMBERS = [
    ("0000000000000000", "0"),
    ("8000000000000000", "0"),
    ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"),
    ("4340000000000001", "9007199254740994"),
    ("4340000000000002", "9007199254740996"),
    ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"),
    ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"),
    ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
    ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"),
    ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"),
    ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
]

# section 3.2.2 and 3.2.3, and the scheme's test files
OBJECTS = [
    (
        (
            r'{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],'
            r'"string":"\u20ac$\u000F\u000aA\u0027\u0042\u0022\u005c\\\"\/",'
            r'"literals":[null,true,false]}'
        ),
        (
            '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
            '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
        ),
    ),
    (
        (
            r'{"1":{"f":{"f":"hi","F":5},"\n":56.0},"10":{},"":"empty","a":{},'
            r'"111":[{"e":"yes","E":"no"}],"A":{}}'
        ),
        (
            r'{"":"empty","1":{"\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{"E":"no","e":"yes"}],'
            r'"A":{},"a":{}}'
        ),
    ),
    ('[56,{"d":true,"10":null,"1":[]}]', '[56,{"1":[],"10":null,"d":true}]'),
    (
        (
            r'{"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh",'
            r'"1":"One","\ud83d\ude00":"Emoji: Grinning Face","\u0080":"Control",'
            r'"\u00f6":"Latin Small Letter O With Diaeresis"}'
        ),
        (
            '{"\\r":"Carriage Return","1":"One","\u0080":"Control",'
            '"ö":"Latin Small Letter O With Diaeresis","€":"Euro Sign","😀":"Emoji: Grinning Face",'
            '"\ufb33":"Hebrew Letter Dalet With Dagesh"}'
        ),
    ),
]


@pytest.mark.parametrize(("bits", "printed"), NUMBERS)
def test_numbers_of_appendix_b(bits: str, printed: str) -> None:
    (value,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical(value).decode() == printed


@pytest.mark.parametrize("bits", ["7fffffffffffffff", "7ff0000000000000", "fff0000000000000"])
def test_what_is_not_finite_is_an_error(bits: str) -> None:
    (value,) = struct.unpack(">d", bytes.fromhex(bits))
    with pytest.raises(Refused):
        canonical(value)


@pytest.mark.parametrize(("sent", "form"), OBJECTS)
def test_objects_of_the_standard(sent: str, form: str) -> None:
    assert canonical(json.loads(sent)).decode() == form


def test_text_is_not_normalised() -> None:
    """Section 3.1: an A with a ring stays two characters where it was sent as two."""
    assert canonical({"a": "A\u030a"}) == '{"a":"A\u030a"}'.encode()


def test_numbers_agree_with_the_referee() -> None:
    rng = random.Random(8785)
    for _ in range(20_000):
        (value,) = struct.unpack(">d", rng.randbytes(8))
        if value - value == 0:
            assert canonical(value) == rfc8785.dumps(value)
        near = rng.choice([1, -1]) * rng.random() * 10.0 ** rng.randint(-9, 23)
        assert canonical(near) == rfc8785.dumps(near)


def test_every_character_agrees_with_the_referee() -> None:
    for start in range(0, 0x110000, 0x800):
        text = "".join(chr(c) for c in range(start, start + 0x800) if not 0xD800 <= c < 0xE000)
        assert canonical(text) == rfc8785.dumps(text)
