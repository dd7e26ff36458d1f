"""Proofreading: what was said and written in a lesson, held against its circuits."""

from steadypoint.proof._claim import Claim, Coverage, Report, Verdict

__all__ = [
    "Claim",
    "Coverage",
    "Report",
    "Verdict",
]
