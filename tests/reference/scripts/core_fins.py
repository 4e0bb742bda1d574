"""Reference values for cores known by their dimensions: rows of tubes, louvred fins, developing friction.

Rows: computed with ht 1.2.0 (an open-source library of published correlations), temperature_effectiveness_air_cooler,
whose formula for N rows and one pass is another one than that of the code, and holds for any N.
Louvred fins: worked out here in the notation of Jacobi, Park, Tafti & Zhang 2001 (An Assessment of the State of the Art,
and Potential Design Improvements, for Flat-Tube Heat Exchangers, ARTI-21CR), as the open-source library FluidDissipation
(wischhusen/FluidDissipation, HeatTransfer.HeatExchanger.kc_flatTube_KC and PressureLoss.HeatExchanger.dp_flatTube_DP) carries
it, which cites Chang & Wang 1997 and Chang et al. 2000; the first geometry is that of its verification models. Between Re
130 and 230: the amendment of 2006 (from memory).
Developing friction between plates: Shah & London 1978, eq. 576 (from memory): hydrodynamic entry by one formula.
Run:  python -m venv venv && venv/bin/pip install ht==1.2.0
      venv/bin/python -P core_fins.py > ../core_fins.csv
Each line: law, arguments separated by blanks, value.
"""

from math import exp, log, radians, sqrt

import ht

print("# law,arguments,value; ht", ht.__version__)


def row(law, args, value):
    print(f"{law},{' '.join(repr(float(a)) for a in args)},{float(value)!r}")


# Share of the heat that the air could take at the most, by rows, capacity ratio air over coolant, and UA over that of the air.
for rows in (1, 2, 3, 4):
    for ratio in (0.05, 0.3, 0.8, 1.0, 2.5, 10.0):
        for units in (0.1, 0.7, 2.0, 5.0):
            value = ht.temperature_effectiveness_air_cooler(R1=ratio, NTU1=units, rows=rows, passes=1)
            row("rows", (rows, ratio, units), value)

# Fin pitch, fin length, fin depth, fin thickness, louvre pitch, louvre angle (degrees), louvre length, tube pitch, tube depth,
# major tube diameter, m.
GEOMETRIES = (
    (1.8e-3, 19e-3, 26e-3, 0.1e-3, 1.534e-3, 28.0, 16.07e-3, 19.7e-3, 26e-3, 5e-3),
    (1.3e-3, 8e-3, 32e-3, 0.08e-3, 1.1e-3, 27.0, 6.6e-3, 9.8e-3, 32e-3, 1.8e-3),
    (1.1e-3, 6e-3, 16e-3, 0.1e-3, 0.9e-3, 24.0, 5.2e-3, 7.6e-3, 16e-3, 1.6e-3),
    (2.0e-3, 10e-3, 48e-3, 0.1e-3, 1.5e-3, 30.0, 8.5e-3, 12.4e-3, 46e-3, 2.4e-3),
)


def colburn(Re, F_p, F_l, F_d, delta, L_p, Phi, L_l, T_p, T_d, D_m):
    return (Re ** -0.49 * (Phi / 90) ** 0.27 * (F_p / L_p) ** -0.14 * (F_l / L_p) ** -0.29 * (T_d / L_p) ** -0.23
            * (L_l / L_p) ** 0.68 * (T_p / L_p) ** -0.28 * (delta / L_p) ** -0.05)


def low(Re, D_h, F_p, F_l, F_d, delta, L_p, Phi, L_l, T_p, T_d, D_m):
    f1 = 14.39 * Re ** (-0.805 * F_p / F_l) * log(1 + F_p / L_p) ** 3.04
    f2 = log((delta / F_p) ** 0.48 + 0.9) ** -1.435 * (D_h / L_p) ** -3.01 * log(0.5 * Re) ** -3.01
    f3 = (F_p / L_l) ** -0.308 * (F_d / L_l) ** -0.308 * exp(-0.1167 * T_p / D_m) * Phi ** 0.35
    return f1 * f2 * f3


def high(Re, D_h, F_p, F_l, F_d, delta, L_p, Phi, L_l, T_p, T_d, D_m):
    f1 = 4.97 * Re ** (0.6049 - 1.064 / Phi ** 0.2) * log((delta / F_p) ** 0.5 + 0.9) ** -0.527
    f2 = (D_h / L_p * log(0.3 * Re)) ** -2.966 * (F_p / L_l) ** (-0.7931 * T_p / (T_p - D_m))
    f3 = (T_p / D_m) ** -0.0446 * log(1.2 + (L_p / F_p) ** 1.4) ** -3.553 * Phi ** -0.477
    return f1 * f2 * f3


for geometry in GEOMETRIES:
    F_p, F_l, delta = geometry[0], geometry[1], geometry[3]
    D_h = 2 * (F_l - delta) * (F_p - delta) / (F_l + F_p - 2 * delta)
    angle = radians(geometry[5])
    told = (*geometry[:5], angle, *geometry[6:])
    for Re in (100, 300, 1000, 3000):
        row("colburn", (Re, *told), colburn(Re, *geometry))
    for Re in (100, 105, 110):
        row("friction", (Re, D_h, *told), low(Re, D_h, *geometry))
    for Re in (250, 400, 1000, 3000):
        row("friction", (Re, D_h, *told), high(Re, D_h, *geometry))
    for Re in (150, 180, 210):
        w = 3.6 - 0.02 * Re
        ends = low(130, D_h, *geometry), high(230, D_h, *geometry)
        row("friction", (Re, D_h, *told), sqrt(((1 + w) * ends[0] ** 2 + (1 - w) * ends[1] ** 2) / 2))

# Aspect ratio, f·Re developed (Fanning), K∞ and C of the ducts.
for aspect, developed, head, c in ((0.0, 24.0, 0.674, 0.000029), (0.2, 19.07, 0.931, 0.000076), (0.5, 15.55, 1.28, 0.00021)):
    for x in (1e-3, 3e-3, 0.01, 0.03, 0.1, 1.0):
        short = 3.44 / sqrt(x)
        row("developing", (aspect, x), short + (head / (4 * x) + developed - short) / (1 + c / x ** 2))
