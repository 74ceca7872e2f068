"""The gates for units."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.basis.quantity import (
    FOOT,
    INCH,
    Kind,
    System,
    accepted_units,
    convert,
    example,
    feet_inches,
    number_text,
    parse,
    show,
    tape,
)  # fmt: skip


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("3/4 in", 0.75 * INCH),
        ("1 1/2 in", 1.5 * INCH),
        ("1-1/2 in", 1.5 * INCH),
        ("12 ft 6 in", 12 * FOOT + 6 * INCH),
        ("12 ft 6 1/2 in", 12 * FOOT + 6.5 * INCH),
        ("12' 6\"", 12 * FOOT + 6 * INCH),
        ("350 mm", 0.35),
        ("-1.2 m", -1.2),
        ("−1.2 m", -1.2),
        (".5 m", 0.5),
        ("1 115 mm", 1.115),
        ("1\u00a0115 mm", 1.115),
        ("1\u2009115 mm", 1.115),
        ("1\u202f115\u202fmm", 1.115),
        ("−12 345 678.5 mm", -12345.6785),
        ("1 115/128 in", (1 + 115 / 128) * INCH),
    ],
)
def test_lengths_as_people_write_them(text: str, metres: float) -> None:
    assert parse(text, Kind.LENGTH, System.METRIC) == pytest.approx(metres, rel=1e-12)


@given(st.floats(0.0, 9e5), st.integers(0, 3))
def test_a_printed_number_can_be_typed_in_again(metres: float, places: int) -> None:
    shown = show(metres, Kind.LENGTH, System.METRIC, places)
    assert parse(shown, Kind.LENGTH, System.METRIC) == pytest.approx(metres, abs=0.51 * 10.0**-places)


@given(st.floats(0.001, 90.0), st.sampled_from(list(System)))
def test_a_length_for_the_tape_can_be_typed_in_again(metres: float, system: System) -> None:
    assert parse(tape(metres, system), Kind.LENGTH, system) == pytest.approx(metres, abs=0.51 * INCH / 16)


@pytest.mark.parametrize(
    ("value", "kind", "message"),
    [
        ("1 15 mm", Kind.LENGTH, "does not fit a length"),
        ("1 1155 mm", Kind.LENGTH, "does not fit a length"),
        ("1111 115 mm", Kind.LENGTH, "does not fit a length"),
        ("12", Kind.LENGTH, "has no unit"),
        ("12 kg", Kind.LENGTH, "does not fit a length"),
        ("warm", Kind.TEMPERATURE, "is not a temperature"),
        ("1/0 in", Kind.LENGTH, "divides by zero"),
        (math.inf, Kind.POWER, "finite"),
        (math.nan, Kind.POWER, "finite"),
        ("1e999 W", Kind.POWER, "too large"),
        ("", Kind.POWER, "is not a power"),
    ],
)
def test_what_is_refused_says_what_would_be_right(value: float | str, kind: Kind, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        parse(value, kind, System.METRIC)


def test_bare_numbers_have_the_unit_of_the_job() -> None:
    assert parse(70, Kind.TEMPERATURE, System.METRIC) == 70
    assert parse(158, Kind.TEMPERATURE, System.US) == pytest.approx(70)
    assert parse(22, Kind.SIZE, System.METRIC) == pytest.approx(0.022)
    assert parse(1, Kind.SIZE, System.US) == pytest.approx(INCH)
    assert parse(0.15, Kind.SHARE, System.METRIC) == 0.15
    assert parse("15 %", Kind.SHARE, System.METRIC) == 0.15


@given(st.sampled_from(list(Kind)), st.sampled_from(list(System)), st.floats(-1e6, 1e6))
def test_out_and_in_again(kind: Kind, system: System, value: float) -> None:
    shown = convert(value, kind, system)
    back = value if kind is Kind.SHARE else parse(shown, kind, system)
    assert back == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.sampled_from(list(Kind)), st.text(max_size=30))
def test_any_text_is_a_number_or_a_clear_refusal(kind: Kind, text: str) -> None:
    try:
        assert math.isfinite(parse(text, kind, System.METRIC))
    except ValueError as error:
        assert str(error)


@pytest.mark.parametrize("kind", list(Kind))
@pytest.mark.parametrize("system", list(System))
def test_the_example_in_a_message_is_itself_right(kind: Kind, system: System) -> None:
    text = example(kind, system)
    assert math.isfinite(parse(text, kind, system) if kind is not Kind.NUMBER else float(text))
    assert isinstance(accepted_units(kind), tuple)


def test_numbers_for_people() -> None:
    assert number_text(-0.001, 2) == "0.00"
    assert number_text(-1.5, 1) == "−1.5"
    assert number_text(12345.6, 0) == "12\u202f346"
    assert show(1.126, Kind.SPEED, System.METRIC) == "1.13 m/s"
    assert show(70, Kind.TEMPERATURE, System.US) == "158 °F"
    assert show(0.151, Kind.SHARE, System.METRIC) == "15 %"


@pytest.mark.parametrize(
    ("metres", "text"),
    [
        (0.0, "0 in"),
        (12 * FOOT + 6.5 * INCH, "12 ft 6 1/2 in"),
        (INCH / 16, "1/16 in"),
        (-FOOT, "−1 ft"),
        (11.999 * INCH, "1 ft"),
    ],
)
def test_tape(metres: float, text: str) -> None:
    assert feet_inches(metres) == text
    assert tape(0.35, System.METRIC) == "350 mm"
