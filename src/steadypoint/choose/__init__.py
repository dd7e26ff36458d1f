"""Choosing values: the provably best standard parts for a wish."""

from steadypoint.choose._choice import Certificate, Choice, ChosenSet, choose, front_of, with_values
from steadypoint.choose._wish import Wish

__all__ = [
    "Certificate",
    "Choice",
    "ChosenSet",
    "Wish",
    "choose",
    "front_of",
    "with_values",
]
