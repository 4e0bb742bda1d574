"""Conversion factors from the general-purpose library pint, for every unit that has a size.

Run with Python 3 and pint 0.25.3: python units.py > ../units_pint.csv
"""

import pint

UREG = pint.UnitRegistry()

# symbol in our table -> (expression in pint, SI unit)
UNITS = {
    "mm": ("millimeter", "m"), "cm": ("centimeter", "m"), "km": ("kilometer", "m"),
    "µm": ("micrometer", "m"), "in": ("inch", "m"), "ft": ("foot", "m"), "yd": ("yard", "m"),
    "mi": ("mile", "m"), "cm²": ("cm**2", "m**2"), "mm²": ("mm**2", "m**2"),
    "in²": ("inch**2", "m**2"), "ft²": ("foot**2", "m**2"), "L": ("liter", "m**3"),
    "mL": ("milliliter", "m**3"), "gal": ("gallon", "m**3"), "qt": ("quart", "m**3"),
    "pt": ("pint", "m**3"), "fl oz": ("fluid_ounce", "m**3"), "ft³": ("foot**3", "m**3"),
    "in³": ("inch**3", "m**3"), "g": ("gram", "kg"), "t": ("metric_ton", "kg"),
    "lb": ("pound", "kg"), "oz": ("ounce", "kg"), "hPa": ("hectopascal", "Pa"),
    "kPa": ("kilopascal", "Pa"), "MPa": ("megapascal", "Pa"), "bar": ("bar", "Pa"),
    "mbar": ("millibar", "Pa"), "atm": ("atmosphere", "Pa"), "psi": ("psi", "Pa"),
    "mmHg": ("millimeter_Hg", "Pa"), "inHg": ("inch_Hg", "Pa"),
    "m³/min": ("m**3/minute", "m**3/s"), "m³/h": ("m**3/hour", "m**3/s"),
    "L/s": ("liter/second", "m**3/s"), "L/min": ("liter/minute", "m**3/s"),
    "L/h": ("liter/hour", "m**3/s"), "gpm": ("gallon/minute", "m**3/s"),
    "gph": ("gallon/hour", "m**3/s"), "cfm": ("foot**3/minute", "m**3/s"),
    "ft³/s": ("foot**3/second", "m**3/s"), "g/s": ("gram/second", "kg/s"),
    "kg/min": ("kg/minute", "kg/s"), "kg/h": ("kg/hour", "kg/s"),
    "lb/s": ("pound/second", "kg/s"), "lb/min": ("pound/minute", "kg/s"),
    "lb/h": ("pound/hour", "kg/s"), "mW": ("milliwatt", "W"), "kW": ("kilowatt", "W"),
    "MW": ("megawatt", "W"), "hp": ("horsepower", "W"),
    "Btu/min": ("Btu_it/minute", "W"), "Btu/h": ("Btu_it/hour", "W"),
    "Btu/s": ("Btu_it/second", "W"), "km/h": ("km/hour", "m/s"), "mph": ("mile/hour", "m/s"),
    "ft/s": ("foot/second", "m/s"), "ft/min": ("foot/minute", "m/s"),
    "rpm": ("revolution/minute", "rad/s"), "rev/s": ("revolution/second", "rad/s"),
    "°": ("degree", "rad"), "ms": ("millisecond", "s"), "min": ("minute", "s"),
    "h": ("hour", "s"), "%": ("percent", "dimensionless"),
    "g/cm³": ("gram/cm**3", "kg/m**3"), "g/L": ("gram/liter", "kg/m**3"),
    "lb/ft³": ("pound/foot**3", "kg/m**3"), "lb/gal": ("pound/gallon", "kg/m**3"),
    "lb/in³": ("pound/inch**3", "kg/m**3"), "kJ/K": ("kilojoule/kelvin", "J/K"),
    "MJ/K": ("megajoule/kelvin", "J/K"), "Btu/°F": ("Btu_it/delta_degF", "J/K"),
    "kJ/(kg·K)": ("kilojoule/kg/kelvin", "J/kg/K"),
    "Btu/(lb·°F)": ("Btu_it/pound/delta_degF", "J/kg/K"), "kW/K": ("kilowatt/kelvin", "W/K"),
    "Btu/(h·°F)": ("Btu_it/hour/delta_degF", "W/K"),
    "Btu/(min·°F)": ("Btu_it/minute/delta_degF", "W/K"),
    "kW/(m²·K)": ("kilowatt/m**2/kelvin", "W/m**2/K"),
    "Btu/(h·ft²·°F)": ("Btu_it/hour/foot**2/delta_degF", "W/m**2/K"),
    "Btu/(h·ft·°F)": ("Btu_it/hour/foot/delta_degF", "W/m/K"), "mV": ("millivolt", "V"),
    "kV": ("kilovolt", "V"), "mA": ("milliampere", "A"),
    "mΩ": ("milliohm", "ohm"), "kJ": ("kilojoule", "J"),
    "MJ": ("megajoule", "J"), "Wh": ("watt_hour", "J"), "kWh": ("kilowatt_hour", "J"),
    "Btu": ("Btu_it", "J"), "kJ/kg": ("kilojoule/kg", "J/kg"), "MJ/kg": ("megajoule/kg", "J/kg"),
    "Btu/lb": ("Btu_it/pound", "J/kg"), "mPa·s": ("millipascal*second", "Pa*s"),
    "cP": ("centipoise", "Pa*s"), "mm²/s": ("mm**2/second", "m**2/s"),
    "cSt": ("centistokes", "m**2/s"), "g/kWh": ("gram/kilowatt_hour", "kg/J"),
    "lb/(hp·h)": ("pound/horsepower/hour", "kg/J"),
}

print(f"# pint {pint.__version__}, by scripts/units.py: symbol,factor to SI")
for symbol, (expression, si) in UNITS.items():
    print(f"{symbol},{UREG.Quantity(1.0, expression).to(si).magnitude!r}")
