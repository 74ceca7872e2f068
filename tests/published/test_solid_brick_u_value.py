"""Web page "Wall U-values" (conserveandsave.co.uk): solid brick, two leaves of 102 mm, rendered and plastered.

The page prints R 0.54 and U 1.85 = 1/0.54 of the rounded figure."""

from wetside.house.spec import Construction, Faces, Layer, Part
from wetside.house.uvalue import construction_u

WALL = Construction(
    name="solid brick",
    layers=(
        Layer(material="dense plaster", thickness_m=0.013, conductivity_w_mk=0.57),
        Layer(material="brick, inner leaf", thickness_m=0.102, conductivity_w_mk=0.56),
        Layer(material="brick, outer leaf", thickness_m=0.102, conductivity_w_mk=0.77),
        Layer(material="render", thickness_m=0.018, conductivity_w_mk=0.50),
    ),
)


def test_resistance() -> None:
    assert round(1 / construction_u(WALL, Part.WALL, Faces.OUTSIDE), 2) == 0.54


def test_u_value_of_the_rounded_resistance() -> None:
    assert round(1 / round(1 / construction_u(WALL, Part.WALL, Faces.OUTSIDE), 2), 2) == 1.85
