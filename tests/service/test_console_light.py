"""A look loads only what it needs: on the small machine it should answer at once."""

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
HEAVY = {"apscheduler", "httpx", "jinja2", "lark", "litestar", "uvicorn"}

LOOK = """
import json, sys
from service.console.main import run
code = run(["on-hand", "--json"])
print(json.dumps([code, sorted(name for name in sys.modules if "." not in name)]))
"""


def test_a_look_loads_no_server_no_mail_and_no_grammar(tmp_path: Path) -> None:
    env = {**os.environ, "GIRNEL_HOME": str(tmp_path / "home"), "PYTHONPATH": str(ROOT)}
    made = ["-m", "service.console", "init", "Hollow Lane", "--timezone", "Europe/London"]
    subprocess.run([sys.executable, *made], env=env, capture_output=True, check=True)
    done = subprocess.run([sys.executable, "-c", LOOK], env=env, capture_output=True, check=True)
    code, loaded = json.loads(done.stdout.splitlines()[-1])
    assert code == 0
    assert "events" in loaded
    assert not HEAVY & set(loaded)
