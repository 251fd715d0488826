"""The console: one command, one deed or look, one exit code.

0 done; 1 a deed that needs a person's choice, or a doctor that is not content; 2 wrong use.
Whatever goes wrong is one sentence on the error stream and no traceback; wrong use writes nothing.
Only the family of the command that was typed is imported: a look answers at once, also on a small
machine.
"""

import argparse
import asyncio
import io
import os
import sys
from collections.abc import Iterable, Sequence
from importlib import import_module

from service.console.commands import Parser, Run
from service.console.words import wrap
from service.errors import GirnelError

FAMILIES = {
    "setup": ("init", "store", "food", "member"),
    "coming": ("bring-in",),
    "expecting": ("expect",),
    "putting_up": ("put-up", "repack"),
    "deeds": ("carry", "dig", "open", "take", "toss", "give", "plant"),
    "counting": ("count", "look"),
    "log": ("log",),
    "vessels": ("jars",),
    "reading": ("reading",),
    "climate": ("climate", "machine", "run"),
    "incidents": ("incident",),
    "marks": ("set-aside", "free", "hold", "release"),
    "mending": ("undo", "amend", "settle"),
    "looks": ("on-hand", "have", "trail", "concerns"),
    "mailing": ("digest",),
    "planning": ("rotation",),
    "placing": ("what-if",),
    "stocking": ("reorder", "carrying"),
    "ground": ("ground",),
    "filling": ("fill",),
    "devices": ("devices",),
    "pairing": ("pair",),
    "sharing": ("join", "sync"),
    "keep": ("export",),
    "doctor": ("doctor",),
    "serve": ("serve",),
    "demo": ("demo",),
}
"""Each family's module, and the commands that it adds."""

REPORT = "Please report it with what you typed. The log is whole: look whether the deed is in it."


class _Version(argparse.Action):
    """Prints which version this is; the package's papers are read only when it is asked."""

    def __call__(self, parser, *_):  # type: ignore[no-untyped-def,explicit-override]
        from importlib.metadata import version

        print(f"girnel {version('girnel')}")
        parser.exit()


def parser(families: Iterable[str] = FAMILIES) -> Parser:
    """The commands of those families; of all, unless one is known to be meant."""
    top = Parser(
        prog="girnel",
        description="A household's food: what there is, where, what goes off next, where a lot went.",
        epilog="girnel COMMAND --help says more of each.",
        allow_abbrev=False,
    )
    top.add_argument(
        "--home", metavar="DIR", help="where the household's log is kept (GIRNEL_HOME)"
    )
    top.add_argument("--version", action=_Version, nargs=0, help="which version this is")
    commands = top.add_subparsers(metavar="COMMAND", required=True, parser_class=Parser)
    for family in families:
        import_module(f"service.console.{family}").add(commands)
    return top


def meant(argv: Sequence[str]) -> Iterable[str]:
    """The family of the command that was typed; all of them where none is plain."""
    rest = argv[2:] if argv[:1] == ["--home"] else argv
    found = [family for family, names in FAMILIES.items() if rest and rest[0] in names]
    return found or FAMILIES


def run(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit code."""
    typed = list(sys.argv[1:] if argv is None else argv)
    try:
        return _done(typed)
    except GirnelError as error:
        return _failed(error.sentence, error.code)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return _failed("Stopped. What was told back is written down, the rest is not.", 130)
    except (OSError, UnicodeError) as error:
        return _failed(f"The machine says no: {error}.", 2)
    except Exception as error:  # noqa: BLE001 - nobody who keeps food wants a traceback
        return _failed(
            f"That is a fault of this program ({type(error).__name__}: {error}). {REPORT}", 2
        )


def _done(typed: Sequence[str]) -> int:
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a sign that a terminal lacks is no fault
    args = parser(meant(typed)).parse_args(typed)
    run_it: Run = args.run
    with asyncio.Runner(loop_factory=getattr(args, "loop", None)) as runner:
        code = runner.run(run_it(args))
    sys.stdout.flush()
    return code


def _failed(sentence: str, code: int) -> int:
    sys.stdout.flush()
    print(wrap(f"girnel: {sentence}"), file=sys.stderr)
    return code
