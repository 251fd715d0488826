"""Forms are looked at wherever they stand in a struct, and said by their path."""

from typing import Annotated

import msgspec
import pytest

from events import forms

Letter = Annotated[str, msgspec.Meta(extra_json_schema={"pattern": "[a-z]"})]


class Leaf(msgspec.Struct, tag="leaf"):
    letter: Letter = "a"
    free: str = "anything at all"
    number: int = 1


class Twig(msgspec.Struct, tag="twig"):
    leaves: tuple[Leaf, ...] = ()
    first: Leaf | None = None
    letter: Letter | None = None
    facts: dict[Letter, str] | None = None


class Plain(msgspec.Struct, tag="plain"):
    free: str = ""


class Tree(msgspec.Struct):
    part: Leaf | Twig | Plain


@pytest.mark.parametrize(
    ("part", "path", "text"),
    [
        (Leaf(), None, ""),
        (Leaf(letter="ab"), ".part.letter", "'ab'"),
        (Leaf(letter="a\n"), ".part.letter", "'a\\n'"),
        (Plain(free="\n"), None, ""),
        (Twig(), None, ""),
        (Twig(leaves=(Leaf(), Leaf(letter="b"))), None, ""),
        (Twig(leaves=(Leaf(), Leaf(letter="B"))), ".part.leaves[1].letter", "'B'"),
        (Twig(first=Leaf(letter="")), ".part.first.letter", "''"),
        (Twig(letter="7"), ".part.letter", "'7'"),
        (Twig(letter="z", facts={"a": "7"}), None, ""),
        (Twig(facts={"a": "7", "cd": "7"}), ".part.facts['cd']", "'cd'"),
    ],
)
def test_the_first_text_without_its_form(
    part: Leaf | Twig | Plain, path: str | None, text: str
) -> None:
    tree = Tree(part=part)
    assert forms.checker(Tree)(tree) == path
    if path is not None:
        assert forms.said(tree, path) == text


def test_a_type_without_forms_has_nothing_to_look_at() -> None:
    assert forms.checker(Plain)(Plain(free="\0")) is None
