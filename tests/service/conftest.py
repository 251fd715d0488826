"""The household at whose console the tests type: Hollow Lane, with what a test file brings in.

A file says what there is in its own `BRINGING`: the words after `girnel bring-in`, lot by lot.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.console import Console, household


@pytest.fixture
def lane(
    request: pytest.FixtureRequest,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Iterator[Console]:
    bringing = getattr(request.module, "BRINGING", ())
    with household(tmp_path, monkeypatch, capsys, *bringing) as console:
        yield console
