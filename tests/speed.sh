#!/usr/bin/env bash
# Times the library beside NumPy with SciPy and beside Numba on this machine; prints a table.
. "$(dirname "${BASH_SOURCE[0]}")/environment.sh"
install speed
exec "$py" "$root/tests/speed" "$@"
