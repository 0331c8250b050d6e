#!/bin/sh
# The own finite-element model against CalculiX: force and springback at five depths. Writes compare_ccx.csv and
# compare_ccx.svg beside this file and prints the tables of docs/validation.md. About half an hour on one free core; a run
# that was cut short goes on where it was. Not part of CI.
set -eu
cd "$(dirname "$0")/../.."
command -v ccx >/dev/null || { echo "ccx is not on the path: apt-get install calculix-ccx" >&2; exit 1; }
exec cargo run --quiet --release --package fem --example compare_ccx -- docs/validation "$@"
