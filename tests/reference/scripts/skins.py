"""Reference values for air that rises along hoses and walls, or blows across them.

Computed with ht 1.2.0 (an open-source library of published correlations): Nu_horizontal_cylinder_Churchill_Chu,
Nu_vertical_plate_Churchill, Nu_cylinder_Churchill_Bernstein, and Nu_horizontal_plate_laminar_Baehr with Nu_horizontal_plate_turbulent_Schlichting.
Run:  python -m venv venv && venv/bin/pip install ht==1.2.0
      venv/bin/python -P skins.py > ../skins.csv
Each line: law, arguments separated by blanks, value.
"""

import ht

print("# law,arguments,value; ht", ht.__version__)


def row(law, args, value):
    print(f"{law},{' '.join(repr(float(a)) for a in args)},{float(value)!r}")


for prandtl in (0.69, 0.71, 0.75):
    for rayleigh in (1e-2, 1.0, 1e3, 1e5, 1e7, 1e9, 1e11):
        grashof = rayleigh / prandtl
        value = ht.conv_free_immersed.Nu_horizontal_cylinder_Churchill_Chu(Pr=prandtl, Gr=grashof)
        row("rising_round", (rayleigh, prandtl), value)
        value = ht.conv_free_immersed.Nu_vertical_plate_Churchill(Pr=prandtl, Gr=grashof)
        row("rising_wall", (rayleigh, prandtl), value)
    for reynolds in (1.0, 50.0, 3e3, 4e4, 2.5e5, 1e6):
        value = ht.conv_external.Nu_cylinder_Churchill_Bernstein(Re=reynolds, Pr=prandtl)
        row("blown_round", (reynolds, prandtl), value)
    # Both at once, as Gnielinski joins them.
    for reynolds in (100.0, 1e4, 3e5, 5e6):
        laminar = ht.conv_external.Nu_horizontal_plate_laminar_Baehr(reynolds, prandtl)
        turbulent = ht.conv_external.Nu_horizontal_plate_turbulent_Schlichting(reynolds, prandtl)
        row("blown_wall", (reynolds, prandtl), (laminar**2 + turbulent**2) ** 0.5)
