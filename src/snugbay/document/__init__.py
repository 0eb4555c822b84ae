"""Room document: the job document at the edge: TOML in and out, JSON Schema, versions; the plan that is kept."""

from typing import TYPE_CHECKING

from snugbay.base.late import late

if TYPE_CHECKING:
    from snugbay.document.convert import to_job
    from snugbay.document.examples import EXAMPLES, example
    from snugbay.document.models import VERSION, JobDoc
    from snugbay.document.places import located
    from snugbay.document.read import read, read_doc, schema
    from snugbay.document.write import write

__all__ = ["EXAMPLES", "VERSION", "JobDoc", "example", "located", "read", "read_doc", "schema", "to_job", "write"]

__getattr__ = late(
    __name__,
    {
        "convert": ("to_job",),
        "examples": ("EXAMPLES", "example"),
        "models": ("VERSION", "JobDoc"),
        "places": ("located",),
        "read": ("read", "read_doc", "schema"),
        "write": ("write",),
    },
)
