#!/usr/bin/env bash
# Installs what the tests need (Debian), then runs all of them.
set -euo pipefail
cd "$(dirname "$0")/.."

missing=()
command -v ffmpeg >/dev/null || missing+=(ffmpeg)
command -v sox >/dev/null || missing+=(sox)
command -v npm >/dev/null || missing+=(npm)
command -v chromium >/dev/null || missing+=(chromium)
command -v chromedriver >/dev/null || missing+=(chromium-driver)
command -v mkfs.ext4 >/dev/null || missing+=(e2fsprogs)
command -v java >/dev/null || missing+=(default-jre-headless)
[ -f /usr/include/alsa/asoundlib.h ] || missing+=(libasound2-dev)
compgen -G '/usr/lib/postgresql/*/bin/initdb' >/dev/null || missing+=(postgresql)
command -v pdfinfo >/dev/null || missing+=(poppler-utils)
# Debian's python3 alone cannot make an environment with pip in it.
python3 -c 'import ensurepip, venv' 2>/dev/null || missing+=(python3 python3-venv)
if [ "${#missing[@]}" -gt 0 ]; then
    as_root=()
    [ "$(id -u)" -eq 0 ] || as_root=(sudo)
    "${as_root[@]}" apt-get update
    "${as_root[@]}" apt-get install -y "${missing[@]}"
fi

# A try that was cut short leaves an environment without pip.
if ! .venv/bin/python -m pip --version >/dev/null 2>&1; then
    python3 -m venv --clear .venv
fi
.venv/bin/python -m pip install --quiet --disable-pip-version-check -r tests/outside/requirements.txt \
    -r tests/desk/browser/requirements.txt \
    -r tests/desk/http/requirements.txt

cargo test --workspace "$@"
# The sound card's part is left out of the usual build, because it needs the system's library. With
# a test beside it, the packages it stands on are those that the lints have already checked.
[ "$#" -gt 0 ] || cargo check --features sound-card --bins --test house

built=${CARGO_TARGET_DIR:-target}
# The tests have just written these cases; words given narrow the tests down and may not.
if [ "$#" -eq 0 ]; then
    .venv/bin/python tests/outside/sed_eval_check.py "$built/tmp/event_matching.json"
    .venv/bin/python tests/outside/acoustics_check.py "$built/tmp/acoustics"
    .venv/bin/python tests/outside/markers_check.py "$built/tmp/markers"
    .venv/bin/python tests/outside/flac_check.py "$built/tmp/watch"
    .venv/bin/python tests/outside/parquet_check.py "$built/tmp/archive/heard"
    .venv/bin/python tests/outside/object_store_check.py "$built/debug/tailbeat" "$built/tmp/archive/logger"
    .venv/bin/python tests/outside/watch_to_desk_check.py "$built/debug/tailbeat"
    .venv/bin/python tests/outside/terminal_check.py "$built/debug/tailbeat" "$built/tmp/terminal"
    .venv/bin/python tests/outside/spark_check.py "$built/debug/tailbeat" "$built/tmp/archive/logger"
    tests/outside/one_sheet_check.sh "$built"/tmp/dossiers/*.html reports/afternoon/dossier/dossier.html
    TAILBEAT="$built/debug/tailbeat" tests/afternoon.sh --check
    mkdir -p .cache/browser
    cp tests/desk/browser/package.json .cache/browser/
    npm install --prefix .cache/browser --no-audit --no-fund --silent
    .venv/bin/python tests/desk/browser/run.py "$built/debug/tailbeat" \
        .cache/browser/node_modules "$built/tmp/desk-pages"
    # Most of its time is waiting: for a disk, a lease, a desk that starts.
    TAILBEAT="$built/debug/tailbeat" .venv/bin/python -m pytest -q -n 2 --dist worksteal tests/desk/http
    tests/outside/fetch_recordings.sh
    .venv/bin/python tests/outside/real_recordings_check.py "$built/debug/tailbeat" .cache/outside
fi
