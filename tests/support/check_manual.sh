#!/bin/sh
# mandoc has nothing to say about the manual pages, and the pages of ours that they refer to exist.
# Usage: check_manual.sh FOLDER-WITH-man1-…
set -u
manual=$1 bad=0
command -v mandoc >/dev/null || { echo "check-manual: mandoc is not installed" >&2; exit 1; }
said=$(mandoc -T lint "$manual"/man[1-9]/* 2>&1 | grep -v 'referenced manual not found\|outdated mandoc.db')
[ -z "$said" ] || { echo "$said" >&2; bad=1; }
for page in $(sed -n 's/^\.Xr \(wetrun[a-z-]*\) \([1-9]\).*/man\2\/\1.\2/p' "$manual"/man[1-9]/* | sort -u); do
  [ -f "$manual/$page" ] || { echo "a page refers to $page, which is not there" >&2; bad=1; }
done
[ "$bad" = 0 ] && echo "manual: mandoc has nothing to say about $(ls "$manual"/man[1-9]/* | wc -l) pages"
exit "$bad"
