#!/bin/sh
# check_layout.sh FOLDER: lays out every SVG in FOLDER in a browser, in several faces, and reports texts that leave their
# canvas or lie on another text. The unit tests check the same with our own measure of text; this is the outside one.
set -eu
folder=$1
browser=$(command -v chromium || command -v chromium-browser || true)
[ -n "$browser" ] || { echo "chart layout: no chromium here, not checked"; exit 0; }
here=$(dirname "$0")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
{
  echo '<!DOCTYPE html><meta charset="utf-8"><body><pre id="report"></pre>'
  for svg in "$folder"/*.svg; do
    echo "<section id=\"$(basename "$svg" .svg)\">"
    sed '1{/^<?xml/d}' "$svg"
    echo '</section>'
  done
  echo '<script>'
  cat "$here/check_layout.js"
  echo '</script>'
} > "$work/page.html"
timeout 300 "$browser" --headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking \
  --disable-component-update --disable-sync --user-data-dir="$work/profile" \
  --dump-dom "file://$work/page.html" > "$work/dom" 2> "$work/log" || { cat "$work/log" >&2; exit 1; }
awk '/<pre id="report">/ { on = 1 } on { print } /<\/pre>/ { on = 0 }' "$work/dom" | sed 's/<[^>]*>//g' > "$work/report"
cat "$work/report"
grep -q '^layout: [1-9][0-9]* texts .* 0 faults$' "$work/report"
