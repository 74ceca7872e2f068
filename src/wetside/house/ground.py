"""Heat through the ground: steady transmittances of ISO 13370 and the design-day factors of EN 12831.

Perimeter P and area A are those of the whole heated ground floor: two rooms side by side share one B'. P counts the
edges towards outside and towards unheated rooms. All formulas hold for λ of the ground about 1.5 to 3.5 W/(m K).
"""

import math

from wetside.basis.si import Celsius, M2KPerWatt, Metre, Ratio, SquareMetre, WattPerM2K, WattPerMK

RSI_DOWN: M2KPerWatt = 0.17
RSI_WALL: M2KPerWatt = 0.13
RSE: M2KPerWatt = 0.04

F_G1: Ratio = 1.45
"""Allowance for the year's swing of the ground's temperature (EN 12831:2003, annex D, from memory)."""


def characteristic_dimension(area_m2: SquareMetre, perimeter_m: Metre) -> Metre:
    """B' = A / (P/2), m (ISO 13370, 8.1)."""
    return area_m2 / (0.5 * perimeter_m)


def floor_thickness(wall_m: Metre, ground_w_mk: WattPerMK, floor_r: M2KPerWatt) -> Metre:
    """d_t = w + λ (R_si + R_f + R_se): the floor as a thickness of ground, m (ISO 13370, slab on ground)."""
    return wall_m + ground_w_mk * (RSI_DOWN + floor_r + RSE)


def wall_thickness(ground_w_mk: WattPerMK, wall_r: M2KPerWatt) -> Metre:
    """d_w = λ (R_si + R_w + R_se): a basement wall as a thickness of ground, m (ISO 13370, basement; from memory)."""
    return ground_w_mk * (RSI_WALL + wall_r + RSE)


def slab_u(b_m: Metre, dt_m: Metre, ground_w_mk: WattPerMK, depth_m: Metre = 0.0) -> WattPerM2K:
    """U of a floor on the ground, or of a basement floor `depth_m` below ground, W/(m2 K).

    d = d_t + z/2. Little insulation, d < B': U = 2λ/(πB' + d) ln(πB'/d + 1); much, d ≥ B': U = λ/(0.457 B' + d)
    (ISO 13370, slab on ground and basement floor).
    """
    d = dt_m + 0.5 * depth_m
    if d < b_m:
        return 2 * ground_w_mk / (math.pi * b_m + d) * math.log(math.pi * b_m / d + 1)
    return ground_w_mk / (0.457 * b_m + d)


def basement_wall_u(depth_m: Metre, dw_m: Metre, dt_m: Metre, ground_w_mk: WattPerMK) -> WattPerM2K:
    """U of the part of a wall that stands in the ground down to `depth_m`, W/(m2 K).

    U = 2λ/(πz) (1 + 0.5 d/(d + z)) ln(z/d_w + 1) with d = min(d_t, d_w) (ISO 13370, basement wall; from memory).
    """
    d = min(dt_m, dw_m)
    return 2 * ground_w_mk / (math.pi * depth_m) * (1 + 0.5 * d / (d + depth_m)) * math.log(depth_m / dw_m + 1)


def edge_psi(reach_m: Metre, dt_m: Metre, edge_r: M2KPerWatt, ground_w_mk: WattPerMK, *, upright: bool) -> WattPerMK:
    """Linear transmittance of insulation along the edge of a slab, W/(m K); never above 0.

    Δψ = −λ/π [ln(D/d_t + 1) − ln(D/(d_t + d') + 1)], d' = λ R, D the width of a level strip or twice the depth of an
    upright one (ISO 13370, annex on edge insulation). The slab's U changes by Δψ P/A.
    """
    d = 2 * reach_m if upright else reach_m
    extra = ground_w_mk * edge_r
    return -ground_w_mk / math.pi * (math.log(d / dt_m + 1) - math.log(d / (dt_m + extra) + 1))


def crawl_air_u(
    b_m: Metre, height_m: Metre, wall_u: WattPerM2K, vents_m2_m: float, wind_m_s: float, wind_factor: float
) -> WattPerM2K:
    """U_x of a crawl space's wall and ventilation per floor area: 2 h U_w/B' + 1450 ε v f_w/B' (ISO 13370, suspended
    floor; from memory)."""
    return 2 * height_m * wall_u / b_m + 1450 * vents_m2_m * wind_m_s * wind_factor / b_m


def crawl_ground_u(b_m: Metre, wall_m: Metre, ground_w_mk: WattPerMK, base_r: M2KPerWatt = 0.0) -> WattPerM2K:
    """U_g of the ground under a crawl space: 2λ/(πB' + d_g) ln(πB'/d_g + 1) (ISO 13370, suspended floor)."""
    d = floor_thickness(wall_m, ground_w_mk, base_r)
    return 2 * ground_w_mk / (math.pi * b_m + d) * math.log(math.pi * b_m / d + 1)


def suspended_u(floor_r: M2KPerWatt, ground_u: WattPerM2K, air_u: WattPerM2K) -> WattPerM2K:
    """U of a floor over a crawl space: 1/U = 1/U_f + 1/(U_g + U_x), U_f with R_si 0.17 on both faces (ISO 13370)."""
    return 1 / (2 * RSI_DOWN + floor_r + 1 / (ground_u + air_u))


def mean_factor(inside_c: Celsius, mean_c: Celsius, outside_c: Celsius) -> Ratio:
    """f_g2 = (θ_int − θ_m,e)/(θ_int − θ_e): the ground answers to the year's mean (EN 12831:2003, 7.1.3)."""
    return (inside_c - mean_c) / (inside_c - outside_c)


def water_factor(groundwater_close: bool) -> Ratio:
    """G_w: 1.15 when the water table is less than 1 m below the slab, else 1.00 (EN 12831:2003, annex D)."""
    return 1.15 if groundwater_close else 1.0
