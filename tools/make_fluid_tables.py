"""Writes the shipped tables of water and glycol from CoolProp: `python tools/make_fluid_tables.py`.

The tables keep CoolProp out of the run-time dependencies. Run again only to change the range or the grid.
"""

import hashlib
from pathlib import Path

import CoolProp
from CoolProp.CoolProp import PropsSI

DATA = Path(__file__).parent.parent / "src" / "wetside" / "basis" / "data"
PRESSURE_PA = 3.0e5
KELVIN_0C = 273.15
TYPED = "2026-11-25"


def row(fluid: str, t_c: float) -> list[str]:
    """Density, viscosity, heat capacity, conductivity of a liquid at one temperature."""
    kelvin = max(t_c + KELVIN_0C, KELVIN_0C + 1e-6)  # the freezing line itself is no single state
    values = [PropsSI(key, "T", kelvin, "P", PRESSURE_PA, fluid) for key in ("D", "V", "C", "L")]
    return [f"{v:.9g}" for v in values]


def vapour_pressure(t_c: float) -> float:
    """Of water; the hundredth of a kelvin under the triple point is drawn on from just above it."""
    triple, step = 273.16, 0.01
    kelvin = t_c + KELVIN_0C
    if kelvin >= triple:
        return PropsSI("P", "T", kelvin, "Q", 0, "Water")
    at, above = (PropsSI("P", "T", k, "Q", 0, "Water") for k in (triple, triple + step))
    return at * (at / above) ** ((triple - kelvin) / step)


def write(name: str, head: str, rows: list[str], title: str, reach: str) -> None:
    text = "\n".join([head, *rows]) + "\n"
    (DATA / f"{name}.csv").write_text(text, encoding="utf-8", newline="\n")
    digest = hashlib.sha256(text.encode()).hexdigest()
    about = (
        f'title = "{title}"\nrange = "{reach}"\ninterpolation = "linear"\ntyped_by = "wetside"\n'
        f'date = {TYPED}\ntool = "CoolProp {CoolProp.__version__}"\nsha256 = "{digest}"\n'
    )
    (DATA / f"{name}.toml").write_text(about, encoding="utf-8", newline="\n")


def main() -> None:
    columns = "density_kg_m3,viscosity_pa_s,heat_capacity_j_kgk,conductivity_w_mk"
    water = [",".join([str(t), *row("Water", t), f"{vapour_pressure(t):.9g}", "coolprop-water"]) for t in range(121)]
    write(
        "water",
        f"temperature_c,{columns},vapour_pa,source",
        water,
        "Water at 3 bar absolute, and its vapour pressure",
        "0 to 120 °C",
    )
    glycol = [
        ",".join([f"{share / 10:.1f}", str(t), *row(f"INCOMP::APG[{share / 10:.1f}]", t), "coolprop-apg"])
        for share in range(1, 6)
        for t in range(101)
    ]
    write(
        "glycol",
        f"share_ratio,temperature_c,{columns},source",
        glycol,
        "Inhibited propylene glycol in water, by volume share",
        "shares 0.1 to 0.5, 0 to 100 °C",
    )


if __name__ == "__main__":
    main()
