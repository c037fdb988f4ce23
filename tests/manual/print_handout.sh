#!/bin/sh
# Print a handout with headless Chromium: a screenshot and a PDF to look at. Needs chromium (or chromium-browser) installed.
# Run from the project's folder:  tests/manual/print_handout.sh [OUTPUT-FOLDER] ["MIXTURE"] [LEVEL]
set -eu
out=${1:-handout-print}
mixture=${2:-acetone and water}
level=${3:-upper-secondary}
browser=$(command -v chromium || command -v chromium-browser || command -v google-chrome || true)
if [ -z "$browser" ]; then
    echo "no Chromium is installed; nothing was checked" >&2
    exit 77
fi
mkdir -p "$out"
out=$(cd "$out" && pwd)
python -m choosemethod handout "$mixture" --level "$level" --format html --output "$out/handout.html"
set -- --headless --disable-gpu --no-sandbox --host-resolver-rules="MAP * ~NOTFOUND" --hide-scrollbars
"$browser" "$@" --screenshot="$out/handout.png" --window-size=900,2400 "file://$out/handout.html"
"$browser" "$@" --no-pdf-header-footer --print-to-pdf="$out/handout.pdf" "file://$out/handout.html"
for file in "$out/handout.png" "$out/handout.pdf"; do
    [ -s "$file" ] || { echo "$file was not made" >&2; exit 1; }
done
echo "look at $out/handout.png and $out/handout.pdf: the key must begin on a page of its own"
