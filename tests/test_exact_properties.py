"""The equations of state against tables and libraries of others, against themselves, and where the tables end."""

from __future__ import annotations

import pickle
from concurrent.futures import ThreadPoolExecutor

import CoolProp
import numpy as np
import pytest

from hvacr_lab.errors import LabError, NotUsable, OutOfRange
from hvacr_lab.exact_properties import EquationOfState
from hvacr_lab.refrigerants import refrigerant
from hvacr_lab.refrigerants.data import all_refrigerants

COLD_TO_HOT_K = (243.15, 273.15, 313.15)


def test_r134a_agrees_with_a_published_iir_table() -> None:
    """R-134a at -100 degC, a table with the IIR reference state, read in a public copy; to the last printed digit."""
    lines = refrigerant("R-134a").exact().saturation(559.4)
    assert lines.dew_temperature_k == pytest.approx(173.15, abs=0.002)
    assert 1.0 / lines.bubble_volume_m3_per_kg == pytest.approx(1582.4, abs=0.06)
    assert lines.bubble_enthalpy_j_per_kg / 1e3 == pytest.approx(75.362, abs=0.002)
    assert lines.dew_enthalpy_j_per_kg / 1e3 == pytest.approx(336.85, abs=0.006)
    assert lines.bubble_entropy_j_per_kg_k / 1e3 == pytest.approx(0.4354, abs=6e-5)
    assert lines.dew_entropy_j_per_kg_k / 1e3 == pytest.approx(1.9456, abs=6e-5)


@pytest.mark.parametrize(
    ("name", "bubble_c", "dew_c"),
    [("R-404A", -46.22, -45.47), ("R-407C", -43.63, -36.63), ("R-410A", -51.44, -51.36), ("R-507A", -46.74, -46.74)],
)
def test_normal_boiling_points_of_blends(name: str, bubble_c: float, dew_c: float) -> None:
    """ASHRAE Handbook Fundamentals 2021, chapter 29, table 5; REFPROP 10 files (226.93 K, 229.52 K), quoted."""
    lines = refrigerant(name).saturation(101_325.0)
    assert lines.bubble_temperature_k - 273.15 == pytest.approx(bubble_c, abs=0.02)
    assert lines.dew_temperature_k - 273.15 == pytest.approx(dew_c, abs=0.03)


@pytest.mark.parametrize("name", ["R-404A", "R-407C", "R-410A", "R-507A"])
def test_blends_agree_with_their_pseudo_pure_equations(name: str) -> None:
    """E. W. Lemmon, Int. J. Thermophys. 24:991 (2003), in CoolProp: equations fitted to the blend as a whole."""
    pseudo, blend = CoolProp.AbstractState("HEOS", name.replace("-", "")), refrigerant(name)
    for kelvins in (233.15, 273.15, 313.15, 323.15):
        found = {}
        for quality in (0, 1):
            pseudo.update(CoolProp.QT_INPUTS, quality, kelvins)
            found[quality] = pseudo.p(), pseudo.hmass()
        assert blend.bubble_pressure(kelvins) == pytest.approx(found[0][0], rel=3e-4)
        assert blend.dew_pressure(kelvins) == pytest.approx(found[1][0], rel=3e-4)
        liquid = blend.state(temperature_k=kelvins, quality=0.0).enthalpy_j_per_kg
        vapour = blend.state(temperature_k=kelvins, quality=1.0).enthalpy_j_per_kg
        assert vapour - liquid == pytest.approx(found[1][1] - found[0][1], abs=250.0)


@pytest.mark.parametrize("name", ["R-454B", "R-455A", "R-448A"])
def test_own_phase_equilibrium_agrees_with_that_of_coolprop(name: str) -> None:
    """CoolProp's own flash by molar quality; where it answers, both must find equal fugacities at one temperature."""
    state = EquationOfState(all_refrigerants()[name].coolprop_name, blend=True)
    other = CoolProp.AbstractState("HEOS", all_refrigerants()[name].coolprop_name)
    for moles in (0.2, 0.5, 0.8):
        other.update(CoolProp.PQ_INPUTS, 8e5, moles)
        liquid, vapour = (_molar_mass(name, part(other)) for part in (_liquid, _vapour))
        mass = moles * vapour / (moles * vapour + (1.0 - moles) * liquid)
        point = next(state.wet_points(8e5, [mass]))
        assert point is not None
        assert point.temperature_k == pytest.approx(other.T(), abs=1e-5)
        assert 1.0 / point.volume_m3_per_kg == pytest.approx(other.rhomass(), rel=1e-5)


def _liquid(state: CoolProp.AbstractState) -> list[float]:
    return list(state.mole_fractions_liquid())


def _vapour(state: CoolProp.AbstractState) -> list[float]:
    return list(state.mole_fractions_vapor())


def _molar_mass(name: str, fractions: list[float]) -> float:
    state = CoolProp.AbstractState("HEOS", all_refrigerants()[name].coolprop_name)
    state.set_mole_fractions(fractions)
    return float(state.molar_mass())


@pytest.mark.parametrize(("name", "key"), [("R-134a", "mp.C2H2F4"), ("R-744", "mp.CO2")])
def test_pyromat_agrees(name: str, key: str) -> None:
    """pyromat 2.2 has its own code and coefficients; 0.013 % in pressure and 0.08 % in density were measured."""
    pyromat = pytest.importorskip("pyromat")
    substance, r = pyromat.get(key), refrigerant(name)
    for kelvins in COLD_TO_HOT_K[: 3 if name == "R-134a" else 2]:
        assert r.dew_pressure(kelvins) == pytest.approx(float(np.ravel(substance.ps(T=kelvins))[0]) * 1e5, rel=3e-4)
        liquid, vapour = (float(np.ravel(density)[0]) for density in substance.ds(T=kelvins))
        lines = r.saturation(r.dew_pressure(kelvins))
        assert 1.0 / lines.bubble_volume_m3_per_kg == pytest.approx(liquid, rel=1e-3)
        assert 1.0 / lines.dew_volume_m3_per_kg == pytest.approx(vapour, rel=1e-3)


def test_iapws_agrees_for_ammonia() -> None:
    """iapws 1.5 holds the older equation of Tillner-Roth (1993); 0.06 % in p, 0.04 % in latent heat were measured."""
    ammonia, r = pytest.importorskip("iapws.ammonia"), refrigerant("R-717")
    for kelvins in COLD_TO_HOT_K:
        liquid, vapour = (ammonia.NH3(T=kelvins, x=quality) for quality in (0, 1))
        lines = r.saturation(r.dew_pressure(kelvins))
        assert r.dew_pressure(kelvins) == pytest.approx(vapour.P * 1e6, rel=1e-3)
        latent_heat = lines.dew_enthalpy_j_per_kg - lines.bubble_enthalpy_j_per_kg
        assert latent_heat == pytest.approx((vapour.h - liquid.h) * 1e3, rel=1e-3)


CAS_NUMBERS = {
    "R-12": "75-71-8",
    "R-22": "75-45-6",
    "R-32": "75-10-5",
    "R-125": "354-33-6",
    "R-134a": "811-97-2",
    "R-143a": "420-46-2",
    "R-152a": "75-37-6",
    "R-290": "74-98-6",
    "R-600": "106-97-8",
    "R-600a": "75-28-5",
    "R-717": "7664-41-7",
    "R-744": "124-38-9",
    "R-1270": "115-07-1",
}
# from memory; a wrong one would not agree


@pytest.mark.reference
@pytest.mark.filterwarnings("ignore::ResourceWarning")  # thermo leaves one of its files open
@pytest.mark.parametrize(("name", "cas"), CAS_NUMBERS.items(), ids=CAS_NUMBERS)
def test_the_vdi_heat_atlas_agrees(name: str, cas: str) -> None:
    """Vapour pressures of the VDI Heat Atlas (2010) in chemicals/thermo; within 0.1 % was measured."""
    pytest.importorskip("thermo")
    from thermo.vapor_pressure import VaporPressure

    table = VaporPressure(CASRN=cas)
    table.method = next(method for method in ("VDI_TABULAR", "VDI_PPDS") if method in table.all_methods)
    for kelvins in COLD_TO_HOT_K[: 2 if name == "R-744" else 3]:
        assert refrigerant(name).dew_pressure(kelvins) == pytest.approx(table.T_dependent_property(kelvins), rel=1e-3)


@pytest.mark.parametrize("name", ["R-134a", "R-744", "R-717", "R-454B", "R-455A"])
def test_exact_answers_like_the_tables(name: str) -> None:
    table, exact = refrigerant(name), refrigerant(name).exact()
    pressure = 12e5
    lines = table.saturation(pressure)
    middle = 0.6 * lines.bubble_enthalpy_j_per_kg + 0.4 * lines.dew_enthalpy_j_per_kg
    for given in (
        {"pressure_pa": pressure, "temperature_k": lines.dew_temperature_k + 15.0},
        {"pressure_pa": pressure, "temperature_k": lines.bubble_temperature_k - 5.0},
        {"pressure_pa": pressure, "enthalpy_j_per_kg": middle},
        {"pressure_pa": pressure, "quality": 0.3},
        {"pressure_pa": pressure, "entropy_j_per_kg_k": lines.dew_entropy_j_per_kg_k + 40.0},
        {"temperature_k": lines.bubble_temperature_k, "quality": 0.7},
    ):
        one, other = table.state(**given), exact.state(**given)
        assert one.phase == other.phase
        assert one.temperature_k == pytest.approx(other.temperature_k, abs=0.01)
        assert one.pressure_pa == pytest.approx(other.pressure_pa, rel=1e-4)
        assert one.enthalpy_j_per_kg == pytest.approx(other.enthalpy_j_per_kg, abs=30.0)
        assert one.entropy_j_per_kg_k == pytest.approx(other.entropy_j_per_kg_k, abs=0.1)
        assert one.volume_m3_per_kg == pytest.approx(other.volume_m3_per_kg, rel=5e-4)
        assert one.quality == pytest.approx(other.quality, abs=1e-4)
        assert one.superheat_k == pytest.approx(other.superheat_k, abs=0.01)
        assert one.subcooling_k == pytest.approx(other.subcooling_k, abs=0.01)


def test_exact_takes_arrays() -> None:
    exact = refrigerant("R-134a").exact()
    kelvins = np.array([[250.0, 260.0], [270.0, 280.0]])
    assert exact.dew_pressure(kelvins) == pytest.approx(refrigerant("R-134a").dew_pressure(kelvins), rel=1e-7)
    assert exact.enthalpy_pt(1e5, kelvins).shape == (2, 2)
    assert exact.dew_temperature([1e5, 2e5])[1] == exact.dew_temperature(2e5)


def test_carbon_dioxide_above_the_end_of_its_table() -> None:
    """ASHRAE Handbook Fundamentals 2021, chapter 29, table 8: R-744 at 30 degC, 7213 kPa."""
    assert refrigerant("R-744").exact().dew_pressure(303.15) == pytest.approx(7.213e6, rel=5e-3)


def test_carbon_dioxide_above_its_critical_point() -> None:
    """NIST Chemistry WebBook, from memory: CO2 at 100 bar and 40 degC has about 629 kg/m3."""
    state = refrigerant("R-744").exact().state(pressure_pa=100e5, temperature_k=313.15)
    assert state.phase == "supercritical"
    assert (state.quality, state.superheat_k, state.subcooling_k) == (None, None, None)
    assert state.density_kg_per_m3 == pytest.approx(629.0, rel=0.005)
    back = refrigerant("R-744").exact().state(pressure_pa=100e5, entropy_j_per_kg_k=state.entropy_j_per_kg_k)
    assert back.temperature_k == pytest.approx(313.15, abs=1e-6)
    cold = refrigerant("R-744").exact().state(pressure_pa=100e5, temperature_k=293.15)
    assert cold.phase == "liquid"


def test_beyond_the_critical_point_nothing_boils() -> None:
    exact = refrigerant("R-744").exact()
    with pytest.raises(OutOfRange, match=r"R-744: pressure .* above the limit of .* beyond which nothing boils"):
        exact.dew_temperature(80e5)
    with pytest.raises(OutOfRange, match="R-744: dew temperature 310 K is above the limit"):
        exact.dew_pressure(310.0)


def test_frozen_carbon_dioxide_is_refused_in_words() -> None:
    """The equation of state has no solid; CoolProp's own complaint about its melting line is not shown."""
    with pytest.raises(NotUsable, match="the equation of state of R-744 has no state there"):
        refrigerant("R-744").exact().state(pressure_pa=2000e5, temperature_k=220.0)


@pytest.mark.parametrize("name", ["R-134a", "R-744", "R-454B"])
def test_fixed_points_in_the_table_are_those_of_the_equation_of_state(name: str) -> None:
    data, r = all_refrigerants()[name], refrigerant(name)
    about = EquationOfState(data.coolprop_name, blend=data.is_blend).about()
    assert about["critical_temperature_k"] == pytest.approx(r.critical_temperature_k, abs=1e-3)
    assert about["critical_pressure_pa"] == pytest.approx(r.critical_pressure_pa, rel=1e-4)
    assert about["molar_mass_kg_per_mol"] == pytest.approx(r.molar_mass_kg_per_mol)
    assert about["triple_temperature_k"] == r.triple_temperature_k == r.exact().triple_temperature_k


def test_other_reference_states_are_left_alone() -> None:
    """Own offsets, never set_reference_state: CoolProp's R-717 keeps its default of 345.7 kJ/kg at 0 degC."""
    assert refrigerant("R-717").exact().state(temperature_k=273.15, quality=0.0).enthalpy_j_per_kg == pytest.approx(
        200e3
    )
    assert CoolProp.CoolProp.PropsSI("H", "T", 273.15, "Q", 0, "Ammonia") == pytest.approx(345.675e3, rel=1e-4)


def test_threads_do_not_disturb_each_other() -> None:
    exact = refrigerant("R-454B").exact()
    kelvins = np.linspace(240.0, 310.0, 40)
    alone = [exact.dew_pressure(float(one)) for one in kelvins]
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(exact.dew_pressure, kelvins.tolist()))
    assert together == pytest.approx(alone, rel=1e-9)


def test_an_exact_refrigerant_pickles_by_name() -> None:
    exact = refrigerant("R-134a").exact()
    assert pickle.loads(pickle.dumps(exact)) is exact
    assert repr(exact) == 'refrigerant("R-134a").exact()'
    assert exact.is_exact
    assert not refrigerant("R-134a").is_exact


def test_exact_refuses_what_no_state_can_be() -> None:
    exact = refrigerant("R-134a").exact()
    for given in (
        {"pressure_pa": -1.0, "quality": 0.5},
        {"pressure_pa": 1e5, "quality": 1.5},
        {"temperature_k": 270.0, "quality": -0.1},
        {"pressure_pa": 1e5, "temperature_k": 100.0},
        {"pressure_pa": 2e5, "temperature_k": exact.dew_temperature(2e5)},
        {"pressure_pa": float("nan"), "temperature_k": 270.0},
        {"pressure_pa": 1e5, "enthalpy_j_per_kg": 1e9},
    ):
        with pytest.raises(LabError):
            exact.state(**given)
