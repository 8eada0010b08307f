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
  local missing as_root=()
  mapfile -t missing < <(dripleg_missing)
  [ "${#missing[@]}" -gt 0 ] || return 0
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null; then
      printf 'these packages are missing, and only root can install them: %s\n' "${missing[*]}" >&2
      return 2
    fi
    as_root=(sudo)
  fi
  printf 'installing: %s\n' "${missing[*]}"
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get update -qq
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
}

# The first argument names what to build; without one, everything.
dripleg_build() {
  local said
  said=$(cmake -S . -B build -G Ninja -DCMAKE_BUILD_TYPE=Release -DDRIPLEG_STRICT_LIBRARY=ON 2>&1) || { printf '%s\n' "$said" >&2; return 2; }
  cmake --build build ${1:+--target "$1"}
}

cd "$(dripleg_top)"
