#!/bin/sh
# The commands of the tests at the command line, each under valgrind. Usage: valgrind.sh PROGRAM [case …]
# A case may expect any exit status, so what counts is what valgrind wrote down: anything is a fault.
set -u
program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1"); shift
valgrind=$(command -v valgrind) || { echo "valgrind: skipped, it is not installed"; exit 0; }
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
mkdir "$place/said" "$place/bin"
cat > "$place/bin/wetrun" <<W
#!/bin/sh
exec $valgrind -q --leak-check=full --show-leak-kinds=definite --errors-for-leak-kinds=definite --track-fds=no \\
  --log-file=$place/said/%p-\$\$ --error-exitcode=99 $program "\$@"
W
chmod +x "$place/bin/wetrun"
sh tests/cli/run.sh "$place/bin/wetrun" "$@"; status=$?
find "$place/said" -type f -size +0 | head -n 5 | while read -r log; do echo "-- valgrind:"; head -n 40 "$log"; done
n=$(find "$place/said" -type f | wc -l) bad=$(find "$place/said" -type f -size +0 | wc -l)
echo "valgrind: $n commands, $bad with something to say"
[ "$status" -eq 0 ] && [ "$bad" -eq 0 ] && [ "$n" -gt 0 ]
