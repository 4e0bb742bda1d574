"""Writes the reference tables tests/reference/fluids_*.csv that come from the libraries named in each.

Run in a virtual environment outside the tree:
    pip install CoolProp==8.0.0 iapws==1.5.5
    python tests/reference/scripts/fluids.py
The tables that are printed in standards and books are typed by hand and not written here.
"""

import pathlib

import CoolProp
import iapws
from CoolProp.CoolProp import HAPropsSI, PropsSI
from iapws.iapws97 import _Region1
from iapws._iapws import _ThCond, _Viscosity

HERE = pathlib.Path(__file__).resolve().parent.parent
COOLPROP = f"CoolProp {CoolProp.__version__}"


def write(name, head, columns, rows):
    lines = [f"# {line}" for line in head] + [",".join(columns)]
    for row in rows:
        lines.append(",".join(v if isinstance(v, str) else f"{v:.9g}" for v in row))
    (HERE / name).write_text("\n".join(lines) + "\n")


def water():
    rows = []
    for c in (0.01, 10, 25, 50, 60, 75, 100, 120, 140, 160):
        t, p = 273.15 + c, 0.7e6
        state = [PropsSI(k, "T", t, "P", p, "Water") for k in "DCVL"]
        rows.append([t, p, *state, PropsSI("P", "T", t, "Q", 0, "Water")])
    write(
        "fluids_water.csv",
        [
            "Liquid water and its saturation pressure by the scientific formulations:",
            "IAPWS R6-95, R12-08, R15-11, the last two with critical enhancement.",
            f"Source: {COOLPROP}, fluid Water (HEOS).",
            "Exercises: water.rs, which has the industrial formulation R7-97 and no enhancement.",
            "Tolerances: the uncertainty of R6-95 (from memory), 0.003 % in density, 0.1 % in cp,",
            "0.025 % in saturation pressure;",
            "viscosity and conductivity 0.1 %, what the enhancement amounts to below 160 °C.",
        ],
        ["t_k", "p_pa", "density", "heat_capacity", "viscosity", "conductivity", "saturation_pa"],
        rows,
    )


def water_without_enhancement():
    rows = []
    for c in (0.01, 25, 60, 100, 130, 160):
        t = 273.15 + c
        region = _Region1(t, 0.2)
        density = 1 / region["v"]
        rows.append([
            t, 0.2e6, density, region["h"] * 1e3, region["cp"] * 1e3,
            _Viscosity(density, t), _ThCond(density, t),
        ])
    write(
        "fluids_water_iapws.csv",
        [
            "Liquid water at 0.2 MPa by IAPWS R7-97 region 1, R12-08 and R15-11 without critical",
            f"enhancement. Source: iapws {iapws.__version__} (Python).",
            "Exercises: every coefficient in water.rs. Tolerance: 1e-8, the digits printed here.",
        ],
        ["t_k", "p_pa", "density", "enthalpy", "heat_capacity", "viscosity", "conductivity"],
        rows,
    )


def glycol():
    rows = []
    for base in ("AEG", "APG"):
        for share in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6):
            fluid = f"INCOMP::{base}[{share}]"
            freezing = PropsSI("T_freeze", "T", 300, "P", 1e6, fluid)
            for c in (-34.9, -20, -5, 10, 20, 40, 60, 80, 99.9):
                t = 273.15 + c
                if t < freezing + 0.5:
                    continue
                state = [PropsSI(k, "T", t, "P", 1e6, fluid) for k in "DCVL"]
                rows.append([base, share, freezing, t, *state])
    write(
        "fluids_ashrae_glycol.csv",
        [
            "Ethylene (AEG) and propylene (APG) glycol in water, by share of volume.",
            "ASHRAE Handbook of Fundamentals 2001, chapter 21, as fitted by Skovrup 2013.",
            f"Source: {COOLPROP}, INCOMP::AEG and INCOMP::APG.",
            "Exercises: glycol.rs and the tables of coolant.rs.",
            "Tolerance: 1e-8 for the fits, the digits printed here; the tables of coolant.rs add",
            "the error of a cubic over 2.5 K.",
        ],
        ["base", "share", "freezing_k", "t_k", "density", "heat_capacity", "viscosity",
         "conductivity"],
        rows,
    )


def melinder():
    rows = []
    for base, mass in (("MEG", 0.527), ("MPG", 0.509)):
        for c in (0, 20, 40, 60, 80, 99):
            t = 273.15 + c
            fluid = f"INCOMP::{base}[{mass}]"
            rows.append([base, mass, t, *[PropsSI(k, "T", t, "P", 1e6, fluid) for k in "DCVL"]])
    write(
        "fluids_melinder_glycol.csv",
        [
            "Ethylene (MEG) and propylene (MPG) glycol in water, by share of mass; 50 % by volume.",
            "Melinder 2010, Properties of Secondary Working Fluids (IIR); made for up to 40 °C,",
            f"beyond that a second opinion only. Source: {COOLPROP}, INCOMP::MEG and INCOMP::MPG.",
            "Exercises: the choice of source in glycol.rs, by an independent family.",
        ],
        ["base", "mass_share", "t_k", "density", "heat_capacity", "viscosity", "conductivity"],
        rows,
    )


def propylene_glycol():
    rows = []
    for c in (0, 20, 60, 100, 130, 160):
        t = 273.15 + c
        rows.append([
            t,
            PropsSI("D", "T", t, "Q", 0, "PropyleneGlycol"),
            PropsSI("P", "T", t, "Q", 0, "PropyleneGlycol"),
            PropsSI("C", "T", t, "Q", 0, "PropyleneGlycol"),
        ])
    write(
        "fluids_propylene_glycol.csv",
        [
            "Pure propylene glycol at saturation, by the equation of state of Eisenbach et al.",
            f"Source: {COOLPROP}, fluid PropyleneGlycol (HEOS).",
            "Exercises: the pure glycol of glycol.rs (Perry's Handbook), above 100 °C too.",
            "Tolerances: 1 % in density and 3 % in vapour pressure, what Perry's Handbook claims",
            "for its correlations of this fluid.",
        ],
        ["t_k", "density", "vapour_pa", "heat_capacity"],
        rows,
    )


def air():
    rows = []
    for t in (220, 250, 273.15, 300, 350, 400, 500, 600, 800):
        rows.append([
            t,
            PropsSI("CP0MASS", "T", t, "P", 1e5, "Air"),
            PropsSI("C", "T", t, "P", 101325, "Air"),
            PropsSI("D", "T", t, "P", 101325, "Air"),
            PropsSI("V", "T", t, "P", 101325, "Air"),
            PropsSI("L", "T", t, "P", 101325, "Air"),
            PropsSI("D", "T", t, "P", 3e5, "Air"),
            PropsSI("V", "T", t, "P", 3e5, "Air"),
            PropsSI("L", "T", t, "P", 3e5, "Air"),
        ])
    write(
        "fluids_air.csv",
        [
            "Dry air as a real gas at 101.325 kPa and 300 kPa, and its ideal-gas heat capacity.",
            "Lemmon et al. 2000 and Lemmon & Jacobsen 2004.",
            f"Source: {COOLPROP}, fluid Air (HEOS).",
            "Exercises: dry air in air.rs. Tolerances: those that its docstrings state for taking",
            "the gas as ideal and dilute.",
        ],
        ["t_k", "ideal_heat_capacity", "heat_capacity", "density", "viscosity", "conductivity",
         "density_300kpa", "viscosity_300kpa", "conductivity_300kpa"],
        rows,
    )


def moist_air():
    rows = []
    for t, p, r in (
        (263.15, 101325, 0.8), (283.15, 101325, 0.6), (303.15, 101325, 0.6),
        (306.15, 85000, 0.5), (318.15, 101325, 0.3), (333.15, 250000, 0.9),
    ):
        args = ("T", t, "P", p, "R", r)
        rows.append([
            t, p, r,
            HAPropsSI("W", *args),
            HAPropsSI("D", *args),
            (1 + HAPropsSI("W", *args)) / HAPropsSI("V", *args),
            HAPropsSI("cp_ha", *args),
            HAPropsSI("H", *args),
        ])
    write(
        "fluids_moist_air.csv",
        [
            "Moist air as a real gas (Herrmann, Kretzschmar & Gatley 2009).",
            f"Source: {COOLPROP}, HAPropsSI. Enthalpy in J per kg of dry air, zero at 0 °C.",
            "Below 0 °C its relative humidity is over ice, ours is over water: the humidity ratio",
            "is the input there, not the check. Exercises: vapour in air.rs.",
            "Tolerances: 0.6 % in humidity ratio per 100 kPa, the enhancement factor that an ideal",
            "mixture lacks (1.004 to 1.006 at 100 kPa), the same in the dew point as 0.12 K, and",
            "0.5 % in enthalpy; 0.2 % in density; 0.3 % in heat capacity per 100 kPa (real gas).",
        ],
        ["t_k", "p_pa", "relative_humidity", "humidity_ratio", "dew_point_k", "density",
         "heat_capacity", "enthalpy"],
        rows,
    )


def saturated_water():
    """Vapour, heat of evaporation and surface tension on the saturation line."""
    rows = []
    for t in [280, 300, 320, 340, 360, 373.15, 390, 410, 430]:
        h = [PropsSI("H", "T", t, "Q", q, "Water") for q in (0, 1)]
        rows.append([
            t,
            PropsSI("D", "T", t, "Q", 1, "Water"),
            h[1] - h[0],
            PropsSI("I", "T", t, "Q", 0, "Water"),
        ])
    write(
        "fluids_water_saturated.csv",
        [
            "Saturated water by IAPWS R6-95, surface tension by Mulero et al. 2012.",
            f"Source: {COOLPROP}, PropsSI. Exercises: vapour_density, heat_of_evaporation, surface_tension.",
            "Tolerances: 0.1 %, the distance of the auxiliary equations from R6-95; 0.3 % in surface tension.",
        ],
        ["t_k", "vapour_density", "heat_of_evaporation", "surface_tension"],
        rows,
    )


if __name__ == "__main__":
    water()
    water_without_enhancement()
    glycol()
    melinder()
    propylene_glycol()
    air()
    moist_air()
    saturated_water()
