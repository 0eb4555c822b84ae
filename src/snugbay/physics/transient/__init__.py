"""Transient conduction in closed form, heat and moisture hour by hour, and what becomes of wood."""

from snugbay.physics.transient.analytic import (
    contact_temperature,
    diffusivity,
    penetration_depth,
    semi_infinite_constant_flux,
    semi_infinite_film,
    semi_infinite_fixed,
    semi_infinite_fixed_flux,
    semi_infinite_periodic,
    slab,
    slab_mean,
    slab_roots,
)

__all__ = [
    "contact_temperature",
    "diffusivity",
    "penetration_depth",
    "semi_infinite_constant_flux",
    "semi_infinite_film",
    "semi_infinite_fixed",
    "semi_infinite_fixed_flux",
    "semi_infinite_periodic",
    "slab",
    "slab_mean",
    "slab_roots",
]
