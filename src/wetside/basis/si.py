"""Names for plain SI floats.

Every number inside wetside is a float in the unit that its alias names; `Annotated` costs nothing at run time.
A temperature level is in degrees Celsius, a temperature difference in kelvin, an angle in degrees.
"""

from typing import Annotated

Metre = Annotated[float, "m"]
SquareMetre = Annotated[float, "m2"]
CubicMetre = Annotated[float, "m3"]
Kilogram = Annotated[float, "kg"]
Celsius = Annotated[float, "degC"]
Kelvin = Annotated[float, "K"]
Watt = Annotated[float, "W"]
WattPerK = Annotated[float, "W/K"]
WattPerM2K = Annotated[float, "W/(m2 K)"]
WattPerMK = Annotated[float, "W/(m K)"]
M2KPerWatt = Annotated[float, "m2 K/W"]
Pascal = Annotated[float, "Pa"]
PascalPerMetre = Annotated[float, "Pa/m"]
PascalSecond = Annotated[float, "Pa s"]
MetrePerSecond = Annotated[float, "m/s"]
Newton = Annotated[float, "N"]
NewtonMetre = Annotated[float, "N m"]
PerKelvin = Annotated[float, "1/K"]
KgPerSecond = Annotated[float, "kg/s"]
KgPerM3 = Annotated[float, "kg/m3"]
JoulePerKgK = Annotated[float, "J/(kg K)"]
M3PerSecond = Annotated[float, "m3/s"]
PerHour = Annotated[float, "1/h"]
KvM3PerHour = Annotated[float, "m3/h at 1 bar"]
Degree = Annotated[float, "deg"]
Ratio = Annotated[float, "1"]
