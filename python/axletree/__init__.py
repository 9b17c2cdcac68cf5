"""Axletree: vehicle dynamics of rear-drive cars with solid or independent rear axles.

A simulation is not a test. Real grip, parts and surfaces differ. Approach a predicted limit step by
step, at a sanctioned event on a closed course. Follow the rules of the event and the class, the
makers' torque and alignment figures and local law. Have structural, brake and steering work done or
inspected by a qualified person.

>>> import axletree as axt
>>> car = axt.Car.load("bramble-solid")
>>> car["rear.bar.outer_diameter"]
0.022
>>> stiffer = car.edit({"rear.bar.outer_diameter": "24 mm"})
>>> round(stiffer["rear.bar.outer_diameter"], 6)
0.024

Floats are SI values, angles in radians; strings carry their unit. Axes after ISO 8855: x forward, y
left, z up.
"""

from . import plot  # noqa: F401  (registers the figures of the results)
from ._core import (
    AxletreeError,
    Car,
    CarError,
    CarFileError,
    EquilibriumError,
    Model,
    SettingError,
    TireError,
    __version__,
    examples,
)
from ._fault import Fault
from .equilibrium import (
    Linearization,
    Mode,
    SteadyState,
    linearize,
    static_sheet,
    steady_state,
)
from .kinematics import Kinematics, kinematics
from .maneuvers import (
    AccelerationEnvelope,
    BrakingInATurn,
    BumpInACorner,
    Circle,
    CornerExit,
    DoubleLaneChange,
    FrequencyResponse,
    Launch,
    LiftOffInATurn,
    Maneuver,
    Measured,
    RoughCorner,
    SineWithDwell,
    StepSteer,
)
from .run import Run
from .slalom import Driver, Slalom, SlalomRun, TopSpeed
from .study import compare, span, sweep
from .tables import Comparison, Entries, Sheet, Sweep
from .tire import TireFit, fit_tire
from .units import si

__all__ = [
    "AccelerationEnvelope",
    "AxletreeError",
    "BrakingInATurn",
    "BumpInACorner",
    "Car",
    "CarError",
    "CarFileError",
    "Circle",
    "Comparison",
    "CornerExit",
    "DoubleLaneChange",
    "Driver",
    "Entries",
    "EquilibriumError",
    "Fault",
    "FrequencyResponse",
    "Kinematics",
    "Launch",
    "LiftOffInATurn",
    "Linearization",
    "Maneuver",
    "Measured",
    "Mode",
    "Model",
    "RoughCorner",
    "Run",
    "SettingError",
    "Sheet",
    "SineWithDwell",
    "Slalom",
    "SlalomRun",
    "SteadyState",
    "StepSteer",
    "Sweep",
    "TireError",
    "TireFit",
    "TopSpeed",
    "__version__",
    "compare",
    "examples",
    "fit_tire",
    "kinematics",
    "linearize",
    "si",
    "span",
    "static_sheet",
    "steady_state",
    "sweep",
]
