#!/bin/sh
# Functions that the program never reaches: only those of tests/support/unreached.txt, which says what they are there for.
# Compiled apart, one section a function, and linked so that the linker names what it drops. Usage: check_dead.sh CC FLAGS…
set -eu
export LC_ALL=C
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
for f in src/*.c src/*/*.c; do
  case $f in *_avx2.c) isa=-mavx2 ;; *_avx512.c) isa="-mavx512f -mavx512dq -mavx512bw -mavx512vl" ;; *) isa="" ;; esac
  "$@" -O0 -ffunction-sections -Wno-psabi $isa -c "$f" -o "$scratch/$(echo "$f" | tr / _).o" || { echo "$f does not compile alone"; exit 1; }
done
"$1" -Wl,--gc-sections -Wl,--print-gc-sections -o "$scratch/program" "$scratch"/*.o $EMBEDDED $LIBS 2>&1 |
  sed -n "s/.*'\.text\.\(wr_[a-z0-9_]*\)' in file.*/\1/p" | sort -u >"$scratch/unreached"
sed -n 's/^\(wr_[a-z0-9_]*\).*/\1/p' tests/support/unreached.txt | sort -u >"$scratch/listed"
status=0
new=$(comm -23 "$scratch/unreached" "$scratch/listed"); gone=$(comm -13 "$scratch/unreached" "$scratch/listed")
[ -z "$new" ] || { echo "the program never reaches:" $new >&2; status=1; }
[ -z "$gone" ] || { echo "tests/support/unreached.txt lists what is reached, or not there:" $gone >&2; status=1; }
[ "$status" = 0 ] && echo "dead code: $(wc -l <"$scratch/listed") functions are unreached, each with its reason"
exit "$status"
