"""Comparison of speed with NumPy and SciPy, and with Numba: ``bash tests/speed.sh``.

- :mod:`.packed` has a car's numbers as arrays,
- :mod:`.arrays` the equations in NumPy (a),
- :mod:`.compiled` the equations and their integration in loops for Numba (b), with
  :mod:`.wheel_loops`, :mod:`.body_loops`, :mod:`.vectors` and :mod:`.jit`,
- :mod:`.maneuver` the step steer and its metrics, :mod:`.contenders` a run of either,
- :mod:`.peak` measures the machine, :mod:`.counting` counts operations,
- :mod:`.page` checks that all agree, looks for the largest steps that do, takes the times, prints
  the table.

Cars with independent rear suspension; a flat road.
"""
