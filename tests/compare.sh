#!/usr/bin/env bash
# The main job on a fresh machine: builds everything and compares the two bundled cars. Prints the
# table, writes the picture and the CSV to the folder it is called from.
. "$(dirname "${BASH_SOURCE[0]}")/environment.sh"
install plot
exec "$py" -m axletree "$@"
