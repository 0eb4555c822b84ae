"""Room many: many jobs at once on Dask."""

from snugbay.many.batch import Answer, Request, plan_many, plan_one

__all__ = ["Answer", "Request", "plan_many", "plan_one"]
