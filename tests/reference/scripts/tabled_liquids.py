"""A liquid by points over temperature, worked out with SciPy, and vapour pressures of pure liquids.

Run with Python 3, SciPy 1.17.1 and CoolProp 8.0.0: python tabled_liquids.py PART > ../fluids_tabled_PART.csv
with PART one of `points`, `between`, `vapour`.

The points are those of unused engine oil in table A.5 of Incropera et al., Fundamentals of Heat and Mass Transfer.
Between them SciPy's PchipInterpolator carries density, heat capacity and conductivity over T, and ln ln Z of ASTM D341 over
ln T, Z inverted by brentq. Its slopes at inner points are those of Fritsch and Butland; at the ends it has others than the
program, so the first and the last stretch are left out. The enthalpy is its antiderivative.
"""

import math
import sys

import CoolProp
import CoolProp.CoolProp as props
import scipy
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

T = [273.0] + [float(t) for t in range(280, 431, 10)]
RHO = [899.1, 895.3, 890.0, 884.1, 877.9, 871.8, 865.8, 859.9, 853.9, 847.8, 841.8, 836.0, 830.6, 825.1, 818.9, 812.1,
       806.5]
CP = [1796, 1827, 1868, 1909, 1951, 1993, 2035, 2076, 2118, 2161, 2206, 2250, 2294, 2337, 2381, 2427, 2471]
MU = [3.85, 2.17, 0.999, 0.486, 0.253, 0.141, 0.0836, 0.0531, 0.0356, 0.0252, 0.0186, 0.0141, 0.0110, 0.00874, 0.00698,
      0.00564, 0.00470]
K = [0.147, 0.144, 0.145, 0.145, 0.145, 0.143, 0.141, 0.139, 0.138, 0.138, 0.137, 0.136, 0.135, 0.134, 0.133, 0.133,
     0.132]


def walther(nu):
    return nu + 0.7 + math.exp(-1.47 - 1.84 * nu - 0.51 * nu * nu)


def points():
    print("# Incropera et al., table A.5, unused engine oil")
    print("temperature_k,density,heat_capacity,viscosity,conductivity")
    for row in zip(T, RHO, CP, MU, K):
        print(",".join(repr(x) for x in row))


def between():
    rho, cp, k = (PchipInterpolator(T, y) for y in (RHO, CP, K))
    enthalpy = cp.antiderivative()
    ordinate = [math.log(math.log(walther(m / r * 1e6))) for m, r in zip(MU, RHO)]
    straight = PchipInterpolator([math.log(t) for t in T], ordinate)
    print(f"# SciPy {scipy.__version__}; enthalpy from 280 K on")
    print("temperature_k,density,heat_capacity,viscosity,conductivity,enthalpy")
    for t in (281.0, 284.5, 297.3, 303.15, 313.15, 333.3, 353.15, 373.15, 391.0, 407.7, 419.9):
        z = math.exp(math.exp(float(straight(math.log(t)))))
        nu = brentq(lambda n: walther(n) - z, 0.1, 1e5, xtol=1e-13, rtol=1e-14)
        row = (t, rho(t), cp(t), nu * 1e-6 * rho(t), k(t), enthalpy(t) - enthalpy(280.0))
        print(",".join(repr(float(x)) for x in row))


def vapour():
    print(f"# CoolProp {CoolProp.__version__}: boiling point at 101.325 kPa, and the vapour pressure at other temperatures")
    print("liquid,boils_k,temperature_k,pressure_pa")
    for liquid in ("n-Octane", "n-Decane", "n-Dodecane", "Toluene", "Benzene"):
        boils = props.PropsSI("T", "P", 101325.0, "Q", 0, liquid)
        for of in (0.8, 0.9, 1.05):
            t = of * boils
            print(f"{liquid},{boils!r},{t!r},{props.PropsSI('P', 'T', t, 'Q', 0, liquid)!r}")


{"points": points, "between": between, "vapour": vapour}[sys.argv[1]]()
