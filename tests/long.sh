#!/usr/bin/env bash
# Checks too long for every change; continuous integration does not run them.
. "$(dirname "${BASH_SOURCE[0]}")/environment.sh"
cd "$root"

# The whole golden table without vectors: four minutes on two cores.
AXLETREE_WIDTH=1 AXLETREE_GOLDEN=whole cargo test --release -p axletree-study --test golden -- --nocapture
# The laws of the searches without vectors: three minutes.
AXLETREE_WIDTH=1 cargo test --release -p axletree-limit --tests law_
# Every package built from what it would publish.
cargo package --workspace --exclude axletree-python --exclude axletree-test-support --allow-dirty
