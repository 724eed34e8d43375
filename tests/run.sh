#!/usr/bin/env bash
# Installs what the tests need (Debian), then runs all of them.
set -euo pipefail
cd "$(dirname "$0")/.."

missing=()
command -v ffmpeg >/dev/null || missing+=(ffmpeg)
command -v sox >/dev/null || missing+=(sox)
command -v python3 >/dev/null || missing+=(python3 python3-venv)
if [ "${#missing[@]}" -gt 0 ]; then
    as_root=()
    [ "$(id -u)" -eq 0 ] || as_root=(sudo)
    "${as_root[@]}" apt-get update
    "${as_root[@]}" apt-get install -y "${missing[@]}"
fi

if [ ! -x .venv/bin/python ]; then
    python3 -m venv .venv
fi
.venv/bin/pip install --quiet --disable-pip-version-check -r tests/outside/requirements.txt

cargo test --workspace "$@"
