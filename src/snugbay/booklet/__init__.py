"""Room booklet."""
