"""Room document: the job document at the edge: TOML in and out, JSON Schema, versions."""

from snugbay.document.convert import to_job
from snugbay.document.examples import EXAMPLES, example
from snugbay.document.models import VERSION, JobDoc
from snugbay.document.places import located
from snugbay.document.read import read, read_doc, schema
from snugbay.document.write import write

__all__ = ["EXAMPLES", "VERSION", "JobDoc", "example", "located", "read", "read_doc", "schema", "to_job", "write"]
