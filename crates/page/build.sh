#!/usr/bin/env bash
# Builds the live page, one HTML file: `bash crates/page/build.sh [FILE]`, by default target/hoopwright.html.
# Needs cargo and the standard library for wasm32-unknown-unknown. Exit code 3: that library is missing.
set -euo pipefail
cd "$(dirname "$0")/../.."

target=wasm32-unknown-unknown
page=${1:-target/hoopwright.html}
if [ ! -d "$(rustc --print sysroot)/lib/rustlib/$target/lib" ]; then
    printf 'crates/page: Rust has no standard library for %s here. Add it (rustup target add %s) and run this again.\n' "$target" "$target" >&2
    exit 3
fi
cargo rustc --locked --quiet --package hoopwright-page --lib --crate-type cdylib --profile page --target "$target"
module=target/$target/page/hoopwright_page.wasm
cargo run --locked --quiet --release --package hoopwright-page --example bundle -- "$module" "$page"
printf '%s: %d bytes, of which the module %d unpacked, %d packed\n' "$page" "$(wc -c <"$page")" "$(wc -c <"$module")" "$(gzip -9 -c "$module" | wc -c)"
