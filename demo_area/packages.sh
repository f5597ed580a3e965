# What the two setup commands need from Debian 12, and how they get it. Sourced, not run.

BUILD_PACKAGES=(g++ cmake ninja-build pkg-config libgdal-dev libproj-dev libsqlite3-dev libspatialite-dev libimgui-dev
  libglfw3-dev libgl-dev libopengl-dev libegl-dev libgl1-mesa-dri libegl-mesa0 libfreetype-dev libpng-dev libgeos-dev libcairo2-dev
  libcli11-dev nlohmann-json3-dev fonts-roboto-unhinted fonts-dejavu-core)
TEST_PACKAGES=(doctest-dev libbenchmark-dev gdal-bin python3 python3-gdal xvfb xauth xdotool clang-format
  postgresql-15-postgis-3 poppler-utils qpdf clang-16 libclang-rt-16-dev)

# Installs those of the packages named that are not there yet; needs root or sudo only for that.
install_packages() {
  local missing=() package
  for package in "$@"; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'install ok installed' || missing+=("$package")
  done
  [ ${#missing[@]} -eq 0 ] && return 0
  echo "== installing ${missing[*]}"
  local as_root=(env)
  if [ "$(id -u)" -ne 0 ]; then
    command -v sudo > /dev/null || { echo "Ask somebody with root rights to install: ${missing[*]}" >&2; return 1; }
    as_root=(sudo env)
  fi
  "${as_root[@]}" apt-get update -q
  "${as_root[@]}" DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "${missing[@]}"
}
