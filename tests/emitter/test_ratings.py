"""Builders of ratings: what they make, what they refuse, what they say of it."""

import pytest

from wetside.basis.quantity import FOOT, INCH, System
from wetside.emitter.law import output, output_from_excess
from wetside.emitter.ratings import (
    EDR_EXCESS_K,
    METALLIC_PAINT,
    baseboard_rating,
    edr_rating,
    panel_rating,
    sections_rating,
    styles,
    surface_rating,
    towel_rail_rating,
)  # fmt: skip


def test_sections_add_up() -> None:
    rated = sections_rating(14, 108.0, water_per_section_m3=1.1e-3, mass_per_section_kg=6.3)
    assert rated.rated_w == pytest.approx(14 * 108.0)
    assert (rated.rated_excess_k, rated.exponent, rated.sections) == (pytest.approx(49.8329, abs=1e-4), 1.3, 14)
    assert rated.water_m3 == pytest.approx(15.4e-3)
    assert rated.mass_kg == pytest.approx(88.2)
    assert rated.content_stated


def test_sections_without_contents_are_estimated_and_say_so() -> None:
    rated = sections_rating(14, 108.0)
    assert not rated.content_stated
    # 40 % either way of the known 1.1 l and 6.3 to 9 kg per section
    assert 0.6 < rated.water_m3 / 15.4e-3 < 1.4
    assert 14 * 6.3 * 0.6 < rated.mass_kg < 14 * 9.0 * 1.4


def test_same_radiator_by_sections_and_by_surface() -> None:
    by_surface = edr_rating("5-tube", 26 * INCH, 10)
    at_50 = output_from_excess(by_surface.rated_w, EDR_EXCESS_K, 1.3, 50.0)
    by_sections = sections_rating(10, at_50 / 10)
    assert output_from_excess(by_sections.rated_w, 50.0, 1.3, 30.0) == pytest.approx(
        output_from_excess(by_surface.rated_w, EDR_EXCESS_K, 1.3, 30.0), rel=1e-12
    )
    assert by_sections.water_m3 == pytest.approx(by_surface.water_m3, rel=1e-12)


def test_metallic_paint_takes_its_share_and_is_noted() -> None:
    plain, painted = edr_rating("3-column", 38 * INCH, 8), edr_rating("3-column", 38 * INCH, 8, metallic_paint=True)
    assert painted.rated_w == pytest.approx(plain.rated_w * METALLIC_PAINT)
    assert "metallic paint" in painted.rating_note
    assert "metallic" not in plain.rating_note
    assert sections_rating(8, 100.0, metallic_paint=True).rated_w == pytest.approx(800.0 * METALLIC_PAINT)


def test_old_columns_hold_more_water_than_tubes() -> None:
    column, tube = edr_rating("4-column", 26 * INCH, 5), edr_rating("7-tube", 20 * INCH, 1)
    assert column.water_m3 / column.surface_m2 > tube.water_m3 / tube.surface_m2


def test_wall_radiators_have_no_height() -> None:
    assert edr_rating("wall 9-A", 0.0, 3).surface_m2 == pytest.approx(27 * FOOT**2)


@pytest.mark.parametrize("height_mm", [648.0, 660.4, 673.0])
def test_height_is_met_within_half_an_inch(height_mm: float) -> None:
    assert edr_rating("5-tube", height_mm / 1000, 1).surface_m2 == pytest.approx(3.5 * FOOT**2)


def test_unknown_height_names_the_known_ones() -> None:
    with pytest.raises(ValueError, match=r"27\.6 in high; known heights: 20 in, 23 in, 26 in, 32 in, 38 in"):
        edr_rating("5-tube", 0.7, 4)
    with pytest.raises(ValueError, match="700 mm high; known heights: 508 mm"):
        edr_rating("5-tube", 0.7, 4, system=System.METRIC)


def test_unknown_type_names_the_nearest() -> None:
    with pytest.raises(ValueError, match='did you mean "5-tube"'):
        edr_rating("5 tube", 26 * INCH, 4)
    with pytest.raises(ValueError, match="known: "):
        edr_rating("xylophone", 26 * INCH, 4)


def test_every_type_can_be_rated() -> None:
    assert len(styles()) == 4 + 1 + 4 + 1 + 5
    for style in styles():
        heights = [h for h in range(13, 46) if _rates(style, h)]
        assert heights, style


def _rates(style: str, inches: int) -> bool:
    try:
        return edr_rating(style, inches * INCH, 1).rated_w > 0.0
    except ValueError:
        return False


def test_baseboard_at_its_own_point_gives_its_own_figure() -> None:
    rated = baseboard_rating(2.4, 545.0, 82.2, air_c=18.3)
    assert output_from_excess(rated.rated_w, rated.rated_excess_k, rated.exponent, 82.2 - 18.3) == pytest.approx(
        2.4 * 545.0
    )


def test_heating_effect_is_divided_out() -> None:
    assert baseboard_rating(1.0, 575.0, 80.0, heating_effect=1.15).rated_w == pytest.approx(500.0)


def test_baseboard_needs_water_warmer_than_air() -> None:
    with pytest.raises(ValueError, match="needs air colder"):
        baseboard_rating(1.0, 500.0, 15.0)


def test_panel_contents_grow_with_panels() -> None:
    one, two, three = (panel_rating(1000.0, length_m=1.0, height_m=0.6, panels=p) for p in (1, 2, 3))
    assert one.water_m3 < two.water_m3 < three.water_m3
    assert one.mass_kg < two.mass_kg < three.mass_kg
    stated = panel_rating(1000.0, length_m=1.0, height_m=0.6, water_m3=4e-3, mass_kg=30.0)
    assert (stated.water_m3, stated.mass_kg, stated.content_stated) == (4e-3, 30.0, True)


def test_panel_count_is_checked() -> None:
    with pytest.raises(ValueError, match="1, 2 or 3"):
        panel_rating(1000.0, length_m=1.0, height_m=0.6, panels=4)


def test_towel_rail_says_bare() -> None:
    rated = towel_rail_rating(550.0, length_m=0.5, height_m=1.2)
    assert (rated.rated_w, rated.exponent) == (550.0, 1.25)
    assert "without towels" in rated.rating_note


def test_all_wrong_numbers_are_named_at_once() -> None:
    with pytest.raises(ValueError, match="sections 0, output -5"):
        sections_rating(0, -5.0)
    with pytest.raises(ValueError, match="surface 0"):
        surface_rating(0.0)


def test_at_the_rating_point_an_emitter_gives_what_its_sheet_says() -> None:
    """EN 442: 75/65/20 °C. The water that carries 1000 W with 10 K of drop must come back at 65 °C."""
    rated = panel_rating(1000.0, length_m=1.0, height_m=0.6, exponent=1.33)
    at_work = output(rated.rated_w, rated.rated_excess_k, rated.exponent, 100.0, 75.0, 20.0)
    assert at_work.output_w == pytest.approx(1000.0, abs=1e-6)
    assert at_work.return_c == pytest.approx(65.0, abs=1e-9)
