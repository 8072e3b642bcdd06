#!/bin/sh
# chart_words.sh FOLDER: what each chart of the folder says to who does not see it, "name: words", in the order of names.
for svg in "$1"/*.svg; do
  echo "$(basename "$svg" .svg): $(sed -n 's/.*aria-label="\([^"]*\)".*/\1/p' "$svg" | head -n 1)"
done
