"""Short sums in a kind's data file: ``"depth - run"``, ``"height / tan(pitch)"``."""

from __future__ import annotations

import ast
import math
from collections.abc import Callable, Mapping
from functools import lru_cache

from snugbay.base import DataError

_FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "tan": math.tan,
    "sin": math.sin,
    "cos": math.cos,
    "sqrt": math.sqrt,
    "min": min,
    "max": max,
}
_SUMS: Mapping[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: lambda a, b: a + b,
    ast.Sub: lambda a, b: a - b,
    ast.Mult: lambda a, b: a * b,
    ast.Div: lambda a, b: a / b if b else math.inf,
}


@lru_cache(maxsize=512)
def _parsed(text: str) -> ast.expr:
    try:
        return ast.parse(text, mode="eval").body
    except SyntaxError:
        raise DataError(f"{text!r} is no sum.", hint="Use numbers, names of numbers, + - * / and brackets.") from None


def value_of(text: str, numbers: Mapping[str, float]) -> float:
    """Return what a sum comes to.

    Parameters
    ----------
    text : str
        Numbers, names, ``+ - * /``, brackets, tan, sin, cos, sqrt, min, max.
    numbers : Mapping of str to float
        Lengths [m] and angles [rad] by name.

    Raises
    ------
    DataError
        If it is no such sum or names an unknown number.
    """
    return _value(_parsed(text), numbers, text)


def names_in(text: str) -> frozenset[str]:
    """Return the numbers that a sum is made of."""
    return frozenset(n.id for n in ast.walk(_parsed(text)) if isinstance(n, ast.Name)) - frozenset(_FUNCTIONS)


def _value(node: ast.expr, numbers: Mapping[str, float], text: str) -> float:
    match node:
        case ast.Constant(value=int() | float() as number):
            return float(number)
        case ast.Name(id=name) if name in numbers:
            return numbers[name]
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            return -_value(inner, numbers, text)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _SUMS:
            return _SUMS[type(op)](_value(left, numbers, text), _value(right, numbers, text))
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]) if name in _FUNCTIONS:
            return _FUNCTIONS[name](*(_value(a, numbers, text) for a in args))
        case _:
            known = ", ".join(sorted(numbers))
            raise DataError(f"The sum {text!r} cannot be worked out.", hint=f"Numbers: {known}.")
