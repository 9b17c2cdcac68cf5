#!/usr/bin/env bash
# Checks too long for every change; continuous integration does not run them.
. "$(dirname "${BASH_SOURCE[0]}")/environment.sh"
cd "$root"

# The whole golden table without vectors: four minutes on two cores.
AXLETREE_WIDTH=1 AXLETREE_GOLDEN=whole cargo test --release -p axletree-study --test golden -- --nocapture
# The laws of whole maneuvers and searches without the widest vectors: eight minutes.
for width in $(cargo run --quiet --release -p axletree-scalar --example widths | tail -n +2); do
    AXLETREE_WIDTH=$width cargo test --release -p axletree-maneuver -p axletree-limit -p axletree-study --tests law_
done
# Every package built from what it would publish.
cargo package --workspace --exclude axletree-python --exclude axletree-test-support --allow-dirty
