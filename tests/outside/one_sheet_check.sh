#!/usr/bin/env bash
# Prints dossiers by a browser, each to A4 and to letter, and counts the sheets: one.
# Usage: one_sheet_check.sh DOSSIER.html...
set -euo pipefail
[ "$#" -gt 0 ] || { echo "no dossier to print" >&2; exit 2; }
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
bad=0
for page in "$@"; do
    for paper in A4 letter; do
        name=$(basename "$page" .html)-$paper
        # The dossier names no paper, so that it prints on what the printer holds; here it is told.
        sed "s/@page{margin/@page{size:$paper;margin/" "$page" > "$work/$name.html"
        chromium --headless --no-sandbox --disable-gpu --no-pdf-header-footer \
            --print-to-pdf="$work/$name.pdf" "file://$work/$name.html" 2> /dev/null
        sheets=$(pdfinfo "$work/$name.pdf" | sed -n 's/^Pages: *//p')
        size=$(pdfinfo "$work/$name.pdf" | sed -n 's/^Page size:.*(\(.*\))/\1/p')
        echo "$name: $sheets sheet(s) of $size"
        [ "$sheets" = 1 ] && [ "${size,,}" = "${paper,,}" ] || bad=1
    done
done
exit "$bad"
