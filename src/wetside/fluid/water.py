"""Water, and inhibited propylene glycol in water, as the circuits carry it.

Properties are read off shipped tables on a 1 K grid (IAPWS formulations for water, the ASHRAE table for glycol).
Below 0 °C and above the table's end (120 °C for water, 100 °C for glycol) density, viscosity, heat capacity and
conductivity keep their end values; enthalpy goes on with the end's heat capacity, so that it can always be inverted.
Pressure is taken as 3 bar absolute: between 1 and 5 bar no property of water moves by more than 0.03 %.
"""

import math
from functools import cache
from typing import overload

import numpy as np
from numpy.typing import NDArray

from wetside.basis.errors import TableProblem
from wetside.basis.record import record
from wetside.basis.si import Celsius, JoulePerKgK, KgPerM3, Pascal, PascalSecond, Ratio, WattPerMK
from wetside.basis.tables import Table, load, number

Floats = NDArray[np.float64]

LEAST_GLYCOL = 0.1
MOST_GLYCOL = 0.5


@record(kw_only=False, eq=False)
class Liquid:
    """One circuit's liquid. Every method takes a float or an array, and answers in kind.

    Two liquids are the same thing only when `liquid` handed out the same object.
    """

    glycol_share: Ratio
    """Volume share of inhibited propylene glycol; 0 for plain water."""
    most_c: Celsius
    """Where the table ends."""
    _density: Floats
    _log_viscosity: Floats
    _heat_capacity: Floats
    _conductivity: Floats
    _enthalpy: Floats
    _rise: Floats
    """Of the heat capacity, from each place of the grid to the next."""

    @overload
    def density(self, t_c: Celsius) -> KgPerM3: ...
    @overload
    def density(self, t_c: Floats) -> Floats: ...
    def density(self, t_c: Celsius | Floats) -> KgPerM3 | Floats:
        """Density [kg/m3] at a temperature [°C]."""
        return _answer(_read(self._density, t_c), t_c)

    @overload
    def viscosity(self, t_c: Celsius) -> PascalSecond: ...
    @overload
    def viscosity(self, t_c: Floats) -> Floats: ...
    def viscosity(self, t_c: Celsius | Floats) -> PascalSecond | Floats:
        """Dynamic viscosity [Pa s] at a temperature [°C]; its logarithm is interpolated."""
        return _answer(np.exp(_read(self._log_viscosity, t_c)), t_c)

    @overload
    def heat_capacity(self, t_c: Celsius) -> JoulePerKgK: ...
    @overload
    def heat_capacity(self, t_c: Floats) -> Floats: ...
    def heat_capacity(self, t_c: Celsius | Floats) -> JoulePerKgK | Floats:
        """Heat capacity at constant pressure [J/(kg K)] at a temperature [°C]."""
        return _answer(_read(self._heat_capacity, t_c), t_c)

    @overload
    def conductivity(self, t_c: Celsius) -> WattPerMK: ...
    @overload
    def conductivity(self, t_c: Floats) -> Floats: ...
    def conductivity(self, t_c: Celsius | Floats) -> WattPerMK | Floats:
        """Thermal conductivity [W/(m K)] at a temperature [°C]."""
        return _answer(_read(self._conductivity, t_c), t_c)

    @overload
    def enthalpy(self, t_c: Celsius) -> float: ...
    @overload
    def enthalpy(self, t_c: Floats) -> Floats: ...
    def enthalpy(self, t_c: Celsius | Floats) -> float | Floats:
        """Heat held above 0 °C [J/kg]: the exact integral of `heat_capacity`, so that heat balances close."""
        t = np.asarray(t_c, dtype=np.float64)
        cell = _cell(t, self._enthalpy.size)
        into = t - cell
        cp, slope = self._heat_capacity[cell], self._rise[cell]
        inside = np.minimum(np.maximum(into, 0.0), 1.0)
        beyond = (into - inside) * (cp + slope * inside)
        return _answer(self._enthalpy[cell] + inside * (cp + 0.5 * slope * inside) + beyond, t_c)

    @overload
    def temperature(self, enthalpy_j_kg: float) -> Celsius: ...
    @overload
    def temperature(self, enthalpy_j_kg: Floats) -> Floats: ...
    def temperature(self, enthalpy_j_kg: float | Floats) -> Celsius | Floats:
        """Temperature [°C] at which the liquid holds this heat [J/kg]: the inverse of `enthalpy`."""
        h = np.asarray(enthalpy_j_kg, dtype=np.float64)
        found = np.searchsorted(self._enthalpy, h, side="right") - 1
        cell = np.minimum(np.maximum(found, 0), self._enthalpy.size - 2)
        cp, slope = self._heat_capacity[cell], self._rise[cell]
        low = self._enthalpy[cell]
        rest = h - low
        inside = np.minimum(np.maximum(rest, 0.0), self._enthalpy[cell + 1] - low)
        into = 2.0 * inside / (cp + np.sqrt(cp * cp + 2.0 * slope * inside))
        beyond = (rest - inside) / (cp + slope * into)
        return _answer(cell + into + beyond, enthalpy_j_kg)

    def moving(self, t_c: Floats) -> tuple[Floats, Floats, Floats]:
        """Density, viscosity, and by how much density changes per kelvin [kg/(m3 K)], read in one go."""
        t = np.minimum(np.maximum(t_c, 0.0), self._density.size - 1.0)
        cell = np.minimum(t, self._density.size - 2.0).astype(np.int64)
        into = t - cell
        low, thin = self._density[cell], self._log_viscosity[cell]
        slope = self._density[cell + 1] - low
        return low + into * slope, np.exp(thin + into * (self._log_viscosity[cell + 1] - thin)), slope

    def grids(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Density, log of viscosity, heat capacity and enthalpy at 0, 1, 2 … °C, for code that reads them itself."""
        return self._density, self._log_viscosity, self._heat_capacity, self._enthalpy


def _answer(values: Floats, like: float | Floats) -> float | Floats:
    return values if isinstance(like, np.ndarray) else float(values)


def _cell(t: Floats, size: int) -> NDArray[np.int64]:
    """Grid cell that a temperature falls in; the grid starts at 0 °C and steps by 1 K."""
    return np.minimum(np.maximum(t, 0.0), size - 2.0).astype(np.int64)


def _read(grid: Floats, t_c: float | Floats) -> Floats:
    t = np.minimum(np.maximum(np.asarray(t_c, dtype=np.float64), 0.0), grid.size - 1.0)
    cell = np.minimum(t, grid.size - 2.0).astype(np.int64)
    low = grid[cell]
    return low + (t - cell) * (grid[cell + 1] - low)


def _column(table: Table, name: str) -> Floats:
    return np.array([number(row, name) for row in table.rows])


def _make(share: Ratio, columns: list[Floats]) -> Liquid:
    density, log_viscosity, heat_capacity, conductivity = columns
    steps = 0.5 * (heat_capacity[1:] + heat_capacity[:-1])
    enthalpy = np.concatenate([[0.0], np.cumsum(steps)])
    for grid in (*columns, enthalpy):
        grid.flags.writeable = False
    rise = np.diff(heat_capacity)
    return Liquid(share, float(density.size - 1), density, log_viscosity, heat_capacity, conductivity, enthalpy, rise)


def _columns(table: Table) -> list[Floats]:
    viscosity = np.log(_column(table, "viscosity"))
    return [_column(table, "density"), viscosity, _column(table, "heat_capacity"), _column(table, "conductivity")]


def liquid(glycol_share: Ratio = 0.0) -> Liquid:
    """The liquid with this volume share of inhibited propylene glycol; each is made once.

    Between the shares of the table (0.1, 0.2, … 0.5) properties are interpolated linearly, viscosity by its logarithm.

    :param glycol_share: 0 for water, else 0.1 to 0.5
    :raises ValueError: a share that the table does not reach
    """
    return _liquid(float(glycol_share))


@cache
def _liquid(glycol_share: Ratio) -> Liquid:
    if glycol_share == 0.0:
        table = load("water")
        if not np.array_equal(_column(table, "temperature"), np.arange(len(table.rows))):
            raise TableProblem("table 'water' must start at 0 °C and step by 1 K")
        return _make(0.0, _columns(table))
    if not LEAST_GLYCOL <= glycol_share <= MOST_GLYCOL:
        raise ValueError(
            f"glycol share {glycol_share:.0%} is outside the table: use 0 % for plain water, "
            f"or {LEAST_GLYCOL:.0%} to {MOST_GLYCOL:.0%} by volume (below 10 % inhibitors don't protect)"
        )
    table = load("glycol")
    shares = np.unique(_column(table, "share"))
    per_share = len(table.rows) // shares.size
    temperatures = np.tile(np.arange(per_share), shares.size)
    if not (
        np.array_equal(_column(table, "temperature"), temperatures)
        and np.array_equal(_column(table, "share"), np.repeat(shares, per_share))
    ):
        raise TableProblem("table 'glycol' must hold every share in turn, each from 0 °C by 1 K")
    at = int(np.clip(np.searchsorted(shares, glycol_share, side="right") - 1, 0, shares.size - 2))
    weight = (glycol_share - shares[at]) / (shares[at + 1] - shares[at])
    blocks = [column.reshape(shares.size, per_share) for column in _columns(table)]
    return _make(glycol_share, [(1.0 - weight) * b[at] + weight * b[at + 1] for b in blocks])


@cache
def _log_vapour() -> Floats:
    return np.log(_column(load("water"), "vapour"))


def vapour_pressure(t_c: Celsius) -> Pascal:
    """Absolute pressure [Pa] at which water boils at a temperature [°C], 0 to 120 °C; end values beyond.

    Glycol lowers it, so for a mixture this is on the safe side.
    """
    return float(np.exp(_read(_log_vapour(), t_c)))


def boiling_temperature(pressure_pa: Pascal) -> Celsius:
    """Temperature [°C] at which water boils at an absolute pressure [Pa]: the inverse of `vapour_pressure`.

    :raises ValueError: outside 0 to 120 °C
    """
    grid = _log_vapour()
    wanted = math.log(pressure_pa) if pressure_pa > 0.0 else -math.inf
    if not float(grid[0]) <= wanted <= float(grid[-1]):
        raise ValueError(f"{pressure_pa:.0f} Pa is outside the vapour pressures from 0 to 120 °C")
    return float(np.interp(wanted, grid, np.arange(grid.size, dtype=np.float64)))
