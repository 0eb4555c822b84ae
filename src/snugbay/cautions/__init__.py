"""Room cautions: hazards, stop-work conditions, protection, each tied to its trigger and its source."""

from snugbay.cautions.choose import cautions, gate_cautions
from snugbay.cautions.values import Caution

__all__ = ["Caution", "cautions", "gate_cautions"]
