"""Room flow: the stages in order."""

from snugbay.flow.values import JobPlan

__all__ = ["JobPlan"]
