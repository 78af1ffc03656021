"""What is valid, and the words for what is not. Knows nothing of Flask, SQLite or files."""

from .advice import (
    Advice,
    AdviceRequest,
    After,
    Allocated,
    KindQuestion,
    Miss,
    Moves,
    Prediction,
    PredictionRequest,
    ReadBehind,
    Seen,
    Shift,
    SourceAdvice,
    StackAdvice,
    White,
)
from .basis.curve import Curve, Spectrum, Transmittance
from .basis.problems import Problem, Refused, problems_in, refuse
from .gels.gel import Gel, GelTable, Known
from .sets.exposure import Exposure
from .sets.known_head import HeadReading, HeadSetup, HeadTest, KnownHead
from .sets.lightset import EXACT, ON_SET, Accuracy, LightSet, Limits, RequestAccuracy
from .sets.reading import UNREAD, Kind, Reading, Setting
from .sets.source import AsTested, NoGel, Opening, Reach, Role, Source, WantedOffset
from .sets.target import Locus, Target
from .sets.work import Lamp, Predicted, Stage, StandMove, Work

__all__ = [
    "EXACT",
    "ON_SET",
    "UNREAD",
    "Accuracy",
    "Advice",
    "AdviceRequest",
    "After",
    "Allocated",
    "AsTested",
    "Curve",
    "Exposure",
    "Gel",
    "GelTable",
    "HeadReading",
    "HeadSetup",
    "HeadTest",
    "Kind",
    "KindQuestion",
    "Known",
    "KnownHead",
    "Lamp",
    "LightSet",
    "Limits",
    "Locus",
    "Miss",
    "Moves",
    "NoGel",
    "Opening",
    "Predicted",
    "Prediction",
    "PredictionRequest",
    "Problem",
    "Reach",
    "ReadBehind",
    "Reading",
    "Refused",
    "RequestAccuracy",
    "Role",
    "Seen",
    "Setting",
    "Shift",
    "Source",
    "SourceAdvice",
    "Spectrum",
    "StackAdvice",
    "Stage",
    "StandMove",
    "Target",
    "Transmittance",
    "WantedOffset",
    "White",
    "Work",
    "problems_in",
    "refuse",
]
