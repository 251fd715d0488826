"""The commands' common ground: their options, and the family that each belongs to.

A command carries its own words for `--help`. A deed takes when, who and a note; a look takes a
day. Nothing is read or written here.
"""

import argparse
import re
from collections.abc import Callable, Coroutine, Sequence
from typing import Any, NoReturn, TypeAlias

from service.errors import WrongUse

Run: TypeAlias = Callable[[argparse.Namespace], Coroutine[Any, Any, int]]


class Parser(argparse.ArgumentParser):
    """Wrong use is one sentence, not a page; options may stand before, between or after words."""

    def error(self, message: str) -> NoReturn:  # type: ignore[explicit-override]
        raise WrongUse(f"{_plain(message)} (how it is used: {self.prog} --help)")

    def add_argument(self, *names: str, **how: Any) -> argparse.Action:  # type: ignore[explicit-override]
        """Choices stand in the help, which wraps, and not behind the option, which does not."""
        if how.get("choices") and "metavar" not in how:
            how["metavar"] = names[-1].lstrip("-").rpartition("-")[2].upper()
            how["help"] = ": ".join(filter(None, (how.get("help"), ", ".join(how["choices"]))))
        return super().add_argument(*names, **how)

    def parse_known_args(self, args=None, namespace=None):  # type: ignore[no-untyped-def,explicit-override]
        if self._subparsers is not None or args is None:
            return super().parse_known_args(args, namespace)
        found, extra = super().parse_known_args(self._apart(args), namespace)
        if extra:
            self.error(f"unrecognized arguments: {' '.join(extra)}")
        return found, extra

    def _get_value(self, action, arg_string):  # type: ignore[no-untyped-def,explicit-override]
        """A word of a choice is read in any case."""
        value = super()._get_value(action, arg_string)
        bare = value.casefold() if isinstance(value, str) else value
        return bare if action.choices is not None and bare in action.choices else value

    def _apart(self, args: Sequence[str]) -> list[str]:
        """Options with their words first, then the rest, whatever signs that begins with."""
        options: list[str] = []
        words: list[str] = []
        left = list(args)
        while left:
            word = left.pop(0)
            if word == "--":
                words += left
                break
            if not word.startswith("--") and word not in self._option_string_actions:
                words.append(word)
                continue
            options.append(word)
            action = self._option_string_actions.get(word)
            if action is not None and action.nargs is None and left:
                options.append(left.pop(0))
        return [*options, "--", *words] if words else options


def _plain(message: str) -> str:
    """What argparse says, in our words."""
    for found, said in SAID.items():
        if match := re.fullmatch(found, message):
            return said.format(*match.groups()).replace("'", "")
    return message[:1].upper() + message[1:]


SAID = {
    r"the following arguments are required: (.*)": "Something is missing: {0}",
    r"unrecognized arguments: (.*)": "Not understood: {0}",
    r"argument COMMAND: invalid choice: '(.*)' \(choose from (.*)\)": '"{0}" is no command: write one of {1}',
    r"argument (.*): invalid choice: '(.*)' \(choose from (.*)\)": '{0} "{1}" is none of {2}',
    r"argument (.*): expected (?:one|at least one) argument": "{0} wants a word after it",
}


Commands: TypeAlias = "argparse._SubParsersAction[Parser]"


def command(commands: Commands, name: str, run: Run, says: str) -> Parser:
    """A command with what all of them take."""
    parser = commands.add_parser(name, help=says, description=says, allow_abbrev=False)
    parser.add_argument(
        "--home", metavar="DIR", default=argparse.SUPPRESS, help="where the household's log is kept"
    )
    parser.set_defaults(run=run, command=name)
    return parser


def look(commands: Commands, name: str, run: Run, says: str) -> Parser:
    """A look: reads, as JSON too, and as of a day."""
    parser = command(commands, name, run, says)
    parser.add_argument("--json", action="store_true", help="as JSON")
    parser.add_argument(
        "--on", metavar="DATE", help="that day as it is known now, without what came after it"
    )
    return parser


def deed(commands: Commands, name: str, run: Run, says: str) -> Parser:
    """A deed: writes, and says when, who and why."""
    parser = command(commands, name, run, says)
    parser.add_argument("--json", action="store_true", help="tell it back as JSON")
    parser.add_argument(
        "--on", metavar="DATE", help='the day it happened ("14 Aug 2026", yesterday)'
    )
    parser.add_argument("--at", metavar="MOMENT", help="the moment it happened (18:04)")
    parser.add_argument("--by", metavar="MEMBER", help="who did it")
    parser.add_argument("--note", metavar="TEXT", help="in your own words")
    return parser


def out(parser: Parser, preposition: str = "--in") -> None:
    """What a deed takes that lowers a lot in a store."""
    parser.add_argument("amount", metavar="AMOUNT", help='how much: 2, "1 1/2 lb", rest')
    parser.add_argument("what", metavar="LOT", help="a lot's code, or a food")
    parser.add_argument(preposition, dest="store", metavar="STORE", help="where it stood")
    parser.add_argument(
        "--mark", metavar="RECORD", help="take food under this hold or set-aside first"
    )
    parser.add_argument("--explains", metavar="RECORD", help="the count that this accounts for")
