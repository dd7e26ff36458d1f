#!/bin/sh
# Pin every dependency with hashes, for all supported Pythons and systems; no address of a registry is written.
# Needs uv on the path.
set -eu
cd "$(dirname "$0")/.."
compile() {
    uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header \
        --no-emit-index-url --no-emit-find-links --no-annotate "$@"
}
compile pyproject.toml requirements/build.in -o requirements/run.lock
compile pyproject.toml requirements/build.in --extra dev -c requirements/run.lock -o requirements/dev.lock
compile pyproject.toml requirements/build.in --extra fast --extra cluster -c requirements/run.lock -o requirements/extras.lock
