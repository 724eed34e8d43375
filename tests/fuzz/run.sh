#!/usr/bin/env bash
# Fuzzes each target for so many minutes, guided by coverage: tests/fuzz/run.sh MINUTES [TARGET...]
# Needs cargo-fuzz (`cargo install cargo-fuzz`); any compiler will do, as no sanitizer is used. What
# made a target fail is left in tests/fuzz/artifacts/TARGET; mend the fault, shrink the input
# (`cargo fuzz tmin`), and keep it in tests/kept/TARGET under a name that says what was wrong. What was
# done is added to reports/fuzzing.md.
set -euo pipefail
cd "$(dirname "$0")"
minutes=$1
shift
targets=("$@")
[ "${#targets[@]}" -gt 0 ] || targets=(intake timeline cause texts)
crate=../..

seed() { # TARGET NAME: standard input becomes a seed
    mkdir -p "corpus/$1"
    cat >"corpus/$1/seed-$2"
}
for file in "$crate"/corpus/recordings/*.{m4a,mp3,ogg,wav,webm,flac}; do
    head -c 30000 "$file" | seed intake "$(basename "$file")"
done
if command -v ffmpeg >/dev/null; then
    # A second of tone in every other container, small enough to be changed often.
    made=$(mktemp -d)
    trap 'rm -rf "$made"' EXIT
    for how in aiff caf aac mka:libvorbis wav:adpcm_ms wav:adpcm_ima_wav wav:pcm_f32le m4a:alac mp4:libopus opus flac mp3; do
        ending=${how%%:*} codec=${how#*:}
        words=()
        [ "$codec" = "$ending" ] || words=(-c:a "$codec")
        ffmpeg -v error -f lavfi -i sine=1000:duration=1.2:sample_rate=16000 "${words[@]}" -strict -2 \
            -y "$made/tone.$ending"
        seed intake "tone-${how/:/-}" <"$made/tone.$ending"
    done
fi
for target in timeline cause texts; do
    for file in "$crate/tests/kept/$target"/*; do
        seed "$target" "$(basename "$file")" <"$file"
    done
done
number=0
for file in "$crate"/corpus/examples/{steps.csv,trials.csv,site.toml,tee.toml,tee-swapped.csv} \
    "$crate"/corpus/examples/steps.csv "$crate"/reports/afternoon/dossier/dossier.json \
    "$crate"/corpus/scenarios/teaching/*.toml "$crate"/corpus/split.toml; do
    # The first byte says which reader; several take each kind, so each file goes to all.
    [ -f "$file" ] || continue
    for which in 0 1 2 3 4 5 6 7 8 9; do
        { printf "\\x0$which"; cat "$file"; } | seed texts "file-$number-$which"
    done
    number=$((number + 1))
done

declare -A longest=([intake]=60000 [timeline]=200 [cause]=4000 [texts]=6000)
failed=0
for target in "${targets[@]}"; do
    # Silence of ten minutes, which a damaged time stamp may claim, takes its while at this build's
    # speed; more than a minute is a hang.
    mkdir -p artifacts "corpus/$target"
    cargo fuzz run -s none --fuzz-dir . "$target" -- \
        -max_total_time=$((minutes * 60)) -timeout=60 -rss_limit_mb=1500 -max_len="${longest[$target]}" \
        -print_final_stats=1 -verbosity=1 >"artifacts/$target.log" 2>&1 || failed=1
    tail -n 12 "artifacts/$target.log"
    python3 report.py "$target" "artifacts/$target.log" "$crate/reports/fuzzing.md"
done
exit "$failed"
