#!/usr/bin/env bash
# Every test, Rust and Python, on a fresh machine.
. "$(dirname "${BASH_SOURCE[0]}")/environment.sh"
cd "$root"

cargo fmt --all --check
cargo test --release --workspace --exclude axletree-python
install all,test
"$py" -m pytest tests/python "$@"
