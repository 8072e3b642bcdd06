#!/bin/sh
# Another program against the installed library: the example, compiled from the installed tree alone, must print the number
# that the installed program prints, linked to the shared library and to the archive. The library offers wr_ names only.
set -eu
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
fail() { echo "check-library: $*" >&2; exit 1; }
tree=$scratch/usr
$MAKE --no-print-directory -s install PREFIX="$tree" >/dev/null
campaign=$PWD/datasets/petrel-7
export PKG_CONFIG_PATH=$tree/lib/pkgconfig LD_LIBRARY_PATH=$tree/lib
cd "$scratch"
example=$tree/share/doc/wetrun/examples/overrun.c
flags="-std=c11 -Wall -Wextra -Wpedantic -Werror"
$CC $flags "$example" $(pkg-config --cflags --libs wetrun) -o shared
$CC $flags "$example" $(pkg-config --cflags wetrun) "$tree/lib/libwetrun.a" \
  $(pkg-config --static --libs wetrun | tr ' ' '\n' | grep -v wetrun | tr '\n' ' ') -o static
"$tree/bin/wetrun" forecast "$campaign" --format json --quiet >forecast.json 2>/dev/null
python3 - >program <<'P'
import json
for limit in json.load(open("forecast.json"))["limits"]: print(limit["limit"], "%.10g" % limit["probability_over"])
P
./shared "$campaign" >from_shared
./static "$campaign" >from_static
[ -s program ] || fail "the program printed no probability"
cmp -s program from_shared && cmp -s program from_static ||
  fail "the library and the program differ: $(cat program from_shared from_static | tr '\n' ' ')"
for library in "$tree/lib/libwetrun.a" "-D $tree/lib/libwetrun.so"; do
  foreign=$(nm -g --defined-only $library | awk 'NF == 3 && $3 !~ /^(wr_|WETRUN_)/ { print $3 }')
  [ -z "$foreign" ] || fail "$library offers names without wr_:" $foreign
done
# no state but each thread's own: the guard of the call under way, and why it is being left (base/memory.c), and the
# step of the moments that it shows (present/words.c)
state=$(objdump -t "$tree/lib/libwetrun.a" | awk '/ (\.data|\.bss|\.tdata|\.tbss|\*COM\*)\t/ && $NF !~ /^\./ { print $NF }' | sort | tr '\n' ' ')
[ "$state" = "guard to_the_second trouble " ] || fail "global state: $state"
readelf -d shared | grep -q 'libwetrun\.so\.1' || fail "the shared library has no soname"
echo "library: the example prints the program's $(cut -d' ' -f2 program | head -n 1), shared and static; every name begins with wr_"
