#!/bin/sh
# The own finite-element model against CalculiX over the whole cycle, three tubes: pressed in, drawn back, pushed out from inside
# and let go again and again until it stands past true. Writes compare_ccx.csv beside this file and prints the tables of
# docs/validation.md. Five to twenty minutes a tube on one free core; a run that was cut short goes on where it was. Not part of CI.
# A third argument names one tube: compare_ccx.sh /tmp/work 40.
set -eu
cd "$(dirname "$0")/../.."
command -v ccx >/dev/null || { echo "ccx is not on the path: apt-get install calculix-ccx" >&2; exit 1; }
exec cargo run --quiet --release --package fem --example compare_ccx -- docs/validation "$@"
