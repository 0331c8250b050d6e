#!/bin/sh
# The own finite-element model against CalculiX over the whole cycle, three tubes: pressed in, drawn back, pushed out from inside
# and let go again and again until it stands past true. Writes its rows into compare_ccx.csv beside this file and prints the tables
# of docs/validation.md. Five to twenty minutes a tube on one free core; a tube whose deck is unchanged and whose answer is whole is
# not run again. Not part of CI. Further arguments name one tube and the mesh (table, the default, or coarse):
# compare_ccx.sh /tmp/work 40 coarse.
set -eu
cd "$(dirname "$0")/../.."
command -v ccx >/dev/null || { echo "ccx is not on the path: apt-get install calculix-ccx" >&2; exit 1; }
exec cargo run --quiet --release --package fem --example compare_ccx -- docs/validation "$@"
