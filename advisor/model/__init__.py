"""What is valid, and the words for what is not. Knows nothing of Flask, SQLite or files."""

from .advice import (
    Advice,
    AdviceRequest,
    After,
    Allocated,
    Miss,
    PredictionRequest,
    Shift,
    SourceAdvice,
    StackAdvice,
    White,
)
from .curve import Curve, Spectrum, Transmittance
from .gel import Gel, GelTable
from .lightset import EXACT, ON_SET, Accuracy, LightSet, Limits
from .problems import Problem, Refused, problems_in, refuse
from .reading import Aim, Kind, Reading, Source
from .target import Locus, Target

__all__ = [
    "EXACT",
    "ON_SET",
    "Accuracy",
    "Advice",
    "AdviceRequest",
    "After",
    "Aim",
    "Allocated",
    "Curve",
    "Gel",
    "GelTable",
    "Kind",
    "LightSet",
    "Limits",
    "Locus",
    "Miss",
    "PredictionRequest",
    "Problem",
    "Reading",
    "Refused",
    "Shift",
    "Source",
    "SourceAdvice",
    "Spectrum",
    "StackAdvice",
    "Target",
    "Transmittance",
    "White",
    "problems_in",
    "refuse",
]
