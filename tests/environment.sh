# Sourced by the commands beside it: a virtual environment in the checkout with the built package and
# what the tests need. Needs Rust (cargo) and Python 3.10 or newer; everything else is fetched from
# crates.io and PyPI.
set -eu
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
python=${PYTHON:-python3}
if ! command -v cargo >/dev/null 2>&1; then
    echo "cargo is not installed: see https://rustup.rs" >&2
    exit 1
fi
if ! "$python" -c 'import sys; sys.exit(sys.version_info < (3, 10))'; then
    echo "Python 3.10 or newer is needed; set PYTHON to its path" >&2
    exit 1
fi

# One target folder for the wheel and for the Rust tests, so that nothing is compiled twice.
export CARGO_TARGET_DIR=${CARGO_TARGET_DIR:-$root/target}
venv=$root/.venv
[ -x "$venv/bin/python" ] || "$python" -m venv "$venv"
py=$venv/bin/python

# install EXTRAS: builds the compiled module in release mode and installs the package with extras.
install() {
    "$py" -m pip install --quiet --disable-pip-version-check --upgrade pip "maturin>=1.9,<2"
    PATH="$venv/bin:$PATH" "$py" -m pip install --quiet --disable-pip-version-check \
        --no-build-isolation "$root[$1]"
}
