#!/usr/bin/env bash
# Builds the live page and uses it in a headless Chromium: `bash tests/outside/live.sh [SECONDS]`, by default 60 seconds of random edits.
# Skips, and says so, where Chromium or the standard library for WebAssembly is missing.
set -euo pipefail
cd "$(dirname "$0")/../.."

chromium=$(command -v chromium || command -v chromium-browser || true)
if [ -z "$chromium" ]; then
    printf 'tests/outside: no chromium here: the live page is skipped (Debian: apt-get install chromium)\n'
    exit 0
fi
bash crates/page/build.sh target/hoopwright.html || {
    code=$?
    [ "$code" -eq 3 ] && printf 'tests/outside: the live page is skipped\n' && exit 0
    exit "$code"
}
cargo build --release --quiet
python3 tests/outside/live.py target/hoopwright.html target/release/hoopwright "$chromium" "${1:-60}"
