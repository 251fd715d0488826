"""The tables about food in the ground and seed: what it stands, soils, mulch, sites with normals.

Facts as published, a source in every row (SOURCES.md). Nothing here computes; read once.
"""

import csv
from functools import cache
from importlib.resources import files

from msgspec import Struct


class Threshold(Struct, frozen=True, kw_only=True):
    """What a crop stands: `celsius` None where the source prints words alone."""

    crop: str
    kind: str
    """mulch, freeze-damage, sprouting or planting"""
    celsius: float | None
    measured_in: str
    """soil, air or store: where the source's thermometer was"""
    mulch_cm: float | None
    source_id: str
    note: str


class Site(Struct, frozen=True, kw_only=True):
    """Twelve monthly normals of the soil at a depth (cm), degrees Celsius, January first."""

    site: str
    depth: float
    months: tuple[float, ...]
    source_id: str
    note: str


class Soil(Struct, frozen=True, kw_only=True):
    """How fast warmth goes through a soil: diffusivity in square millimetres a second."""

    soil: str
    state: str
    diffusivity: float
    source_id: str


class Mulch(Struct, frozen=True, kw_only=True):
    """How many degrees (Celsius) a mulch warms the coldest day and cools the warmest."""

    season: str
    low: float
    high: float
    source_id: str


class Seed(Struct, frozen=True, kw_only=True):
    """Constants of the viability equation; those of moisture None where a crop has none."""

    seed: str
    ke: float | None
    cw: float | None
    ch: float
    cq: float
    source_id: str


class Beds(Struct, frozen=True, kw_only=True):
    """All of them."""

    thresholds: tuple[Threshold, ...]
    sites: dict[str, Site]
    soils: tuple[Soil, ...]
    mulch: dict[str, Mulch]
    seeds: dict[str, Seed]

    def damp(self, soil: str) -> tuple[float, float]:
        """Least and most diffusivity of a soil by its name; of all mineral soils where "" is said."""
        found = [
            row.diffusivity for row in self.soils if row.soil in ((soil,) if soil else MINERAL)
        ]
        return min(found), max(found)


MINERAL = ("sand", "clay")


def _rows(name: str) -> list[dict[str, str]]:
    text = files("events.tables").joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _figure(text: str) -> float | None:
    return float(text) if text else None


MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


@cache
def beds() -> Beds:
    """Read them."""
    return Beds(
        thresholds=tuple(
            Threshold(crop=row["crop"], kind=row["threshold_kind"], celsius=_figure(row["temp_c"]),
                      measured_in=row["measured_in"], mulch_cm=_figure(row["mulch_depth_cm"]),
                      source_id=row["source_id"], note=row["note"])
            for row in _rows("ground.csv")
        ),
        sites={
            row["site"]: Site(site=row["site"], depth=float(row["depth_cm"]),
                              months=tuple(float(row[month]) for month in MONTHS),
                              source_id=row["source_id"], note=row["note"])
            for row in _rows("soil_sites.csv")
        },
        soils=tuple(
            Soil(soil=row["soil"], state=row["state"], diffusivity=float(row["diffusivity_mm2_s"]),
                 source_id=row["source_id"])
            for row in _rows("soil_kinds.csv")
        ),
        mulch={
            row["season"]: Mulch(season=row["season"], low=float(row["shift_low_f"]) / 1.8,
                                 high=float(row["shift_high_f"]) / 1.8, source_id=row["source_id"])
            for row in _rows("soil_mulch.csv")
        },
        seeds={
            row["seed"]: Seed(seed=row["seed"], ke=_figure(row["ke"]), cw=_figure(row["cw"]),
                              ch=float(row["ch"]), cq=float(row["cq"]), source_id=row["source_id"])
            for row in _rows("seeds.csv")
        },
    )  # fmt: skip
