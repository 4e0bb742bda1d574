"""Loss coefficients after several handbooks, as carried by the library `fluids` 1.3.1 (MIT licence):
how far published values lie apart. Writes laws_spread.csv; run it in
tests/reference as `python -P scripts/laws_spread.py` (-P, or the script beside it named fluids.py is found).

kind, a, b, c, method, K on the head of the (smaller) bore
  bend: angle in degrees, radius over bore, Reynolds number; K with straight friction of the centre line
  contraction, expansion: area ratio
  narrowing, widening: whole angle in degrees, area ratio
"""
import csv
from math import radians, sqrt

import fluids
import fluids.fittings as fittings
from fluids.friction import friction_factor

BORE, ROUGH = 0.025, 5e-6
# The library names one handbook by its publisher; the table names it by its number.
TITLES = {"Crane": "TP 410"}
rows = []
for angle in (45, 90):
    for radius in (1.0, 1.5, 2.0, 3.0, 5.0):
        for reynolds in (1e4, 3e4, 1e5):
            fd = friction_factor(Re=reynolds, eD=ROUGH / BORE)
            for method in ("Rennels", "Miller", "Ito"):
                k = fittings.bend_rounded(Di=BORE, angle=angle, fd=fd, rc=radius * BORE, Re=reynolds,
                                          roughness=ROUGH, L_unimpeded=20 * BORE, method=method)
                rows.append(("bend", angle, radius, reynolds, method, k))
for ratio in (0.1, 0.25, 0.5, 0.75):
    for method in ("Rennels", "Hooper", "Crane"):
        k = fittings.contraction_sharp(Di1=1.0, Di2=sqrt(ratio), fd=0.02, Re=5e4, roughness=0.0, method=method)
        rows.append(("contraction", ratio, "", "", method, k))
    for method in ("Rennels", "Hooper"):
        k = fittings.diffuser_sharp(Di1=sqrt(ratio), Di2=1.0, fd=0.02, Re=5e4, roughness=0.0, method=method)
        rows.append(("expansion", ratio, "", "", method, k))
for angle in (20, 30, 60):
    for ratio in (0.25, 0.5, 0.75):
        small = sqrt(ratio) * BORE
        for method in ("Rennels", "Crane", "Miller", "Idelchik", "Hooper"):
            same = dict(angle=angle, fd=0.025, Re=5e4, roughness=1e-6, method=method)
            k = fittings.diffuser_conical(Di1=small, Di2=BORE, **same)
            rows.append(("widening", angle, ratio, "", method, k))
            if method != "Idelchik":  # Idelchik's contains friction along the cone
                k = fittings.contraction_conical(Di1=BORE, Di2=small, **same)
                rows.append(("narrowing", angle, ratio, "", method, k))
with open("laws_spread.csv", "w", newline="") as file:
    file.write(f"# Handbook values as the library fluids {fluids.__version__} computes them: scripts/laws_spread.py\n")
    out = csv.writer(file, lineterminator="\n")
    out.writerow(("kind", "a", "b", "c", "method", "k"))
    out.writerows((*row[:-2], TITLES.get(row[-2], row[-2]), f"{row[-1]:.6g}") for row in rows)
