"""Room fit: order, seams and sealing, fasteners."""

from snugbay.fit.values import FittingPlan, Sealing, Step

__all__ = ["FittingPlan", "Sealing", "Step"]
