# Shared by tests/run and examples/run: installs what is missing, configures and builds. Expects to be
# sourced with `set -euo pipefail` in force; leaves the shell in the top folder of the project.

dripleg_top() { cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd; }

# Packages of Debian 12, each for what it is needed.
dripleg_packages=(
  g++ cmake ninja-build                       # to build
  tao-pegtl-dev libfmt-dev libcmark-dev libcli11-dev   # inside the program
  doctest-dev nlohmann-json3-dev libbenchmark-dev      # inside tests and benchmarks
  units jsonnet python3 python3-pint python3-jsonschema python3-iapws   # what results are compared with
)

dripleg_missing() {
  local package
  for package in "${dripleg_packages[@]}"; do
    [ "$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null || true)" = installed ] || printf '%s\n' "$package"
  done
}

dripleg_install() {
  local missing
  mapfile -t missing < <(dripleg_missing)
  dripleg_add "${missing[@]}"
}

dripleg_add() {
  local as_root=()
  [ "$#" -gt 0 ] || return 0
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null; then
      printf 'these packages are missing, and only root can install them: %s\n' "$*" >&2
      return 2
    fi
    as_root=(sudo)
  fi
  printf 'installing: %s\n' "$*"
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get update -qq
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >/dev/null
}

# The engine for pipe networks that balanced flows are compared with, out of the tree, in the versions of the lock file.
# Node may be here from elsewhere than Debian: what counts is that it can be called. Without it only the tests that compare fail.
dripleg_engine() {
  local from=tests/references/networks into=build/engine missing=()
  cmp -s "$from/package-lock.json" "$into/installed" && return 0
  command -v node >/dev/null || missing+=(nodejs)
  command -v npm >/dev/null || missing+=(npm)
  dripleg_add "${missing[@]}" || return 2
  printf 'installing: the engine for pipe networks\n'
  mkdir -p "$into"
  cp "$from/package.json" "$from/package-lock.json" "$into/"
  npm ci --prefix "$into" --ignore-scripts --no-audit --no-fund --loglevel=error >/dev/null || return 2
  cp "$from/package-lock.json" "$into/installed"
}

# The first argument names what to build; without one, everything.
dripleg_build() {
  local said
  said=$(cmake -S . -B build -G Ninja -DCMAKE_BUILD_TYPE=Release -DDRIPLEG_STRICT_LIBRARY=ON 2>&1) || { printf '%s\n' "$said" >&2; return 2; }
  cmake --build build ${1:+--target "$1"}
}

cd "$(dripleg_top)"
