"""Maneuvers: what a car is driven through, and the metrics measured."""

from .base import Maneuver, Measured
from .handling import Circle, FrequencyResponse, SineWithDwell, StepSteer
from .limits import AccelerationEnvelope, DoubleLaneChange
from .power import CornerExit, Launch
from .turn import BrakingInATurn, LiftOffInATurn
from .uneven import BumpInACorner, RoughCorner

__all__ = [
    "AccelerationEnvelope",
    "BrakingInATurn",
    "BumpInACorner",
    "Circle",
    "CornerExit",
    "DoubleLaneChange",
    "FrequencyResponse",
    "Launch",
    "LiftOffInATurn",
    "Maneuver",
    "Measured",
    "RoughCorner",
    "SineWithDwell",
    "StepSteer",
]
