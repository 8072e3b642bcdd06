#!/bin/sh
# A file may include headers of its own room and of rooms on lower floors (src/FLOORS). Sideways and up are errors.
set -u
bad=0
floor() { awk -v r="$1" '$2 == r && $1 !~ /^#/ { print $1 }' src/FLOORS; }
for f in src/*/*.c src/*/*.h include/wetrun/*/*.h; do
  [ -e "$f" ] || continue
  room=$(basename "$(dirname "$f")"); mine=$(floor "$room")
  [ -n "$mine" ] || { echo "$f: room '$room' is not in src/FLOORS"; bad=1; continue; }
  for other in $(sed -n 's|^ *# *include "wetrun/\([a-z]*\)/.*|\1|p' "$f" | sort -u); do
    [ "$other" = "$room" ] && continue
    theirs=$(floor "$other")
    [ -n "$theirs" ] && [ "$theirs" -lt "$mine" ] || { echo "$f: includes wetrun/$other (floor ${theirs:-none}) from floor $mine"; bad=1; }
  done
done
[ $bad = 0 ] && echo "floors: includes point down"
exit $bad
