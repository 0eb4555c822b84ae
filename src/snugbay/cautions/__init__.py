"""Room cautions: hazards, stop-work conditions, protection, each tied to its trigger and its source."""

from snugbay.cautions.values import Caution

__all__ = ["Caution"]
