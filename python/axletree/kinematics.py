"""Kinematics of the linkage of one end of a car, from its hardpoints."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from . import _core
from ._display import html_table, shown, text_page
from ._equality import ByContent
from ._optional import needs
from ._pictures import curves, picture
from .units import Quantity, si

if TYPE_CHECKING:
    import matplotlib.figure
    import pandas

Array = np.ndarray[Any, np.dtype[np.float64]]
Point = tuple[float, float, float]


class Piece(NamedTuple):
    """Line of a linkage at rest, for drawing."""

    name: str
    #: Kind: "link", "arm", "guide", "spring", "damper" or "bar".
    kind: str
    #: Both ends: ahead of the axle line, left of the center plane, above the road [m].
    points: tuple[Point, Point]
    #: Whether each end is mounted on the body.
    fixed: tuple[bool, bool]


class Axis(NamedTuple):
    """Instant screw axis, by a direction and a point [m].

    Where it crosses a plane is not the instant center of the motion in that plane: a point there
    still moves along the axis. Instant centers are those of ``Kinematics.view``.
    """

    direction: Point
    point: Point

    def crossing(self, coordinate: int, value: float) -> Point | None:
        """The intersection with a plane of constant coordinate [m]; ``None`` if parallel to it.

        Parameters
        ----------
        coordinate : int
            Coordinate that is constant on the plane: 0 ahead, 1 left, 2 up.
        value : float
            Its value [m].
        """
        along = self.direction[coordinate]
        if abs(along) < 1e-9:
            return None
        far = (value - self.point[coordinate]) / along
        x, y, z = (p + far * d for p, d in zip(self.point, self.direction, strict=True))
        return (x, y, z)


class LinkageView(NamedTuple):
    """Linkage of one end at one travel: its lines and its characteristic points.

    Coordinates are ahead of the axle line, left of the center plane, above the road at rest [m].
    The instant centers are those of the motion in the planes through the contact: the line from the
    contact to the center across the car passes the roll center; the slope of the line to the center
    along the car is that of the anti effects.
    """

    #: Lines of links, springs, dampers and bars.
    pieces: list[Piece]
    #: Center of the axle or of the left wheel.
    center: Point
    #: Contact of the left wheel, or the point of the road below the axle's center.
    contact: Point
    roll_center: Point
    #: Instant center across the car; ``None`` for an axle and for a knuckle that does not turn.
    center_across: Point | None
    #: Instant center along the car; ``None`` for a carrier that does not turn in that plane.
    center_along: Point | None
    #: Two points of an axle's roll axis, behind and ahead of it; ``None`` for corners.
    roll_axis: tuple[Point, Point] | None


class Curves(ByContent, Mapping[str, Array]):
    """Columns over the travel, SI: a mapping from name to ndarray.

    Attributes
    ----------
    units, meanings : dict of str to str
        SI unit and meaning of every column.
    """

    def __init__(self, raw: Mapping[str, tuple[str, str, Array]]) -> None:
        self._columns = {name: column for name, (_, _, column) in raw.items()}
        self.units = {name: unit for name, (unit, _, _) in raw.items()}
        self.meanings = {name: meaning for name, (_, meaning, _) in raw.items()}

    def __getitem__(self, name: str) -> Array:
        return self._columns[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._columns)

    def __len__(self) -> int:
        return len(self._columns)

    def __repr__(self) -> str:
        rows = len(next(iter(self._columns.values())))
        return f"<{rows} rows of {', '.join(self._columns)}>"

    def to_pandas(self) -> pandas.DataFrame:
        """A table with one column per quantity; units in ``attrs["units"]``."""
        pd = needs("pandas", "pandas")
        frame: pandas.DataFrame = pd.DataFrame(self._columns)
        frame.attrs["units"] = dict(self.units)
        return frame


class Kinematics(ByContent):
    """Kinematics of the linkage of one end of a car, solved exactly from its hardpoints.

    Attributes
    ----------
    car : str
        Name of the car.
    end : str
        ``"front"`` or ``"rear"``.
    solid : bool
        True for a solid axle, false for the left of a mirrored pair of corners.
    figures : dict of str to float or None
        Roll center, anti effects, steer and camber gains, motion ratios, binding stiffness and
        wind-up stiffness; SI, anti effects in percent. ``units`` and ``meanings`` have the same
        keys.
    curves : Curves
        Exact curves over travel (a corner) or over heave and roll (an axle).
    binding : Curves
        Exact binding moment over the roll of an axle, or binding force over the travel of a corner,
        with the energy in strained links and in link ends at their tilt limit.
    compliance : dict of str to (own, other, unit)
        Response of the left wheel to its own loads and to those of the right wheel.
    fit_errors : dict of str to (unit, float)
        Largest departure of the fitted curves, which the equations of motion use, from the exact
        ones.
    pieces : list of Piece
        Lines of the linkage at rest.
    axes : dict of str to Axis
        Instant screw axes that exist: ``"roll"`` and ``"heave"`` of an axle, ``"travel"`` of a
        corner.
    center : (float, float, float)
        Center of the axle or of the left wheel: ahead of the axle line, left, above the road [m].
    """

    def __init__(self, car: _core.Car, end: str, raw: Mapping[str, Any]) -> None:
        self.car, self.end = car.name, end
        self._described = car
        self.solid: bool = raw["solid"]
        self.figures: dict[str, float | None] = {key: value for key, _, _, value in raw["figures"]}
        self.units: dict[str, str] = {key: unit for key, unit, _, _ in raw["figures"]}
        self.meanings: dict[str, str] = {key: meaning for key, _, meaning, _ in raw["figures"]}
        self.curves = Curves(raw["curves"])
        self.binding = Curves(raw["binding"])
        self.compliance = {
            key: (own, other, unit) for key, unit, _, own, other in raw["compliance"]
        }
        self.fit_errors: dict[str, tuple[str, float]] = {
            quantity: (unit, error) for quantity, unit, error in raw["fit"]
        }
        at_rest = self.view()
        self.pieces = at_rest.pieces
        self.center: Point = at_rest.center
        self.half_track: float = raw["half_track"] if self.solid else abs(self.center[1])
        names = {"roll_axis": "roll", "heave_axis": "heave", "axis": "travel"}
        self.axes = {
            name: Axis(tuple(raw[key][0]), tuple(raw[key][1]))
            for key, name in names.items()
            if raw.get(key) is not None
        }

    def _rows(self) -> list[list[str]]:
        rows = [["figure", "value", "unit", "meaning"]]
        for key, value in self.figures.items():
            rows.append([key, *shown(value, self.units[key]), self.meanings[key]])
        for key, (own, other, unit) in self.compliance.items():
            text, name = shown(own, unit)
            across, _ = shown(other, unit)
            rows.append(
                [key, text, name, f"by the wheel's own load; by the other wheel's load: {across}"]
            )
        return rows

    def _title(self) -> str:
        kind = "solid axle" if self.solid else "corner, left of a pair"
        return f"{self.car}, {self.end} linkage ({kind})"

    def __repr__(self) -> str:
        return text_page(self._title(), self._rows(), (False, True, False, False))

    def _repr_html_(self) -> str:
        return html_table(self._title(), self._rows(), (False, True, False, False))

    def to_pandas(self) -> pandas.DataFrame:
        """A table with one row per figure: value, unit, meaning; indexed by name."""
        pd = needs("pandas", "pandas")
        frame: pandas.DataFrame = pd.DataFrame(
            {"value": self.figures, "unit": self.units, "meaning": self.meanings}
        )
        return frame

    def view(self, travel: Quantity = 0.0) -> LinkageView:
        """The linkage at a travel, solved exactly.

        Parameters
        ----------
        travel : float or str
            Travel of both wheels, or heave of the axle, bump positive [m].

        Raises
        ------
        SettingError
            If the linkage cannot reach that travel.

        Examples
        --------
        >>> import axletree as axt
        >>> rear = axt.kinematics(axt.Car.load("bramble-independent"))
        >>> view = rear.view("20 mm")
        >>> round(view.center[2] - rear.center[2], 6)
        0.02
        """
        at = si(travel, "m")
        if not math.isfinite(at):
            raise ValueError(f"travel = {at} m is not finite")
        raw = _core.linkage_view(self._described, self.end, at)
        pieces = [
            Piece(name, kind, (tuple(a), tuple(b)), (on_a, on_b))
            for name, kind, (a, b), (on_a, on_b) in raw["pieces"]
        ]
        ends = raw["roll_axis"]
        axis = None if ends is None else (tuple(ends[0]), tuple(ends[1]))
        across, along = raw["center_across"], raw["center_along"]
        return LinkageView(
            pieces=pieces,
            center=tuple(raw["center"]),
            contact=tuple(raw["contact"]),
            roll_center=tuple(raw["roll_center"]),
            center_across=None if across is None else tuple(across),
            center_along=None if along is None else tuple(along),
            roll_axis=axis,
        )

    def plot(self, travel: Quantity = 0.0) -> matplotlib.figure.Figure:
        """The linkage in side, rear and plan views, with instant centers and roll axis.

        Parameters
        ----------
        travel : float or str
            Travel of both wheels, or heave of the axle, bump positive [m].
        """
        return picture(self, travel)

    def plot_curves(self) -> matplotlib.figure.Figure:
        """The curves over travel, and the binding moment or force."""
        return curves(self)


def kinematics(car: _core.Car, end: str = "rear") -> Kinematics:
    """Solves the linkage of one end of a car from its hardpoints.

    Parameters
    ----------
    car : Car
        Description of the car.
    end : {"rear", "front"}
        End of the car.

    Raises
    ------
    SettingError
        If that end is given by coefficients, not by hardpoints.
    ValueError
        If `end` is neither ``"rear"`` nor ``"front"``.
    """
    if not isinstance(car, _core.Car):
        raise TypeError(f"expected a Car, got {type(car).__name__} {car!r}")
    return Kinematics(car, end, _core.kinematics(car, end))
