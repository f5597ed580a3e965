# What the two setup commands need from Debian 12, and how they get it. Sourced, not run.

BUILD_PACKAGES=(g++ cmake ninja-build pkg-config libgdal-dev libproj-dev libsqlite3-dev libspatialite-dev libimgui-dev
  libstb0 libglfw3-dev libgl-dev libegl-dev libgl1-mesa-dri libegl-mesa0 libfreetype-dev libpng-dev libgeos-dev libcli11-dev
  nlohmann-json3-dev fonts-roboto-unhinted fonts-dejavu-core)
TEST_PACKAGES=(doctest-dev libbenchmark-dev gdal-bin python3-gdal sqlite3 xvfb xauth xdotool clang-format clang-tidy)

# Installs those of the packages named that are not there yet; needs root or sudo only for that.
install_packages() {
  local missing=() package
  for package in "$@"; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'install ok installed' || missing+=("$package")
  done
  [ ${#missing[@]} -eq 0 ] && return 0
  echo "== installing ${missing[*]}"
  local as_root=()
  [ "$(id -u)" -eq 0 ] || as_root=(sudo)
  "${as_root[@]}" apt-get update -q
  DEBIAN_FRONTEND=noninteractive "${as_root[@]}" apt-get install -y -q --no-install-recommends "${missing[@]}"
}
