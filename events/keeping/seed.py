"""How long dry seed stays alive: the viability equation of Ellis and Roberts (1980).

v = Ki - p/sigma in probits, log10 sigma = KE - CW log10 m - CH t - CQ t^2, with m the moisture (per
cent of the fresh weight), t the temperature (C) and p the days. For seed that can be dried: not for
tubers, bulbs or sets. Between two stores at one moisture KE and CW fall out of the quotient.
"""

from math import log10

from msgspec import Struct


class Terms(Struct, frozen=True):
    """The constants of a seed; without those of moisture, only stores can be told apart."""

    ke: float
    cw: float
    ch: float
    cq: float


def spread_days(terms: Terms, moisture: float, celsius: float) -> float:
    """Sigma: the days in which one probit of the seeds dies."""
    return 10 ** (
        terms.ke - terms.cw * log10(moisture) - terms.ch * celsius - terms.cq * celsius**2
    )


def times_as_long(terms: Terms, there: float, here: float) -> float:
    """How many times as long seed lives at `there` (C) as at `here`, equally dry."""
    return spread_days(terms, 10, there) / spread_days(terms, 10, here)
