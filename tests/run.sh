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

# Words given narrow the tests down to some of the program's own.
if [ "$#" -gt 0 ]; then
    exec cargo test --workspace "$@"
fi

# Says what a step took: the whole has a bound to keep.
step() { # NAME COMMAND...
    local began=$SECONDS
    echo "== $1"
    shift
    "$@"
    echo "== that took $((SECONDS - began)) s"
}

gather() {
    # A try that was cut short leaves an environment without pip.
    if ! .venv/bin/python -m pip --version >/dev/null 2>&1; then
        python3 -m venv --clear .venv
    fi
    .venv/bin/python -m pip install --quiet --disable-pip-version-check -r tests/outside/requirements.txt \
        -r tests/desk/browser/requirements.txt \
        -r tests/desk/http/requirements.txt
    mkdir -p .cache/browser
    cp tests/desk/browser/package.json .cache/browser/
    npm install --prefix .cache/browser --no-audit --no-fund --silent
    tests/outside/fetch_recordings.sh
}

# Beside the step that is running, its output kept until it is asked for.
logs=$(mktemp -d)
aside() { # NAME COMMAND...
    (set -e; step "$@") >"$logs/$1" 2>&1 &
    beside[$1]=$!
}
declare -A beside
ended() { # NAME: waits for it and shows what it said
    local outcome=0
    wait "${beside[$1]}" || outcome=$?
    unset "beside[$1]"
    cat "$logs/$1"
    return "$outcome"
}
trap 'kill "${beside[@]}" 2>/dev/null || true; rm -rf "$logs"' EXIT

# What comes over the network comes while the compiler works.
aside gathering gather
# The sound card's part is left out of the usual build, because it needs the system's library; that
# the rest builds without it, the lints of .ci/run say.
step "the program's own tests" cargo test --workspace --features sound-card
ended gathering

built=${CARGO_TARGET_DIR:-target}
export TAILBEAT="$built/debug/tailbeat"
python=.venv/bin/python

# The tests have just written these cases.
outside() {
    "$python" tests/outside/sed_eval_check.py "$built/tmp/event_matching.json"
    "$python" tests/outside/acoustics_check.py "$built/tmp/acoustics"
    "$python" tests/outside/markers_check.py "$built/tmp/markers"
    "$python" tests/outside/flac_check.py "$built/tmp/watch"
    "$python" tests/outside/parquet_check.py "$built/tmp/archive/heard"
    "$python" tests/outside/object_store_check.py "$TAILBEAT" "$built/tmp/archive/logger"
    "$python" tests/outside/watch_to_desk_check.py "$TAILBEAT"
    "$python" tests/outside/terminal_check.py "$TAILBEAT" "$built/tmp/terminal"
    tests/outside/one_sheet_check.sh "$built"/tmp/dossiers/*.html reports/afternoon/dossier/dossier.html
    tests/afternoon.sh --check
}

# Most of its time is waiting: for a disk, a lease, a desk that starts.
aside "the desk over HTTP" "$python" -m pytest -q -n 2 --dist worksteal tests/desk/http
step "checks against other programs" outside
step "the archive on Spark" "$python" tests/outside/spark_check.py "$TAILBEAT" "$built/tmp/archive/logger"
step "the desk in a browser" "$python" tests/desk/browser/run.py "$TAILBEAT" .cache/browser/node_modules \
    "$built/tmp/desk-pages"
step "real recordings" "$python" tests/outside/real_recordings_check.py "$TAILBEAT" .cache/outside
ended "the desk over HTTP"
