"""Runs Hoopwright from Python.

A calculation approves nothing: a bead that lets go under pressure injures people. Local codes, standards and licensed practice decide,
and a test of the very tyre on the very rim.
"""

from ._commands import assess, map, pairs, vary
from ._program import VERSION as __version__
from ._program import program
from ._results import Assessment, Pressure, Retention, Study
from .errors import CaseError, Fault, HoopwrightError, NoAnswerError, ProgramError

__all__ = [
    "Assessment",
    "CaseError",
    "Fault",
    "HoopwrightError",
    "NoAnswerError",
    "Pressure",
    "ProgramError",
    "Retention",
    "Study",
    "__version__",
    "assess",
    "map",
    "pairs",
    "program",
    "vary",
]
