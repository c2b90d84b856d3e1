"""The bench beside published curves of machines that other people have built and measured.

Those are other machines than ours: shapes are compared, as ratios to the rated point, and each band says how near is
near enough. Where the bench leaves a band, the row stands in `KNOWN_DISAGREEMENTS` with what was measured and why; it
fails as soon as it changes, for the worse or for the better. Rows CMP-, HPU-, CHG- are in tests/reference.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable
from dataclasses import dataclass

import pytest
from outside_hardware import (
    COOLING,
    COOLING_CAPILLARY,
    HEATING,
    INDOOR,
    INDOOR_AIR_M3_PER_S,
    MAPS,
    against_map,
    compressor_of,
    cubic,
    heat_pump,
    low_pressure_cop,
    power_w,
    row,
    runs,
    shape,
)

from hvacr_lab.bench import load_bench
from hvacr_lab.bench.operating_point import OperatingPoint
from hvacr_lab.bench.settings import default_settings
from hvacr_lab.bench.steady import changed_settings, solve
from hvacr_lab.units import ICE_POINT_K


@dataclass(frozen=True)
class Band:
    """One figure of the bench, and the band in which it has to be."""

    id: str
    measure: Callable[[], float]
    low: float
    high: float
    source: str

    def __str__(self) -> str:
        return self.id


def near(key: str, measure: Callable[[], float], published: float, within: float, source: str) -> Band:
    """A band of so much (absolute) about a published figure."""
    return Band(key, measure, published - within, published + within, source)


def share(key: str, measure: Callable[[], float], published: float, within: float, source: str) -> Band:
    """A band of such a share about a published figure."""
    return near(key, measure, published, within * abs(published), source)


# ---- Heat pump: ratios to the rated point ---------------------------------------------------------------------------


def capacity(point: OperatingPoint) -> float:
    return point.heating_w if point.configuration == HEATING else point.cooling_w


def cop(point: OperatingPoint) -> float:
    return capacity(point) / power_w(point)


def ratio(of: Callable[[OperatingPoint], float], configuration: str, **changes: float) -> Callable[[], float]:
    return lambda: of(runs(configuration, **changes)) / of(runs(configuration))


def residential(modifier: str, indoor_c: float, outdoor_c: float) -> float:
    """A published biquadratic of residential machines."""
    one, x, xx, y, yy, xy = row(modifier).inputs["coefficients"]
    return one + x * indoor_c + xx * indoor_c**2 + y * outdoor_c + yy * outdoor_c**2 + xy * indoor_c * outdoor_c


def of_rated(modifier: str, indoor_c: float, rated_c: float, outdoor_c: float) -> float:
    return residential(modifier, indoor_c, outdoor_c) / residential(modifier, indoor_c, rated_c)


def generic_cop(outdoor_c: float) -> float:
    """A generic air to water machine with water of 35 degC; source and ambient are the same air."""
    p1, p2, p3, p4 = row("HPU-015").inputs["coefficients"]
    return p1 * outdoor_c + p2 * 35.0 + p3 + p4 * outdoor_c


def over_lift(outdoor_c: float) -> float:
    """COP of the bench with both fans, over the regression on the lift from outdoor air to the air that is supplied."""
    point = runs(HEATING, outdoor_c=outdoor_c)
    lift_k = point.air[INDOOR].outlet_k - ICE_POINT_K - outdoor_c
    one, linear, square = row("HPU-017").inputs["coefficients"]
    return point.cop_heating / (one + linear * lift_k + square * lift_k**2)


_NREL = "single-speed residential machines, NREL/TP-5500-56354 (Cutler et al. 2013), "
_ROOFTOP = "R-410A rooftop unit, RooftopPackagedHeatPump.idf of EnergyPlus"
_ROOFTOP_CAPACITY = {-18.0: 0.461, -13.0: 0.564, -8.33: 0.659, -3.0: 0.768, 2.0: 0.871, 12.0: 1.075}
# heating capacity over that at 8.33 degC, indoors 21.1 degC; the curve of the file evaluated

HEATING_BANDS = (
    Band("heating capacity at -8.3", ratio(capacity, HEATING, outdoor_c=-8.33), 0.58, 0.70,
         f"0.60 ({_NREL}HPU-011) and 0.659 ({_ROOFTOP}), own band about them"),
    Band("heating COP at -8.3", ratio(cop, HEATING, outdoor_c=-8.33), 0.62, 0.78,
         f"0.65 ({_NREL}HPU-010) and 0.68 ({_ROOFTOP}), own band about them"),
    *(share(f"heating capacity at {outdoor_c:g}", ratio(capacity, HEATING, outdoor_c=outdoor_c), published, 0.05,
            _ROOFTOP)
      for outdoor_c, published in _ROOFTOP_CAPACITY.items()),
    near("heating COP over 16 K, test-bench regression", ratio(cop, HEATING, outdoor_c=-8.33),
         generic_cop(-8.33) / generic_cop(8.33), 0.08,
         "hplib generic on-off outdoor air/water machine at 35 degC flow (HPU-015), own band"),
    *(share(f"heating COP at {outdoor_c:g} by lift", functools.partial(over_lift, outdoor_c), 1.0, 0.20,
            "regression of air source heat pumps, Staffell et al. 2012 (HPU-017); own band, as most of them heat water")
      for outdoor_c in (-8.33, 8.33)),
    *(share(f"heating capacity at {outdoor_c:g}, residential", ratio(capacity, HEATING, outdoor_c=outdoor_c),
            of_rated("HPU-009", 21.11, 8.33, outdoor_c), 0.10,
            f"{_NREL}HPU-009; own band: the rooftop unit is as far off")
      for outdoor_c in (-18.0, -8.33, -3.0, 2.0, 12.0)),
    *(share(f"heating energy input ratio at {outdoor_c:g}, residential",
            ratio(lambda point: 1.0 / cop(point), HEATING, outdoor_c=outdoor_c),
            of_rated("HPU-010", 21.11, 8.33, outdoor_c), 0.10, f"{_NREL}HPU-010; own band")
      for outdoor_c in (-18.0, -8.33, -3.0, 2.0, 12.0)),
)  # fmt: skip

_COOLING = {24.0: (1.099, 0.720), 40.0: (0.951, 1.182), 46.1: (0.888, 1.452)}
# outdoor degC -> capacity and energy input ratio over those at 35 degC, 19.4 degC wet bulb indoors

COOLING_BANDS = (
    *(share(f"cooling capacity at {outdoor_c:g}", ratio(capacity, COOLING, outdoor_c=outdoor_c), published[0], 0.02,
            f"{_NREL}ResidentialACsAndHPsPerfCurves.idf") for outdoor_c, published in _COOLING.items()),
    *(share(f"energy input ratio at {outdoor_c:g}", ratio(lambda point: 1.0 / cop(point), COOLING, outdoor_c=outdoor_c),
            published[1], 0.06, f"{_NREL}ResidentialACsAndHPsPerfCurves.idf; own band")
      for outdoor_c, published in _COOLING.items()),
    *(share(f"cooling capacity at {outdoor_c:g}, heat pump curve", ratio(capacity, COOLING, outdoor_c=outdoor_c),
            of_rated("HPU-007", 19.44, 35.0, outdoor_c), 0.03, f"{_NREL}HPU-007") for outdoor_c in (24.0, 40.0, 46.1)),
    *(share(f"energy input ratio at {outdoor_c:g}, heat pump curve",
            ratio(lambda point: 1.0 / cop(point), COOLING, outdoor_c=outdoor_c),
            of_rated("HPU-008", 19.44, 35.0, outdoor_c), 0.06, f"{_NREL}HPU-008") for outdoor_c in (24.0, 40.0, 46.1)),
    Band("air flow for a kilowatt", lambda: INDOOR_AIR_M3_PER_S / runs(COOLING).cooling_w * 1e3, 0.047, 0.0605,
         "recommended: Parker et al. 1997, HPU-027 and HPU-028"),
    near("sensible heat ratio", lambda: runs(COOLING).sensible_w / runs(COOLING).cooling_w, 0.72, 0.03,
         f"0.73 at 0.053 m3/s for each kilowatt ({_ROOFTOP}); 0.72 for 0.05"),
    near("capacity at 70 % indoor air", ratio(capacity, COOLING, indoor_fan=0.7), 0.9426, 0.03, f"{_NREL}HPU-031"),
    near("energy input ratio at 70 % indoor air", ratio(lambda point: 1.0 / cop(point), COOLING, indoor_fan=0.7),
         1.32299905 - 0.477711207 * 0.7 + 0.154712157 * 0.49, 0.03, f"{_NREL}coefficients of HPU-032"),
    *(Band(f"power at half the indoor air, {device}", ratio(power_w, configuration, indoor_fan=0.5), 0.96, 1.0,
           "less than 4 % lower with orifice and valve: Rodriguez et al. 1996, HPU-020")
      for device, configuration in (("thermostatic valve", COOLING), ("capillary tube", COOLING_CAPILLARY))),
    Band("capacity at half the indoor air, tube over valve",
         lambda: ratio(capacity, COOLING_CAPILLARY, indoor_fan=0.5)() / ratio(capacity, COOLING, indoor_fan=0.5)(),
         0.0, 0.99, "falls more with the orifice than with the valve: Rodriguez et al. 1996, HPU-020"),
)  # fmt: skip

# ---- Charge ---------------------------------------------------------------------------------------------------------


def fridge_cop(charge_share: float) -> float:
    bench = load_bench("demo")
    settings = default_settings(bench, "refrigerator-capillary")
    point = solve(bench, changed_settings(settings, {"charge_kg": charge_share * settings.charge_kg}))
    return point.cooling_w / point.compressor_power_w


def charged(of: Callable[[OperatingPoint], float], device: str, share_of_charge: float) -> Callable[[], float]:
    return ratio(of, device, charge_share=share_of_charge)


def lost(charge_share: float) -> float:
    return 1.0 - charged(capacity, COOLING, charge_share)()


_LABORATORY = "laboratory tests as summarised in Home Energy 2002, "
_NIST = "NIST Technical Note 1848, residential machine with a thermostatic valve, "

CHARGE_BANDS = (
    *(near(f"capacity at {1 + fault:.0%} charge", charged(capacity, COOLING, 1 + fault), row(key).expected, 0.05,
           _NIST + key)
      for key, fault in (("CHG-010", -0.3), ("CHG-012", -0.1), ("CHG-014", 0.1), ("CHG-016", 0.2))),
    *(near(f"power at {1 + fault:.0%} charge", charged(power_w, COOLING, 1 + fault), row(key).expected, 0.05,
           _NIST + key)
      for key, fault in (("CHG-011", -0.3), ("CHG-013", -0.1), ("CHG-015", 0.1), ("CHG-017", 0.2))),
    Band("capacity at 87 % charge, capillary tube", charged(capacity, COOLING_CAPILLARY, 0.87), 0.0, 0.92,
         "a fixed orifice loses noticeably below 90 %: ASHRAE RP-1173, CHG-028; 8 % is own reading"),
    Band("capacity at 90 % charge, thermostatic valve", charged(capacity, COOLING, 0.90), 0.94, 1.0,
         "hardly anything above 80 %: ASHRAE RP-1173, CHG-029; 6 % is own reading"),
    Band("stroke at 80 % charge, thermostatic valve", lambda: runs(COOLING, charge_share=0.79).valve_stroke["txv"],
         0.98, 1.1,
         "fully open where the collapse begins: ASHRAE RP-1173, CHG-029"),
    Band("loss from 80 to 60 % over loss to 80 %, thermostatic valve",
         lambda: (lost(0.6) - lost(0.8)) / lost(0.8),
         1.5, 5.0, "drastic below 80 %: ASHRAE RP-1173, CHG-029; one and a half times is own reading"),
    Band("capacity at 80 % charge, tube over valve",
         lambda: charged(capacity, COOLING_CAPILLARY, 0.8)() / charged(capacity, COOLING, 0.8)(), 0.0, 0.97,
         "the tube is more sensitive: Choi and Kim, Energy 27 (2002) 391-404"),
    near("capacity at 75 % charge, both devices",
         lambda: 0.5 * (charged(capacity, COOLING_CAPILLARY, 0.75)() + charged(capacity, COOLING, 0.75)()), 0.80, 0.05,
         "several machines: Kim and Braun 2012, CHG-018"),
    near("COP at 75 % charge, both devices",
         lambda: 0.5 * (charged(cop, COOLING_CAPILLARY, 0.75)() + charged(cop, COOLING, 0.75)()), 0.85, 0.05,
         "several machines: Kim and Braun 2012, CHG-019"),
    near("capacity at 85 % charge, capillary tube", charged(capacity, COOLING_CAPILLARY, 0.85), 0.85, 0.07,
         _LABORATORY + "CHG-023"),
    near("COP at 85 % charge, capillary tube", charged(cop, COOLING_CAPILLARY, 0.85), 0.95, 0.01,
         _LABORATORY + "CHG-024"),
    near("COP at 110 % charge, capillary tube", charged(cop, COOLING_CAPILLARY, 1.1), 0.925, 0.035,
         _LABORATORY + "CHG-025"),
    near("COP at 85 % charge, fixed orifice", charged(cop, COOLING_CAPILLARY, 0.85), 0.89, 0.03,
         _LABORATORY + "CHG-026"),
    near("COP at 115 % charge, fixed orifice", charged(cop, COOLING_CAPILLARY, 1.15), 0.99, 0.01,
         _LABORATORY + "CHG-027"),
    near("COP at 90 % charge, refrigerator", lambda: fridge_cop(0.9) / fridge_cop(1.0), 0.95, 0.01,
         "R-12 refrigerators with capillary tubes: Dmitriyev and Pisarenko 1984, CHG-022"),
    near("COP at 110 % charge, refrigerator", lambda: fridge_cop(1.1) / fridge_cop(1.0), 0.91, 0.03,
         "R-12 refrigerators with capillary tubes: Dmitriyev and Pisarenko 1984, CHG-021"),
)  # fmt: skip

# ---- Compressor maps ------------------------------------------------------------------------------------------------

SHAPE = 0.08
# own value


def map_bands(whose: str, *, reciprocating: bool) -> tuple[Band, ...]:
    return (
        *(
            share(
                f"{chart.name} {quantity} {point[0]:g}/{point[1]:g} over {chart.base[0]:g}/{chart.base[1]:g}, {whose}",
                shape(chart, compressor_of(chart.refrigerant, reciprocating=reciprocating), point, which),
                cubic(key, *point) / cubic(key, *chart.base),
                SHAPE,
                f"open compressor curves shipped with EnergyPlus, {key}, {chart.refrigerant}",
            )
            for chart in MAPS
            for which, (quantity, key) in enumerate((("capacity", chart.capacity), ("power", chart.power)))
            for point in chart.points
        ),
        Band(
            f"COP -23.3/54.4, {whose}",
            lambda: low_pressure_cop(compressor_of("R-134a", reciprocating=reciprocating)),
            0.9,
            1.6,
            "small low-temperature hermetics, liquid and return gas 32.2 degC (from memory)",
        ),
    )


COMPRESSOR_BANDS = (
    *map_bands("condensing unit", reciprocating=True),
    *map_bands("demo bench", reciprocating=False),
)


UNIT_BANDS = tuple(
    Band(f"{quantity} of the unit in {space_c:g} degC against its map",
         functools.partial(against_map, which, space_c, -20.0),
         1 - SHAPE, 1 + SHAPE, f"open compressor curves shipped with EnergyPlus, {key}; one at -20 degC")
    for which, (quantity, key) in enumerate((("flow", "CMP-007"), ("power", "CMP-008")))
    for space_c in (-28.0, -10.0, -5.0)
)  # fmt: skip

BANDS = (*HEATING_BANDS, *COOLING_BANDS, *CHARGE_BANDS, *COMPRESSOR_BANDS, *UNIT_BANDS)

COLD = (
    "in the cold the published machines lose more. Part of it is ours: coils keep their conductance at small flow, no "
    "frost, no lines in the wind; part of it is theirs: the rooftop unit is nearer to us than to the residential curves"
)
ANOTHER_MACHINE = (
    "a machine that heats water, rated with defrosting and its pump: level and slope are those of another kind"
)
FALLOFF = (
    "the demo bench's compressor loses 7 % of its best efficiency for each unit of pressure ratio above 2.5, the "
    "published maps 2 % above 3; with that (condensing unit) all of them agree"
)
TWO_FIGURES = "the article gives 0.95 for a tube and 0.89 for an orifice, with the same tolerance; ours lies between"
HALF_AIR = "at the rated point the tube leaves 9 K of superheat to lose before it floods; a wider tube would fall more"
KNOWN_DISAGREEMENTS: dict[str, tuple[float, str]] = {
    "heating COP over 16 K, test-bench regression": (0.742, ANOTHER_MACHINE),
    "heating COP at -8.33 by lift": (0.780, ANOTHER_MACHINE),
    "heating capacity at -18, residential": (0.477, COLD),
    "heating energy input ratio at -18, residential": (1.735, COLD),
    "heating energy input ratio at -8.33, residential": (1.347, COLD),
    "capacity at half the indoor air, tube over valve": (1.006, HALF_AIR),
    "COP at 85 % charge, capillary tube": (0.920, TWO_FIGURES),
    "COP at 85 % charge, fixed orifice": (0.920, TWO_FIGURES),
    "COP at 110 % charge, capillary tube": (
        0.995,
        "rated by 5 K of subcooling, our tube still leaves 9 K of superheat: what is added first fills the evaporator",
    ),
    "COP at 110 % charge, refrigerator": (0.989, "the accumulator in line swallows what is too much"),
    "low temperature power -35/35 over -25/35, demo bench": (1.042, FALLOFF),
    "low temperature power -35/43.3 over -25/35, demo bench": (1.422, FALLOFF),
    "low temperature power -25/43.3 over -25/35, demo bench": (1.177, FALLOFF),
    "medium temperature capacity -20/35 over -6.7/35, demo bench": (0.585, "clearance 3 %; the maps ask for 4.5 %"),
    "medium temperature power -20/35 over -6.7/35, demo bench": (0.924, FALLOFF),
    "high temperature power 0/54.4 over 7.2/43.3, demo bench": (1.137, FALLOFF),
    "COP -23.3/54.4, demo bench": (0.489, FALLOFF),
}
# id of a band -> what the bench has, and why it lies outside


@pytest.mark.parametrize("band", BANDS, ids=str)
def test_bench_is_in_the_published_band_or_known_to_be_outside(band: Band):
    measured = band.measure()
    is_inside = band.low <= measured <= band.high
    known = KNOWN_DISAGREEMENTS.get(band.id)
    if known is None:
        assert is_inside, f"{measured:.3f} is not in {band.low:.3f} ... {band.high:.3f}: {band.source}"
    else:
        assert not is_inside, f"{measured:.3f} agrees now: strike it off the known disagreements"
        assert measured == pytest.approx(known[0], abs=0.02), known[1]


def test_bands_have_names_of_their_own_and_every_known_disagreement_is_a_band():
    names = [band.id for band in BANDS]
    assert len(set(names)) == len(names)
    assert set(KNOWN_DISAGREEMENTS) <= set(names)


def test_heating_capacity_and_cop_rise_with_the_outdoor_temperature():
    points = [runs(HEATING, outdoor_c=outdoor_c) for outdoor_c in (-18.0, -13.0, -8.33, -3.0, 2.0, 8.33, 12.0)]
    for colder, warmer in itertools.pairwise(points):
        assert capacity(colder) < capacity(warmer)
        assert cop(colder) < cop(warmer)
    assert heat_pump().refrigerant == "R-410A"
