#!/usr/bin/env bash
# Times GRASS r.watershed on the terrain that geodata_bench routes, and compares basins on the reference terrain.
# Needs Debian's grass-core and the built program; no test and no build needs this.
#
#   BROOKMARK_BENCH_DEM=/tmp/f.flt build/release/tests/geodata_bench --benchmark_filter=none
#   bash tests/bench/terrain_grass.sh build/release/brookmark /tmp/f.flt
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
program=$(realpath "$1")
terrain=$(realpath "$2")
reference=$here/../reference/terrain
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT

# Catchments of the reference's outlets, moved to where the other program has its channel (ref_basins.csv).
grass_steps="$folder/steps.sh"
cat > "$grass_steps" <<STEPS
set -e
export GRASS_VERBOSE=0
r.in.gdal -o input="$terrain" output=bench
g.region raster=bench
echo "r.watershed (-s, in memory) on \$(r.info -g bench | grep -E '^(rows|cols)' | tr '\n' ' ')"
time r.watershed -s elevation=bench accumulation=acc drainage=dir
r.in.gdal -o input="$reference/fractal_500.tif" output=dem
g.region raster=dem
r.watershed -s elevation=dem drainage=flow
STEPS
while IFS=, read -r _ outlet row col x y _ _ input snapped_row snapped_col _; do
  [ "$input" = raw ] || continue
  "$program" terrain "$reference/fractal_500.tif" --outlet "$x,$y" --catchments "$folder/c$outlet.gpkg" --format csv >/dev/null
  east=$(awk "BEGIN { print 500000 + ($snapped_col + 0.5) * 10 }")
  north=$(awk "BEGIN { print 4500000 - ($snapped_row + 0.5) * 10 }")
  cat >> "$grass_steps" <<STEPS
r.water.outlet input=flow output=theirs$outlet coordinates=$east,$north
v.in.ogr -o input="$folder/c$outlet.gpkg" output=c$outlet
v.to.rast input=c$outlet output=ours$outlet use=val value=1
r.mapcalc "both$outlet = if(isnull(theirs$outlet), 0, 1) + 2 * if(isnull(ours$outlet), 0, 1)"
echo "outlet $outlet: \$(r.stats -c -n both$outlet | awk '{ n[\$1] = \$2 } END { printf "theirs %d cells, ours %d, overlap (intersection over union) %.5f", n[1] + n[3], n[2] + n[3], n[3] / (n[1] + n[2] + n[3]) }')"
STEPS
done < <(tail -n +2 "$reference/ref_basins.csv")
grass --tmp-location EPSG:32631 --exec bash "$grass_steps"
