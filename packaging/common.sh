# Shared by make-linux and make-windows; sourced, not run. Leaves the current folder at the repository's root.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
version=$(sed -n 's/^version = "\(.*\)"$/\1/p' Cargo.toml | head -n1)
out=${OUT:-target/packages}
mkdir -p "$out"
out=$(realpath "$out")
# Every file of a package has the time of the last commit, so that the same source gives the same package.
SOURCE_DATE_EPOCH=${SOURCE_DATE_EPOCH:-$(git log -1 --format=%ct 2> /dev/null || date +%s)}
export SOURCE_DATE_EPOCH

need() {
    local missing=()
    for tool in "$@"; do command -v "$tool" > /dev/null || missing+=("$tool"); done
    [ ${#missing[@]} -eq 0 ] || { echo "$0: missing: ${missing[*]} ($hint)" >&2; exit 1; }
}

cargo_home=$(realpath "${CARGO_HOME:-$HOME/.cargo}")

# Builds the program so that no path of this machine stays inside (a panic names its source file).
build_release() {
    local separator=$'\x1f'
    CARGO_ENCODED_RUSTFLAGS="--remap-path-prefix=$cargo_home=/cargo${separator}--remap-path-prefix=$PWD=/tautline" \
        cargo build --release --bin tautline "$@"
}

# A path of the machine that built would tell who did, and two machines would make two packages.
refuse_paths() {
    local folder
    for folder in "$cargo_home/" "$PWD/"; do
        if grep -a -q -F -e "$folder" "$1"; then
            echo "$0: $1 holds the path $folder of this machine: let this script build it" >&2
            exit 1
        fi
    done
}

# The robot player presses by XTEST and exists for tests alone: refuse a program that carries any of it.
refuse_robot() {
    if grep -a -q -e XTEST -e 'robot player' "$1"; then
        echo "$0: $1 holds code of the robot player: build it with --bin tautline alone" >&2
        exit 1
    fi
}

# What goes into every package: protocols, licences, what to read.
common_files() {
    local to=$1
    mkdir -p "$to/protocols" "$to/docs"
    cp protocols/*.toml "$to/protocols/"
    cp README.md CHANGELOG.md LICENSE-MIT LICENSE-APACHE "$to/"
    cp docs/*.md docs/*.csv "$to/docs/"
    cp -r docs/pictures "$to/docs/"
}

same_time() { find "$1" -exec touch --no-dereference --date="@$SOURCE_DATE_EPOCH" {} +; }

checksums() {
    (cd "$out" && sha256sum tautline[-_]* | grep -v SHA256SUMS > SHA256SUMS && cat SHA256SUMS)
}
