"""How much Hypothesis tries: as much as a minute allows in the ordinary run, more when asked.

`GIRNEL_EXAMPLES=2000` asks for more. Both draw the same examples on every machine; what fails
prints a blob that draws it again.
"""

import os

from hypothesis import HealthCheck, settings

EXAMPLES = int(os.environ.get("GIRNEL_EXAMPLES", "200"))

settings.register_profile(
    "household",
    max_examples=EXAMPLES,
    derandomize=True,
    database=None,
    deadline=None,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.load_profile("household")
