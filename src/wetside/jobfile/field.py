"""Field types of the job file: quantities in the job's units, names, references.

A quantity is a number in the job's unit system or text with its unit; either way the model holds an SI float. The
system arrives as the validation context. Every kind has bounds of reason, so that a slip such as ``1e300`` is said
here and not met as an overflow further down.
"""

import math
from difflib import get_close_matches
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from wetside.basis.quantity import UNITS, Kind, System, example, parse, show
from wetside.basis.record import record
from wetside.jobfile.values import said

# Largest magnitude that a house can need, SI. Common sense, no source.
_MOST: dict[Kind, float] = {
    Kind.LENGTH: 1e3, Kind.SIZE: 20.0, Kind.AREA: 1e5, Kind.ROOM_VOLUME: 1e6, Kind.WATER_VOLUME: 100.0, Kind.MASS: 1e5,
    Kind.TEMPERATURE: 250.0, Kind.DIFFERENCE: 250.0, Kind.POWER: 1e7, Kind.LINE_POWER: 1e5, Kind.CONDUCTANCE: 1e6,
    Kind.U_VALUE: 50.0, Kind.CONDUCTIVITY: 500.0, Kind.RESISTANCE: 100.0, Kind.LINE_LOSS: 10.0, Kind.PRESSURE: 1e7,
    Kind.HEAD: 1e7, Kind.GRADIENT: 1e6, Kind.SPEED: 50.0, Kind.MASS_FLOW: 1e3, Kind.FLOW: 1.0, Kind.KV: 1e4,
    Kind.AIR_CHANGE: 100.0, Kind.SHARE: 1.0, Kind.NUMBER: 1e6, Kind.ANGLE: 90.0, Kind.SURFACE: 1e3,
    Kind.FORCE: 1e6, Kind.MOMENT: 1e5, Kind.STRESS: 1e9,
}  # fmt: skip
_LEAST_POSITIVE = 1e-6
_COLDEST_C = -90.0


@record(kw_only=False)
class Quantity:
    """Annotation that reads one quantity.

    `positive`: more than nothing. `signed`: may be negative. `always`: the unit system of a bare number whatever the
    job's is, for a field whose own name says the unit.
    """

    kind: Kind
    positive: bool = False
    signed: bool = False
    least: float | None = None
    most: float | None = None
    always: System | None = None

    @property
    def low(self) -> float:
        if self.least is not None:
            return self.least
        if self.kind is Kind.TEMPERATURE:
            return _COLDEST_C
        if self.signed:
            return -_MOST[self.kind]
        return _LEAST_POSITIVE if self.positive else 0.0

    @property
    def high(self) -> float:
        return _MOST[self.kind] if self.most is None else self.most

    def read(self, value: object, info: core_schema.ValidationInfo[Any]) -> float:
        """The SI float, or a custom error that carries what is wrong and the remedy apart."""
        system = self.always or (info.context if isinstance(info.context, System) else System.METRIC)
        if isinstance(value, bool) or not isinstance(value, (int, float, str)):
            raise _fault(f"{said(value)} is not a {self.kind.value}", self.advice(system))
        if isinstance(value, str) and len(value) > 60:
            raise _fault(f"{said(value)} is not a {self.kind.value}", self.advice(system))
        try:
            number = parse(value, self.kind, system)
        except OverflowError:
            raise _fault(f"{said(value)} is too large", self.advice(system)) from None
        except ValueError as bad:
            wrong, _, remedy = str(bad).partition("; ")
            raise _fault(wrong, remedy or self.advice(system)) from None
        if number < self.low:
            if self.positive and self.low == _LEAST_POSITIVE:
                raise _fault(f"{said(value)} is too small: it must be more than nothing", self.advice(system))
            raise _fault(f"{said(value)} is less than {self._shown(self.low, system)}", self.advice(system))
        if number > self.high:
            remedy = f"at most {self._shown(self.high, system)}; {self._meant(value, system)}"
            raise _fault(f"{said(value)} is more than can be meant here", remedy)
        return number

    def _shown(self, number: float, system: System) -> str:
        return show(number, self.kind, system).replace("\u202f", " ") if number else "nothing"

    def _unit_advice(self, system: System) -> str:
        unit = UNITS[system][self.kind].text
        if self.kind is Kind.SHARE:
            return 'write a part of one, such as 0.15, or text such as "15 %"'
        return f"a bare number is in {unit}" if unit else "a number without a unit"

    def _meant(self, value: object, system: System) -> str:
        """The smaller unit that a bare number was thought in, if that fits; else the unit that it is in."""
        small = "in" if system is System.US else "mm"
        if self.kind is Kind.LENGTH and isinstance(value, (int, float)):
            meant = parse(f"{value:g} {small}", self.kind, system) if value < 1e6 else math.inf
            if 0.1 <= meant <= self.high:
                return f'{self._unit_advice(system)}: did you mean "{value:g} {small}"?'
        return self._unit_advice(system)

    def advice(self, system: System) -> str:
        if self.kind is Kind.SHARE:
            return self._unit_advice(system)
        if not UNITS[system][self.kind].text:
            return "write a number"
        return f'{self._unit_advice(system)}, or write text with a unit such as "{example(self.kind, system)}"'

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        found: dict[str, Any] = {"type": ["number", "string"], "x-quantity": self.kind.value}
        return found | ({"x-unit": UNITS[self.always][self.kind].text} if self.always else {})


def _fault(wrong: str, remedy: str) -> PydanticCustomError:
    return PydanticCustomError("wetside", "{wrong}", {"wrong": wrong, "remedy": remedy})


def _plain(value: str) -> str:
    if value != value.strip() or not value:
        raise _fault(f"{said(value)} is empty or has space at an end", "give it a name without space at its ends")
    if not value.isprintable():
        raise _fault(f"{said(value)} holds a character that can't be printed", "keep to letters, digits and signs")
    return value


def _reference(value: str) -> str:
    if "." in value:
        raise _fault(f'{said(value)} has a dot, and "name.port" is split at the dot', "leave the dot out of the name")
    return _plain(value)


def _picture(value: str) -> str:
    parts = value.split("/")
    plain = value.isprintable() and not any(
        p in ("", ".", "..") or p.startswith(".") or "\\" in p or ":" in p for p in parts
    )
    if not plain or value.rpartition(".")[2].casefold() not in ("png", "jpg", "jpeg", "webp"):
        raise _fault(f"{said(value)} is no picture in the job's folder", 'write a path such as "pictures/ground.jpg"')
    return value


Name = Annotated[str, Field(max_length=80), AfterValidator(_plain)]
"""A name of something that nothing but tables refer to (room, construction, storey)."""
RefName = Annotated[str, Field(max_length=80), AfterValidator(_reference)]
"""A name that runs refer to as ``name`` or ``name.port``, so without a dot."""
Text = Annotated[str, Field(max_length=2000)]
PictureFile = Annotated[str, Field(max_length=200), AfterValidator(_picture)]
"""A picture beside the job file or in a folder below it; paths that lead out of the job's folder are refused."""
Ref = Annotated[str, Field(max_length=170)]

Length = Annotated[float, Quantity(Kind.LENGTH, positive=True)]
OpeningSize = Annotated[float, Quantity(Kind.LENGTH, positive=True, most=12.0)]
"""Width or height of a window or door."""
RoomSize = Annotated[float, Quantity(Kind.LENGTH, positive=True, most=30.0)]
"""Of a room, or of what stands in it."""
AboveFloor = Annotated[float, Quantity(Kind.LENGTH, most=30.0)]
Coordinate = Annotated[float, Quantity(Kind.LENGTH, signed=True)]
Distance = Annotated[float, Quantity(Kind.LENGTH)]
Size = Annotated[float, Quantity(Kind.SIZE, positive=True)]
Gap = Annotated[float, Quantity(Kind.SIZE)]
Depth = Annotated[float, Quantity(Kind.SIZE, least=0.01, most=1.0)]
Area = Annotated[float, Quantity(Kind.AREA, positive=True)]
RoomVolume = Annotated[float, Quantity(Kind.ROOM_VOLUME, positive=True)]
WaterVolume = Annotated[float, Quantity(Kind.WATER_VOLUME)]
Mass = Annotated[float, Quantity(Kind.MASS)]
Temperature = Annotated[float, Quantity(Kind.TEMPERATURE)]
WaterTemperature = Annotated[float, Quantity(Kind.TEMPERATURE, least=1.0, most=120.0)]
AirTemperature = Annotated[float, Quantity(Kind.TEMPERATURE, least=-60.0, most=60.0)]
Excess = Annotated[float, Quantity(Kind.DIFFERENCE, least=1.0, most=150.0)]
Power = Annotated[float, Quantity(Kind.POWER, positive=True)]
Watts = Annotated[float, Quantity(Kind.POWER, always=System.METRIC)]
PowerOrNone = Annotated[float, Quantity(Kind.POWER)]
LinePower = Annotated[float, Quantity(Kind.LINE_POWER, positive=True)]
Conductance = Annotated[float, Quantity(Kind.CONDUCTANCE, positive=True)]
UValue = Annotated[float, Quantity(Kind.U_VALUE, positive=True)]
Allowance = Annotated[float, Quantity(Kind.U_VALUE)]
Conductivity = Annotated[float, Quantity(Kind.CONDUCTIVITY, least=1e-3)]
Resistance = Annotated[float, Quantity(Kind.RESISTANCE)]
LineLoss = Annotated[float, Quantity(Kind.LINE_LOSS, signed=True)]
Pressure = Annotated[float, Quantity(Kind.PRESSURE)]
Head = Annotated[float, Quantity(Kind.HEAD)]
Gradient = Annotated[float, Quantity(Kind.GRADIENT, positive=True)]
Speed = Annotated[float, Quantity(Kind.SPEED, positive=True)]
Flow = Annotated[float, Quantity(Kind.FLOW)]
Kv = Annotated[float, Quantity(Kind.KV, least=1e-4)]
AirChange = Annotated[float, Quantity(Kind.AIR_CHANGE)]
Share = Annotated[float, Quantity(Kind.SHARE)]
Ratio = Annotated[float, Quantity(Kind.NUMBER)]
Exponent = Annotated[float, Quantity(Kind.NUMBER, least=1.0, most=2.0)]
RunningSpeed = Annotated[float, Quantity(Kind.NUMBER, least=0.05, most=1.5)]
LossFactor = Annotated[float, Quantity(Kind.NUMBER, most=1e4)]
Pitch = Annotated[float, Quantity(Kind.ANGLE, most=80.0)]
Surface = Annotated[float, Quantity(Kind.SURFACE, positive=True)]

Point = Annotated[tuple[Coordinate, Coordinate], Field(strict=False)]
Position = Annotated[tuple[Coordinate, Coordinate, Coordinate], Field(strict=False)]


SIDES = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


@record(kw_only=False)
class WallWord:
    """Annotation that reads a wall of a room: an edge number from 1, a side, or (for openings) the roof."""

    roof: bool = False

    def read(self, value: object) -> int | str:
        words = (*SIDES, "roof") if self.roof else SIDES
        if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 999:
            return value
        if isinstance(value, str) and value in words:
            return value
        remedy = 'write the side that it faces, such as "south", or the number of the outline\'s edge, from 1'
        if isinstance(value, str) and (near := get_close_matches(value, words, n=1)):
            remedy = f'did you mean "{near[0]}"?'
        raise _fault(f"{said(value)} is no wall", remedy)

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        words = [*SIDES, "roof"] if self.roof else list(SIDES)
        return {"anyOf": [{"type": "integer", "minimum": 1}, {"enum": words}]}


Wall = Annotated[int | str, WallWord()]
WallOrRoof = Annotated[int | str, WallWord(roof=True)]


class Table(BaseModel):
    """One table of the job file."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, defer_build=True)
