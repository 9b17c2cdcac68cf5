"""Static sheet, steady states and linearization of a car."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np

from . import _core
from ._assembled import AnyCar, assembled
from ._display import html_table, shown, text_page
from ._equality import ByContent
from .tables import Sheet
from .units import Quantity, si

Array = np.ndarray[Any, np.dtype[np.float64]]


def static_sheet(car: AnyCar) -> Sheet:
    """The static sheet of a car.

    Corner loads, wheel rates, ride frequencies, damping ratios, roll stiffness and its
    distribution, roll centers, anti-dive and anti-squat, roll steer, camber gain, roll and
    understeer gradients.

    Raises
    ------
    CarError
        If the car cannot be assembled.
    EquilibriumError
        If the car has no steady state in a gentle corner at 20 m/s, which gives the gradients.
    """
    model = assembled(car)
    return Sheet(model.name, _core.static_sheet(model))


class SteadyState(ByContent):
    """Steady state of a car: quantities of the body and of each wheel, state and inputs.

    ``trim["roll"]`` is a quantity of the body, ``trim.wheels["front_left"]["load"]`` one of a
    wheel; SI.

    Attributes
    ----------
    quantities : dict of str to float
        Quantities of the body, by name.
    wheels : dict of str to dict of str to float
        Quantities of each wheel, by wheel and name.
    steering_wheel_angle : float
        Steering-wheel angle [rad, left positive].
    drive_torque : float
        Drive torque at both rear wheels together [N*m, forward positive].
    state : ndarray, shape (49,)
        State of the equations of motion, in the order of ``Model.state_names``.
    """

    #: SI unit of every quantity of the body.
    UNITS: ClassVar[dict[str, str]] = {
        "speed": "m/s",
        "forward_velocity": "m/s",
        "lateral_velocity": "m/s",
        "sideslip": "rad",
        "yaw_rate": "rad/s",
        "longitudinal_acceleration": "m/s^2",
        "lateral_acceleration": "m/s^2",
        "roll": "rad",
        "pitch": "rad",
        "steering_wheel_torque": "N*m",
    }

    def __init__(self, car: str, raw: dict[str, Any]) -> None:
        self.car = car
        self.quantities: dict[str, float] = raw["quantities"]
        self.wheels: dict[str, dict[str, float]] = raw["wheels"]
        self.steering_wheel_angle: float = raw["inputs"]["steering_wheel_angle"]
        self.drive_torque: float = raw["inputs"]["drive_torque"]
        self.state: Array = raw["state"]

    def __getitem__(self, quantity: str) -> float:
        return self.quantities[quantity]

    def _rows(self) -> list[list[str]]:
        rows = [["quantity", "value", "unit"]]
        rows.append(["steering_wheel_angle", *shown(self.steering_wheel_angle, "rad")])
        rows.append(["drive_torque", *shown(self.drive_torque, "N*m")])
        for name, value in self.quantities.items():
            rows.append([name, *shown(value, self.UNITS[name])])
        for wheel, values in self.wheels.items():
            rows.append([f"load_{wheel}", *shown(values["load"], "N")])
        return rows

    def __repr__(self) -> str:
        return text_page(self.car, self._rows(), (False, True, False))

    def _repr_html_(self) -> str:
        return html_table(self.car, self._rows(), (False, True, False))


def steady_state(
    car: AnyCar,
    speed: Quantity,
    lateral_acceleration: Quantity = 0.0,
    longitudinal_acceleration: Quantity = 0.0,
    friction: float = 1.0,
) -> SteadyState:
    """The steady state at a given speed and given accelerations.

    Parameters
    ----------
    car : Car or Model
        The car.
    speed : float or str
        Speed [m/s].
    lateral_acceleration : float or str
        Lateral acceleration, left positive [m/s^2].
    longitudinal_acceleration : float or str
        Longitudinal acceleration, forward positive [m/s^2].
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].

    Raises
    ------
    CarError
        If the car cannot be assembled.
    EquilibriumError
        If no such steady state exists; the message gives the last one found.
    """
    raw = _core.steady_state(
        assembled(car),
        si(speed, "m/s"),
        si(lateral_acceleration, "m/s^2"),
        si(longitudinal_acceleration, "m/s^2"),
        si(friction),
    )
    return SteadyState(car.name, raw)


@dataclass(frozen=True)
class Mode:
    """Mode of a linearized car.

    Attributes
    ----------
    name : str
        Name of the mode, after the dominant motion.
    frequency : float
        Undamped natural frequency [Hz].
    damping : float
        Damping ratio [-].
    eigenvalue : complex
        Eigenvalue [1/s].
    shares : dict of str to float
        Share of each state in the mode; the shares sum to 1.
    """

    name: str
    frequency: float
    damping: float
    eigenvalue: complex
    shares: dict[str, float]

    def __repr__(self) -> str:
        return f"<Mode {self.name}: {self.frequency:.3g} Hz, damping {self.damping:.3g}>"


class Linearization(ByContent):
    """Linearization ``x' = A x + B u``, ``y = C x + D u`` about a steady state.

    The derivatives are exact to rounding.

    Attributes
    ----------
    A, B, C, D : ndarray
        Matrices of shapes (49, 49), (49, 4), (outputs, 49), (outputs, 4); SI.
    state_names, input_names, output_names : list of str
        Names of the states ``x``, inputs ``u`` and outputs ``y``.
    state : ndarray, shape (49,)
        State about which the equations are linearized.
    """

    def __init__(self, car: str, raw: dict[str, Any]) -> None:
        self.car = car
        self.A: Array = raw["A"]
        self.B: Array = raw["B"]
        self.C: Array = raw["C"]
        self.D: Array = raw["D"]
        self.state_names = [name for name, _ in raw["states"]]
        self.input_names = [name for name, _ in raw["inputs"]]
        self.output_names = [name for name, _ in raw["outputs"]]
        self.units = dict([*raw["states"], *raw["inputs"], *raw["outputs"]])
        self.state: Array = raw["state"]
        self._modes = [
            Mode(
                name,
                frequency,
                damping,
                complex(re, im),
                dict(zip(self.state_names, shares, strict=True)),
            )
            for name, frequency, damping, re, im, shares in raw["modes"]
        ]

    def modes(self) -> list[Mode]:
        """The modes in order of frequency, each with its name, frequency and damping."""
        return list(self._modes)

    def __repr__(self) -> str:
        rows = [["mode", "frequency", "damping"]]
        rows += [[m.name, f"{m.frequency:.3g} Hz", f"{m.damping:.3g}"] for m in self._modes]
        return text_page(self.car, rows, (False, True, True))


def linearize(
    car: AnyCar,
    speed: Quantity,
    lateral_acceleration: Quantity = 0.0,
    longitudinal_acceleration: Quantity = 0.0,
    friction: float = 1.0,
) -> Linearization:
    """The exact linearization about the steady state at a given speed and given accelerations.

    Parameters
    ----------
    car : Car or Model
        The car.
    speed : float or str
        Speed [m/s].
    lateral_acceleration : float or str
        Lateral acceleration, left positive [m/s^2].
    longitudinal_acceleration : float or str
        Longitudinal acceleration, forward positive [m/s^2].
    friction : float
        Friction of the surface, relative to the tires' reference surface [-].

    Raises
    ------
    CarError
        If the car cannot be assembled.
    EquilibriumError
        If no such steady state exists.
    """
    raw = _core.linearize(
        assembled(car),
        si(speed, "m/s"),
        si(lateral_acceleration, "m/s^2"),
        si(longitudinal_acceleration, "m/s^2"),
        si(friction),
    )
    return Linearization(car.name, raw)
