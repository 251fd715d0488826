"""`python -m service.console`."""

import sys

from service.console.main import run

sys.exit(run())
