"""Second, independent derivation of the car's equations, from energies, to check the library.

Nothing in this package shares code with the library or with its way of derivation. The library
writes the equations by Kane's method in Rust; here

- :mod:`.names` turns the library's dotted names of numbers into symbols,
- :mod:`.turning` holds rotations, and angular velocity as the derivative of a rotation,
- :mod:`.bodies` places every body as a function of generalized coordinates (position, attitude,
  travels), and nothing else,
- :mod:`.lagrange` gets mass matrix and inertia forces from the kinetic energy by Lagrange's method
  with automatic differentiation, :mod:`.poincare` a second time in body axes by the Euler-Poincare
  equations,
- :mod:`.tire` writes the tire's documented formulas again,
- :mod:`.binding` has the energy of yielding link ends, :mod:`.driveline` the laws of the parts
  between engine and wheels,
- :mod:`.contact` puts tires on the road, :mod:`.forces` collects the applied forces as potentials
  and virtual powers,
- :mod:`.car_equations` assembles the 49 rates of change,
- :mod:`.plausible` is an invented car in numbers, for working without the library,
- :mod:`.bound` finds, by direct collocation, the highest speed at which any steering at all
  can carry the car through an endless slalom.

Needs CasADi (``pip install casadi``); IPOPT comes inside.
"""
