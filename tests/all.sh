#!/usr/bin/env bash
# Every test, Rust and Python, on a fresh machine: format, lints, documentation, tests at every width of the
# machine's vectors, benches and packages built, then the wheel and the Python tests.
. "$(dirname "${BASH_SOURCE[0]}")/environment.sh"
cd "$root"

cargo fmt --all --check
cargo clippy --release --workspace --all-targets -- -D warnings
RUSTDOCFLAGS="-D warnings" cargo doc --release --workspace --no-deps --exclude axletree-python

cargo test --release --workspace --exclude axletree-python
# The same bits without the widest vectors: the golden table, and the laws of the crates whose equations run
# on them. A width that the machine lacks is named. Laws of whole maneuvers and searches: tests/long.sh.
widths=$(cargo run --quiet --release -p axletree-scalar --example widths)
for width in $(echo "$widths" | tail -n +2); do
    echo "vectors of width $width"
    AXLETREE_WIDTH=$width cargo test --quiet --release -p axletree-study --test golden
    AXLETREE_WIDTH=$width cargo test --quiet --release -p axletree-scalar -p axletree-numerics -p axletree-tire \
        -p axletree-linkage -p axletree-vehicle -p axletree-simulation --tests law_
done
# Assertions and overflow checks, for what reads input.
cargo test --quiet --profile checked -p axletree-scalar -p axletree-report -p axletree-numerics -p axletree-tire \
    -p axletree-linkage -p axletree-vehicle -p axletree-study --lib --test 'car_*' --test 'faults' --test 'study'
cargo bench --quiet --no-run --workspace --exclude axletree-python
cargo package --quiet --workspace --exclude axletree-python --exclude axletree-test-support --no-verify --allow-dirty

install all,test
"$py" -m ruff format --check .
"$py" -m ruff check .
"$py" -m pytest tests/python "$@"
