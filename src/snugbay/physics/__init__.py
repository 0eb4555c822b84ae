"""Room physics: heat, air, moisture, buffer spaces, climate and the season of a job's parts.

The folders are the interface: ``physics.heat.combined(...)``, ``physics.climate.find_place(...)`` and so on; see
``docs/reference/physics.md``. ``physics.field`` and ``physics.transient`` are imported by name.
"""

from snugbay.physics import air, buffer, climate, heat, insitu, moisture, season, units

__all__ = ["air", "buffer", "climate", "heat", "insitu", "moisture", "season", "units"]
