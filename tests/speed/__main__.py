"""``python tests/speed``: this library beside NumPy with SciPy and beside Numba, on this machine, in one run."""

import json
import os
import sys

if not __package__:
    sys.path[0] = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))

from speed import page

if __name__ == "__main__":
    if sys.argv[1:2] == ["count"]:
        print(json.dumps(page.count(sys.argv[2])))
    else:
        sys.exit(page.main(sys.argv[1:]))
