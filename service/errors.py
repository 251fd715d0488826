"""What can go wrong, as one tree; each says in one sentence what was read and what to do.

    GirnelError                 2
    ├── WrongUse                2   what was typed or sent is not understood
    │   ├── BadCode                 a pairing code that is not good, or not any more
    │   └── Unheard                 no lot and no food here is called so
    ├── NeedsChoice             1   it may mean several things, a person has to say which
    │   └── SeveralLots             a food of which there are several lots
    ├── Unsent                  1   the household's service; all waits here, and nothing is lost
    │   ├── Unreachable             it does not answer, or not in a way that can be read
    │   ├── TurnedAway              this device may not, or no longer
    │   └── LogChanged              it has another log than the one that this replica follows
    ├── HomeError               2   the data directory
    │   ├── NoHome                  there is no household there
    │   ├── HomeTaken               there is one already
    │   ├── HomeInUse               another process is writing there
    │   └── HomeUnwritable          it may not be written to, or is open for looking only
    └── StoreError              2   the file that holds the log
        ├── ForeignFile             it is something else's
        ├── NewerSchema             a newer program made it
        ├── TornFile                parts of it are damaged or missing
        └── DiskFull                there is no room left

The number is the exit code. This holds no formats for wires or screens; whoever shows an error
shows its sentence. Rule: where one of these is raised, nothing was written;
an `Unsent` may come after a part was sent, which then stands.
"""

from events.quantity import NotUnderstood, TwoWays


class GirnelError(Exception):
    """The top of the tree. `sentence` is for people, `code` is the exit code."""

    code = 2

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class WrongUse(GirnelError):
    """What was typed or sent is not understood."""


class BadCode(WrongUse):
    """A pairing code that is not known, was used, is too old or was tried too often."""


class Unheard(WrongUse):
    """Neither a lot nor a food here is called so."""


class NeedsChoice(GirnelError):
    """What was typed may mean several things; a person has to say which."""

    code = 1


class SeveralLots(NeedsChoice):
    """A food of which there are several lots, where one is to be meant."""


def of_typed(error: NotUnderstood) -> WrongUse | NeedsChoice:
    """What was typed and could not be read: wrong use, or a choice where it may mean two things."""
    return (NeedsChoice if isinstance(error, TwoWays) else WrongUse)(str(error))


class Unsent(GirnelError):
    """The household's service could not be told or asked; what waits here goes on waiting."""

    code = 1


class Unreachable(Unsent):
    """It does not answer, or not in a way that can be read."""


class TurnedAway(Unsent):
    """This device may not, or no longer."""


class LogChanged(Unsent):
    """It has another log than the one that this replica follows."""


class HomeError(GirnelError):
    """Something about the data directory."""


class NoHome(HomeError):
    """There is no household there."""


class HomeTaken(HomeError):
    """There is a household there already."""


class HomeInUse(HomeError):
    """Another process is writing there."""


class HomeUnwritable(HomeError):
    """It may not be written to, or it is open for looking only."""


class StoreError(GirnelError):
    """Something about the file that holds the log."""


class ForeignFile(StoreError):
    """It is something else's."""


class NewerSchema(StoreError):
    """A newer program made it."""


class TornFile(StoreError):
    """Parts of it are damaged or missing."""


class DiskFull(StoreError):
    """There is no room left."""
