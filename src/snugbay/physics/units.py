"""Units of the trade: inch-pound to SI and back, as factors and as functions.

SI is used inside. A factor named ``A_PER_B`` is the number of A in one B. Built from the exact foot (0.3048 m), the
exact kelvin and the International Table Btu (1055.05585262 J).
"""

from __future__ import annotations

from typing import Final

from snugbay.physics._num import Array, Real, arr, out

FOOT: Final = 0.3048
INCH: Final = 0.0254
BTU_J: Final = 1055.05585262
KELVIN_PER_F: Final = 5.0 / 9.0
HOUR: Final = 3600.0

W_PER_BTU_H: Final = BTU_J / HOUR
BTU_H_PER_W: Final = HOUR / BTU_J
W_M2_PER_BTU_H_FT2: Final = W_PER_BTU_H / FOOT**2
U_SI_PER_U_IP: Final = W_M2_PER_BTU_H_FT2 / KELVIN_PER_F
R_SI_PER_R_IP: Final = 1.0 / U_SI_PER_U_IP
R_IP_PER_R_SI: Final = U_SI_PER_U_IP
K_SI_PER_K_BTU_IN: Final = U_SI_PER_U_IP * INCH
"""W/(m·K) in one Btu·in/(h·ft²·°F)."""
W_K_PER_BTU_H_F: Final = W_PER_BTU_H / KELVIN_PER_F
M3_S_PER_CFM: Final = FOOT**3 / 60.0
CM2_PER_IN2: Final = 6.4516
M_S_PER_MPH: Final = 0.44704
PSI_PA: Final = 6894.757293168361
GRAIN_KG: Final = 6.479891e-5
INHG_0C_PA: Final = 3386.389
"""Inch of mercury at 0 °C; the inch at 60 °F is 3376.85 Pa and gives 57.37 instead of 57.21 ng."""
PERM_SI: Final = GRAIN_KG / (HOUR * FOOT**2 * INHG_0C_PA)
"""kg/(m²·s·Pa) in one perm, 1 grain/(h·ft²·inHg)."""
PERM_INCH_SI: Final = PERM_SI * INCH
"""kg/(m·s·Pa) in one perm-inch."""
MMBTU_J: Final = BTU_J * 1e6
KWH_J: Final = 3.6e6
KWH_PER_MMBTU: Final = MMBTU_J / KWH_J


def celsius_from_f(temp_f: Real) -> Array:
    """Temperature in °C from °F, any shape."""
    return out((arr(temp_f) - 32.0) * KELVIN_PER_F)


def f_from_celsius(temp_c: Real) -> Array:
    """Temperature in °F from °C, any shape."""
    return out(arr(temp_c) / KELVIN_PER_F + 32.0)


def r_si_from_ip(r_ip: Real) -> Array:
    """Thermal resistance in m²·K/W from h·ft²·°F/Btu, any shape."""
    return out(arr(r_ip) * R_SI_PER_R_IP)


def r_ip_from_si(r_si: Real) -> Array:
    """Thermal resistance in h·ft²·°F/Btu from m²·K/W, any shape."""
    return out(arr(r_si) * R_IP_PER_R_SI)


def u_si_from_ip(u_ip: Real) -> Array:
    """Transmittance in W/(m²·K) from Btu/(h·ft²·°F), any shape."""
    return out(arr(u_ip) * U_SI_PER_U_IP)


def u_ip_from_si(u_si: Real) -> Array:
    """Transmittance in Btu/(h·ft²·°F) from W/(m²·K), any shape."""
    return out(arr(u_si) / U_SI_PER_U_IP)


def conductivity_from_r_per_inch(r_ip_per_inch: Real) -> Array:
    """Conductivity in W/(m·K) from the R value per inch, h·ft²·°F/(Btu·in), any shape."""
    return out(K_SI_PER_K_BTU_IN / arr(r_ip_per_inch))


def r_per_inch_from_conductivity(conductivity: Real) -> Array:
    """R value per inch, h·ft²·°F/(Btu·in), from conductivity in W/(m·K), any shape."""
    return out(K_SI_PER_K_BTU_IN / arr(conductivity))


def m3_s_from_cfm(cfm: Real) -> Array:
    """Volume flow in m³/s from cubic feet a minute, any shape."""
    return out(arr(cfm) * M3_S_PER_CFM)


def cfm_from_m3_s(flow: Real) -> Array:
    """Volume flow in cubic feet a minute from m³/s, any shape."""
    return out(arr(flow) / M3_S_PER_CFM)


def degree_days_f_from_k(degree_days_k: Real) -> Array:
    """Degree days in °F·d from K·d, any shape."""
    return out(arr(degree_days_k) / KELVIN_PER_F)


def degree_days_k_from_f(degree_days_f: Real) -> Array:
    """Degree days in K·d from °F·d, any shape."""
    return out(arr(degree_days_f) * KELVIN_PER_F)
