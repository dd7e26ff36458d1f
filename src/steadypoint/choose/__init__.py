"""Choosing values: the provably best standard parts for a wish."""

from steadypoint.choose._choice import Certificate, Choice, ChosenSet, choose, front_of, with_values
from steadypoint.choose._compare import Comparison, Contender, Move, Purpose, compare
from steadypoint.choose._input_resistance import input_resistance
from steadypoint.choose._readable import Place, ReadableSet, readable
from steadypoint.choose._rule_of_thumb import RuleOfThumb
from steadypoint.choose._wish import Wish

__all__ = [
    "Certificate",
    "Choice",
    "ChosenSet",
    "Comparison",
    "Contender",
    "Move",
    "Place",
    "Purpose",
    "ReadableSet",
    "RuleOfThumb",
    "Wish",
    "choose",
    "compare",
    "front_of",
    "input_resistance",
    "readable",
    "with_values",
]
