"""Quantities, letter codes, preferred values."""

from steadypoint.values._quantity import Quantity

__all__ = ["Quantity"]
