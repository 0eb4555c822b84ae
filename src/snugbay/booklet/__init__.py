"""Room booklet: the printed booklet, the pocket booklet for the phone, and blank field sheets."""

from snugbay.booklet.booklet import booklet_pdf
from snugbay.booklet.field import field_sheet_pdf
from snugbay.booklet.pocket import pocket_html
from snugbay.booklet.proof import proof_pdf

__all__ = ["booklet_pdf", "field_sheet_pdf", "pocket_html", "proof_pdf"]
