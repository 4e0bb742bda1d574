"""A core's table worked out with SciPy: monotone cubics of logarithms, first over the air flow, then over the coolant flow.

Run with Python 3 and SciPy 1.17.1: python core_tables.py > ../core_tables.csv

SciPy's PchipInterpolator has other slopes at the ends of an axis than the program, so only cells that touch no end are asked.
The numbers of the table are invented: U = 900 (m/0.8)^0.3 (w/1.2)^0.5 with a dent in the middle.
"""

import math

import scipy
from scipy.interpolate import PchipInterpolator

M = [0.2, 0.4, 0.7, 1.0, 1.5]
W = [0.3, 0.6, 1.0, 1.6, 2.2]


def ua(i, j):
    dent = 0.93 if (i, j) == (2, 2) else 1.0
    return dent * 900.0 * (M[i] / 0.8) ** 0.3 * (W[j] / 1.2) ** 0.5


def at(m, w):
    rows = [PchipInterpolator([math.log(x) for x in W], [math.log(ua(i, j)) for j in range(5)]) for i in range(5)]
    over = PchipInterpolator([math.log(x) for x in M], [float(row(math.log(w))) for row in rows])
    return math.exp(float(over(math.log(m))))


print(f"# SciPy {scipy.__version__}")
print("coolant_flow,air_flow,ua")
for m in (0.45, 0.66, 0.83, 0.99):
    for w in (0.61, 0.93, 1.21, 1.55):
        print(f"{m!r},{w!r},{at(m, w)!r}")
