"""Reference values for friction, fittings, tees, films and exchangers.

Written with fluids 1.3.1 and ht 1.2.0 (open-source libraries of published correlations).
Run:  python -m venv venv && venv/bin/pip install fluids==1.3.1 ht==1.2.0
      venv/bin/python -P laws_fluids.py > ../laws_fluids.csv
(-P, because a script beside this one has the name of the library.)
Each line: law, arguments separated by blanks, value.
"""

from math import log, pi, radians

import fluids
import ht

print("# law,arguments,value; fluids", fluids.__version__, "ht", ht.__version__)


def row(law, args, value):
    print(f"{law},{' '.join(repr(float(a)) for a in args)},{float(value)!r}")


for re in (10, 500, 1500, 2300, 3000, 4000, 1e4, 4e4, 1e5, 1e6, 1e7):
    for rough in (0, 1e-4, 1e-3, 1e-2, 5e-2):
        row("churchill", (re, rough), fluids.friction.Churchill_1977(re, rough))
        if re >= 4000:
            row("colebrook", (re, rough), fluids.friction.Colebrook(re, rough))

for ratio in (0.2, 0.5, 2 / 3, 0.9):
    row("expansion_loss", (ratio,), fluids.diffuser_sharp(Di1=ratio, Di2=1.0))
    row("contraction_loss", (ratio,), fluids.contraction_conical_Crane(Di1=1.0, Di2=ratio, angle=180))
    for angle in (10, 20, 40, 60, 120):
        row("diffuser", (ratio, radians(angle)),
            fluids.diffuser_conical(Di1=ratio, Di2=1.0, angle=angle, method="Crane"))
        row("reducer", (ratio, radians(angle)),
            fluids.contraction_conical_Crane(Di1=1.0, Di2=ratio, angle=angle))
for beta in (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.75):
    for re in (1e5, 1e6):
        # ISO 5167-2: discharge coefficient with D and D/2 taps, 50 mm bore, and the permanent loss
        flow = re * pi * 0.05 * 1e-3 / 4
        c = fluids.flow_meter.C_Reader_Harris_Gallagher(D=0.05, Do=0.05 * beta, rho=1000, mu=1e-3, m=flow, taps="D")
        row("orifice_loss", (beta, re), fluids.flow_meter.discharge_coefficient_to_K(D=0.05, Do=0.05 * beta, C=c))
row("entry_loss", (0.0,), fluids.entrance_rounded(Di=1.0, rc=0, method="Idelchik"))

for radius in (1, 1.5, 3, 5):
    for angle in (30, 45, 90, 180):
        for re in (1e5, 1e6):
            f = fluids.friction.Churchill_1977(re, 1e-4)
            k = fluids.bend_rounded(Di=1.0, angle=angle, fd=f, rc=radius, Re=re, method="Rennels")
            row("bend_rennels", (radius, radians(angle), re, 1e-4), k - f * radians(angle) * radius)
for re in (1, 10, 50):
    # K1 and K-infinity of Hooper 1981: elbows, r/D = 1.5 or 1, flanged or welded
    for angle, k1, k_inf in ((45, 500, 0.15), (90, 800, 0.2), (180, 1000, 0.3)):
        row("bend_hooper", (radians(angle), re), fluids.Hooper2K(Di=25.4, Re=re, K1=k1, Kinfty=k_inf))

for angle in (30, 45, 60, 90):
    for beta in (0.5, 1.0):
        for q in (0.1, 0.3, 0.39, 0.45, 0.6, 0.8, 0.95):
            d1, db = 0.1, 0.1 * beta
            qr, qb = 1 - q, q
            for law, f in (
                ("tp410_combining_side", fluids.K_branch_converging_Crane),
                ("tp410_combining_run", fluids.K_run_converging_Crane),
                ("tp410_dividing_side", fluids.K_branch_diverging_Crane),
                ("tp410_dividing_run", fluids.K_run_diverging_Crane),
            ):
                row(law, (radians(angle), beta, q), f(D_run=d1, D_branch=db, Q_run=qr, Q_branch=qb, angle=angle))

for aspect in (0.02, 1 / 16, 0.25, 0.5, 1.0):
    row("flat_nusselt_flux", (aspect,), ht.conv_internal.Nu_laminar_rectangular_Shan_London(a_r=aspect))
for gz in (1, 10, 100, 1000):
    # Hausen with Re = gz, Pr = 1, D/L = 1
    row("hausen", (gz,), ht.conv_internal.laminar_entry_thermal_Hausen(Re=gz, Pr=1.0, L=1.0, Di=1.0))
for re in (4000, 1e4, 1e5, 1e6):
    for pr in (0.7, 5, 20):
        f = (1 / (0.79 * log(re) - 1.64)) ** 2
        row("gnielinski", (re, pr), ht.conv_internal.turbulent_Gnielinski(Re=re, Pr=pr, fd=f))

SUBTYPES = ("crossflow, mixed Cmin", "crossflow, mixed Cmax")
NAMES = ("cross_mixed_min", "cross_mixed_max")
for ntu in (0.1, 0.5, 1, 2, 5):
    for ratio in (0.05, 0.25, 0.5, 0.75, 1.0):
        for subtype, name in zip(SUBTYPES, NAMES):
            row(name, (ntu, ratio), ht.effectiveness_from_NTU(NTU=ntu, Cr=ratio, subtype=subtype))

# Boiling of water: densities, viscosity, conductivity, heat capacity, heat of evaporation, surface tension as
# arguments, so that only the laws are compared.
for state in (
    (958.35, 0.59818, 2.8174e-4, 0.67909, 4215.7, 2.2565e6, 0.058912),
    (917.0, 2.5478, 1.8270e-4, 0.68207, 4309.7, 2.1138e6, 0.048741),
    (1000.0, 1.4, 5.0e-4, 0.42, 3700.0, 2.17e6, 0.046),
):
    rhol, rhog, mul, kl, cpl, hvap, sigma = state
    nucleate = ht.boiling_nucleic.Rohsenow(
        rhol=rhol, rhog=rhog, mul=mul, kl=kl, Cpl=cpl, Hvap=hvap, sigma=sigma, Te=1.0, Csf=0.0128, n=1.0
    )
    row("rohsenow", state, nucleate)
    row("zuber", state, ht.boiling_nucleic.Zuber(sigma=sigma, Hvap=hvap, rhol=rhol, rhog=rhog, K=0.131))
