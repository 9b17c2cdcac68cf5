"""From what a caller gives for a car to its numbers."""

from __future__ import annotations

from typing import Union

from ._core import Car, Model

#: A car's description, or the car as numbers.
AnyCar = Union[Car, Model]


def assembled(car: AnyCar) -> Model:
    """The car as numbers.

    Raises
    ------
    CarError
        Where the car cannot be built.
    TypeError
        For anything that is no car.
    """
    if isinstance(car, Model):
        return car
    if isinstance(car, Car):
        return car.assemble()
    hint = f"; did you mean axt.Car.load({car!r})?" if isinstance(car, str) else ""
    raise TypeError(f"expected a Car, got {type(car).__name__} {car!r}{hint}")
