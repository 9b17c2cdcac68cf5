"""``python tests/speed``: comparison of speed with NumPy and SciPy, and with Numba."""

import json
import sys
from pathlib import Path

if not __package__:
    sys.path[0] = str(Path(__file__).resolve().parents[1])

from speed import page

if __name__ == "__main__":
    if sys.argv[1:2] == ["count"]:
        print(json.dumps(page.count(sys.argv[2])))
    else:
        sys.exit(page.main(sys.argv[1:]))
