"""Room tape: lengths as people write and print them; units in and out."""

from snugbay.tape.printing import Rounding, Tape, format_length, inches, tape_for
from snugbay.tape.quantities import parse_angle, parse_r_value, parse_temperature, temperature_text
from snugbay.tape.reading import FOOT, INCH, UNIT_METRES, Length, parse_length

__all__ = [
    "FOOT",
    "INCH",
    "UNIT_METRES",
    "Length",
    "Rounding",
    "Tape",
    "format_length",
    "inches",
    "parse_angle",
    "parse_length",
    "parse_r_value",
    "parse_temperature",
    "tape_for",
    "temperature_text",
]
