#!/usr/bin/env bash
# The whole job in one afternoon: plays the invented recordings of corpus/afternoon, runs every
# command of the story on them, and writes what came out into reports/afternoon.
#
#   tests/afternoon.sh            makes reports/afternoon anew
#   tests/afternoon.sh --check    makes it elsewhere and complains where the one kept differs
set -euo pipefail
cd "$(dirname "$0")/.."
root=$PWD
# TAILBEAT names a program that is built already.
if [ -n "${TAILBEAT:-}" ]; then
    tailbeat=$(realpath "$TAILBEAT")
else
    cargo build --quiet
    tailbeat=$(cd "${CARGO_TARGET_DIR:-target}" && pwd)/debug/tailbeat
fi
made=$(mktemp -d)
trap 'rm -rf "$made"' EXIT
mkdir "$made/reports"
export COLUMNS=88 NO_COLOR=1

# The recordings lie where the story's commands are run; only what comes out is kept.
cd "$made"
for scene in complaint tone steps-before before after steps-after; do
    "$tailbeat" simulate "$root/corpus/afternoon/$scene.toml" -o "$scene.wav" > simulated
done
cp "$root"/corpus/afternoon/*.csv .
cp "$root/corpus/examples/site.toml" "$root/corpus/examples/tee.toml" .

# told NAME COMMAND...: what a terminal shows, with the command above it.
told() {
    local name=$1
    shift
    {
        printf '$ tailbeat'
        for word in "$@"; do
            case $word in
                *" "*) printf ' "%s"' "$word" ;;
                *) printf ' %s' "$word" ;;
            esac
        done
        printf '\n\n'
        "$tailbeat" "$@"
    } > "reports/$name.txt"
}
# Only the drawings for a page; whoever wants more runs the command.
drawn() {
    cp "$1"/*.svg reports/
}

# What the README opens with: committed recordings, by the path that a reader would type.
mkdir -p corpus
cp -r "$root/corpus/recordings" corpus/
told 0-phone check corpus/recordings/cycling-phone-at-speaker.m4a --out phone
cp phone/timeline.svg reports/phone.svg
told 0-unsettled check corpus/recordings/cycling-phone-too-short.m4a

told 1-verdict check complaint.wav --out verdict
cp verdict/timeline.svg reports/
told 2-desense backoff steps-before.wav --steps steps-before.csv --hysteresis 2 --erp 50 \
    --target 1 --out desense
drawn desense
told 2-cost cost 7 --erp 50 --target 1
told 2-tee tee tee.toml
told 2-sinad sinad tone.wav --part 3-18
told 3-search hunt site.toml --out search
drawn search
told 4-found hunt site.toml --gone "jumper to isolator" --stays "jumper to arrestor" \
    --gone "jumper to duplexer" --gone "transmit cavities" --out found
cp found/belief.svg reports/found.svg

# The proof: drop after drop, and the stepped test, before and after.
for set in before after; do
    "$tailbeat" backoff "steps-$set.wav" --steps "steps-$set.csv" --hysteresis 2 --json \
        > "steps-$set.json"
done
told 5-proof compare --before before.wav steps-before.json --after after.wav steps-after.json \
    --station "QQ0TB, Invented Hill" --work "jumper to arrestor replaced" --out dossier
cp -r dossier reports/
told 6-verified compare --verify dossier

kept=$root/reports/afternoon
if [ "${1:-}" = --check ]; then
    diff -r "$kept" reports
    python3 "$root/tests/readme_blocks.py" "$root/README.md" "$kept" --check
    echo "reports/afternoon and the README are what the commands give"
else
    rm -rf "$kept"
    mkdir -p "$root/reports"
    cp -r reports "$kept"
    python3 "$root/tests/readme_blocks.py" "$root/README.md" "$kept"
    echo "reports/afternoon is made anew, and what the README shows of it"
fi
