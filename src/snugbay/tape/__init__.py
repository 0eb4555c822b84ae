"""Room tape: lengths as people write and print them; units in and out."""

from snugbay.tape.printing import Rounding, Tape, format_length, inches, tape_for
from snugbay.tape.quantities import R_SI_PER_R_IP, parse_angle, parse_r_value, parse_temperature, temperature_text
from snugbay.tape.reading import FOOT, FOOT_M, INCH, INCH_M, UNIT_METRES, Length, parse_length

__all__ = [
    "FOOT",
    "FOOT_M",
    "INCH",
    "INCH_M",
    "R_SI_PER_R_IP",
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
