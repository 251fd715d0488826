"""Soil temperature against what is published of it, typed in, and scipy as referee of the fits.

The wave: van Wijk and de Vries (1963), Hillel (1982); the worked table is that formula for a mean of 10,
a swing of 10, a diffusivity of 5e-7 m2/s and the coldest day 35. Mitchell: monthly means at 20 cm,
1976-92, Mitchell, Nebraska (Hubbard; in the data sets of Weisberg, Applied Linear Regression).
Zurich: Lambert (1779), seven depths, 1762-65, in the agridat data set. Diffusivities: de Vries, in
Moene and van Dam, table 2.2. Mulch: Kohnke and Werkhoven (1963), Lafayette, Indiana.
"""

from math import cos, log, pi

import numpy as np
import pytest
from scipy.optimize import curve_fit
from scipy.stats import linregress

from events.keeping.soil import Curve, at_depth, damping_depth, fit, misfit, passing, shifted
from events.tables import load
from events.tables.beds import beds

MITCHELL = (-3.94, -2.86, 1.98, 9.23, 16.35, 22.05, 25.13, 23.72, 19.26, 10.84, 3.67, -1.67)

ZURICH = {
    0.25: (-84, -90, -29, 3, 22, 52, 54, 44, 24, -12, -48, -72),
    0.5: (-80, -82, -52, -20, 13, 38, 42, 40, 22, -16, -46, -71),
    1.0: (-74, -78, -49, -20, 11, 33, 40, 38, 24, -13, -42, -66),
    2.0: (-68, -70, -53, -28, 2, 24, 32, 34, 25, -7, -30, -56),
    3.0: (-60, -65, -53, -29, -2, 18, 32, 36, 29, 1, -21, -46),
    4.0: (-50, -54, -48, -32, -6, 11, 26, 32, 28, 6, -13, -35),
    6.0: (-35, -45, -46, -32, -16, 1, 18, 26, 28, 14, 0, -20),
}
"""Depth in Paris feet to twelve months in degrees of du Crest."""


@pytest.mark.parametrize(
    ("diffusivity", "days", "metres"),
    [
        (1.0, 365.2422, 3.17),  # printed in the vignette of a soil package
        (0.2, 365, 1.417),  # a course problem, its answer reckoned
        (0.5, 365, 2.240),
        (0.5, 1, 0.117),
        (0.034 / 0.0864, 1, 0.104),  # a field soil of 0.034 m2 a day
        (0.034 / 0.0864, 365, 1.988),
        (0.027 / 0.0864, 1, 0.0927),  # a field soil of 0.027 m2 a day
        (0.027 / 0.0864, 365, 1.771),
        (0.0151685 / 0.0864, 365, 1.328),  # clay, Arya
    ],
)
def test_damping_depths(diffusivity: float, days: float, metres: float) -> None:
    assert damping_depth(diffusivity, days) / 100 == pytest.approx(
        metres, abs=0.0006 * metres + 5e-4
    )


def test_five_hundredths_are_left_at_three_damping_depths() -> None:
    # the course problem: 5 % of the yearly swing is left at 4.245 m in a soil of 2e-7 m2/s
    surface = Curve(10, 1, 0.5, 0)
    assert at_depth(surface, 424.5, damping_depth(0.2, 365)).swing == pytest.approx(0.05, abs=5e-5)


@pytest.mark.parametrize(
    ("metres", "degrees"),
    [
        (0.3, (1.332, 8.795, 18.658, 11.130)),
        (0.5, (2.199, 8.196, 17.786, 11.737)),
        (1.0, (4.227, 7.213, 15.749, 12.738)),
        (2.0, (7.431, 6.800, 12.541, 13.178)),
    ],
)
def test_the_worked_table_of_the_wave(metres: float, degrees: tuple[float, ...]) -> None:
    surface = Curve(10, 10, (35 / 365 + 0.5) % 1, 0)
    there = at_depth(surface, metres * 100, damping_depth(0.5, 365))
    assert [there.at(day / 365) for day in (35, 126, 217, 309)] == pytest.approx(degrees, abs=5e-4)


def test_a_damping_depth_down_is_an_e_th_of_the_swing_and_58_days_later() -> None:
    one = at_depth(Curve(0, 1, 0.3, 0), 200, 200)
    assert one.swing == pytest.approx(0.3679, abs=5e-5)
    assert (one.warmest - 0.3) * 365 == pytest.approx(58.09, abs=0.005)


def wave(share: "np.ndarray", mean: float, swing: float, warmest: float) -> "np.ndarray":
    return mean + swing * np.cos(2 * pi * (share - warmest))


def test_the_example_site_is_fitted_as_scipy_fits_it() -> None:
    site = beds().sites["mitchell-nebraska"]
    assert (site.months, site.depth, site.source_id) == (MITCHELL, 20, "weisberg_mitchell")
    ours = fit(MITCHELL, 20)
    mids = (np.arange(12) + 0.5) / 12
    theirs, _ = curve_fit(wave, mids, np.array(MITCHELL), p0=[10, 14, 0.5])
    assert (ours.mean, ours.swing, ours.warmest) == pytest.approx(tuple(theirs), abs=1e-6)
    # mean 10.3133, swing 14.649, warmest on day 202.4, off by 0.332 in the root of the mean square
    assert (ours.mean, ours.swing) == pytest.approx((10.3133, 14.649), abs=5e-4)
    assert ours.warmest * 365 == pytest.approx(202.4, abs=0.05)
    assert misfit(ours, MITCHELL) == pytest.approx(0.332, abs=5e-4)


def test_zurich_1762_to_1765_dies_away_with_depth_and_comes_later() -> None:
    fitted = {depth: fit(months, depth) for depth, months in ZURICH.items()}
    swings = [one.swing for one in fitted.values()]
    latest = [one.warmest * 365 for one in fitted.values()]
    assert swings == pytest.approx([70.61, 64.88, 60.78, 53.78, 50.57, 43.33, 36.64], abs=0.005)
    assert latest == pytest.approx([194.3, 201.2, 202.9, 210.9, 217.8, 225.0, 241.0], abs=0.06)
    depths = np.array(list(ZURICH))
    by_swing = -1 / linregress(depths, np.log(np.array(swings))).slope
    by_delay = 1 / linregress(depths, 2 * pi * np.array(latest) / 365).slope
    # 9.12 and 7.61 Paris feet: the two differ by a fifth, the price of one dimension on real ground
    assert (by_swing, by_delay) == pytest.approx((9.12, 7.61), abs=0.03)


def test_one_depth_of_zurich_tells_of_another_within_a_few_of_its_degrees() -> None:
    down = at_depth(fit(ZURICH[1.0], 1.0), 4.0, 9.12)
    assert down.swing == pytest.approx(fit(ZURICH[4.0], 4.0).swing, rel=0.02)


@pytest.mark.parametrize(
    ("soil", "least", "most"),
    [("sand", 0.85, 1.2), ("clay", 0.40, 0.45), ("peat", 0.12, 0.13), ("", 0.40, 1.2)],
)
def test_moist_soils_by_de_vries(soil: str, least: float, most: float) -> None:
    assert beds().damp(soil) == (least, most)


def test_a_mulch_as_lafayette_measured_it() -> None:
    # mulched soil 1 to 2 F warmer in winter, bare soil 3 to 4 F warmer in summer
    winter, summer = beds().mulch["winter"], beds().mulch["summer"]
    assert [shift * 1.8 for shift in (winter.low, winter.high)] == pytest.approx([1, 2])
    assert [shift * 1.8 for shift in (summer.low, summer.high)] == pytest.approx([-4, -3])
    bare = Curve(10, 15, 0.55, 10)
    under = shifted(bare, winter.low, summer.high)
    assert under.at(0.05) - bare.at(0.05) == pytest.approx(1 / 1.8)
    assert under.at(0.55) - bare.at(0.55) == pytest.approx(-3 / 1.8)
    assert passing(bare, 0.5).at(0.05) == pytest.approx(2.5)
    assert shifted(Curve(10, 0.5, 0, 10), 1.0, -1.0).swing == 0.0


@pytest.mark.parametrize(
    ("crop", "kind", "fahrenheit", "measured_in", "source_id"),
    [
        ("root-crop", "sprouting", 45, "store", "aib410_root"),  # USDA: new tops, woody, above 45 F
        ("root-crop", "sprouting", 40, "store", "aib410_root"),  # USDA: best at 32 to 40 F
        ("carrot", "freeze-damage", 32, "soil", "ext_ask_mn"),  # lost if the ground freezes
        ("potato", "freeze-damage", 27, "soil", "umaine_volunteer"),  # five days at 4 inches
        ("potato", "sprouting", 50, "air", "isu_winter"),
        ("potato", "sprouting", 39.2, "store", "iasri_seed"),  # printed as 4 C
        ("garlic", "sprouting", 40, "store", "ah66_garlic"),
        ("onion", "sprouting", 50, "store", "cornell_onion"),
        ("sweet-potato", "sprouting", 59, "store", "ucd_sweetpotato"),  # printed as 15 C
    ],
)
def test_what_crops_stand_in_the_ground(
    crop: str, kind: str, fahrenheit: float, measured_in: str, source_id: str
) -> None:
    found = [(row.celsius or 0) * 1.8 + 32 for row in beds().thresholds
             if (row.crop, row.kind, row.measured_in, row.source_id)
             == (crop, kind, measured_in, source_id)]  # fmt: skip
    assert any(one == pytest.approx(fahrenheit, abs=0.1) for one in found), found


def test_parsnips_stand_frost_in_words_and_mulches_are_half_a_foot_to_a_foot() -> None:
    # USDA: parsnip, salsify and horseradish withstand freezing; WSU: a foot or more; Toronto: 15 cm
    said = [row.crop for row in beds().thresholds
            if row.kind == "freeze-damage" and row.celsius is None]  # fmt: skip
    assert said == ["parsnip", "salsify", "horseradish"]
    mulches = {(row.crop, row.source_id): row.mulch_cm for row in beds().thresholds if row.mulch_cm}
    assert mulches["carrot", "wsu_eb1326"] == pytest.approx(30.5)
    assert mulches["carrot", "tmg_ground"] == 15


def test_every_row_of_the_ground_names_a_publication_that_was_read() -> None:
    sources, known = load().sources, beds()
    named = [*(row.source_id for row in known.thresholds), *(row.source_id for row in known.soils),
             *(site.source_id for site in known.sites.values()),
             *(row.source_id for row in known.mulch.values())]  # fmt: skip
    assert [one for one in named if not sources[one].published] == []


def test_the_wave_is_its_formula() -> None:
    curve = at_depth(Curve(8, 9, 0.56, 10), 35, 210)
    down = 25 / 210
    assert curve.swing == pytest.approx(9 * 2.718281828459045**-down)
    assert log(9 / curve.swing) == pytest.approx(down)
    assert curve.at(0.2) == pytest.approx(8 + curve.swing * cos(2 * pi * (0.2 - 0.56) - down))
