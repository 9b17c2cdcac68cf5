"""Assembly of the car that a caller passes."""

from __future__ import annotations

from ._core import Car, Model

#: A car's description, or an assembled car.
AnyCar = Car | Model


def assembled(car: AnyCar) -> Model:
    """The assembled car.

    Raises
    ------
    CarError
        If the car cannot be assembled.
    TypeError
        If the argument is not a car.
    """
    if isinstance(car, Model):
        return car
    if isinstance(car, Car):
        return car.assemble()
    hint = f"; did you mean axt.Car.load({car!r})?" if isinstance(car, str) else ""
    raise TypeError(f"expected a Car, got {type(car).__name__} {car!r}{hint}")
