// Why: the small programs that draw the map. Positions are metres from the survey's centre; sizes are
// framebuffer pixels; edges are softened in the shader, so that no multisampling is needed and pictures are
// the same everywhere.
#pragma once

namespace brookmark::viewer::shaders {

inline constexpr const char* kCommon = R"(
uniform vec2 centre;      // metres
uniform float px_per_m;
uniform vec2 middle;      // of the map, pixels from the top left
uniform vec2 canvas;      // framebuffer size
vec2 to_px(vec2 p) { return middle + (p - centre) * vec2(px_per_m, -px_per_m); }
vec4 to_clip(vec2 px) { return vec4(px.x / canvas.x * 2.0 - 1.0, 1.0 - px.y / canvas.y * 2.0, 0.0, 1.0); }
)";

inline constexpr const char* kAreaVertex = R"(
layout(location = 0) in vec2 place;
void main() { gl_Position = to_clip(to_px(place)); }
)";
inline constexpr const char* kAreaFragment = R"(
uniform vec4 colour;
out vec4 result;
void main() { result = colour; }
)";

// A piece of the ground, its corners from the number of the vertex.
inline constexpr const char* kTileVertex = R"(
uniform vec4 box;   // west, south, east, north, metres
uniform vec4 part;  // of the image: west, north, east, south
out vec2 at;
void main() {
  bool east = (gl_VertexID & 1) == 1, north = gl_VertexID > 1;
  at = vec2(east ? part.z : part.x, north ? part.y : part.w);
  gl_Position = to_clip(to_px(vec2(east ? box.z : box.x, north ? box.w : box.y)));
}
)";
inline constexpr const char* kTileFragment = R"(
in vec2 at;
uniform sampler2D image;
uniform float shaded, strength;
uniform vec4 shade, light, paper;
out vec4 result;
void main() {
  vec4 seen = texture(image, at);
  vec3 colour = mix(seen.rgb, mix(shade.rgb, light.rgb, seen.r), shaded);
  result = vec4(mix(paper.rgb, colour, strength), seen.a);
}
)";

// One instance a segment: a box around it, rounded at both ends.
inline constexpr const char* kLineVertex = R"(
layout(location = 0) in vec2 from;
layout(location = 1) in vec2 to;
layout(location = 2) in float along_m;
uniform float half_width;
out vec2 local;
flat out float run;
flat out float along;
void main() {
  vec2 a = to_px(from), b = to_px(to);
  run = length(b - a);
  vec2 dir = run > 1e-4 ? (b - a) / run : vec2(1.0, 0.0);
  vec2 across = vec2(-dir.y, dir.x);
  float side = float(gl_VertexID & 1) * 2.0 - 1.0, reach = half_width + 1.0;
  bool end = gl_VertexID > 1;
  local = vec2(end ? run + reach : -reach, side * reach);
  along = along_m * px_per_m;
  gl_Position = to_clip((end ? b + dir * reach : a - dir * reach) + across * side * reach);
}
)";
inline constexpr const char* kLineFragment = R"(
in vec2 local;
flat in float run;
flat in float along;
uniform float half_width;
uniform vec2 dash;  // drawn length and period; period 0: a full line
uniform vec4 colour;
out vec4 result;
void main() {
  float beyond = max(max(-local.x, local.x - run), 0.0);
  float alpha = clamp(0.5 + half_width - length(vec2(beyond, local.y)), 0.0, 1.0);
  if (dash.y > 0.0) {
    float at = mod(along + clamp(local.x, 0.0, run), dash.y);
    alpha *= clamp(min(at, dash.x - at) + 0.5, 0.0, 1.0);
  }
  if (alpha <= 0.0) discard;
  result = vec4(colour.rgb, colour.a * alpha);
}
)";

// One point a place. mark = shape, colour, first sign, second sign.
inline constexpr const char* kMarkVertex = R"(
layout(location = 0) in vec2 place;
layout(location = 1) in uvec4 mark;
uniform float size;  // odd, so that the middle of a mark is the middle of a pixel and signs stay sharp
uniform float shift;  // right and down of its place
flat out uvec4 what;
void main() {
  what = mark;
  gl_PointSize = size;
  gl_Position = mark.x == 255u ? vec4(2.0, 2.0, 2.0, 1.0) : to_clip(floor(to_px(place) + shift) + 0.5);
}
)";
inline constexpr const char* kMarkFragment = R"(
flat in uvec4 what;
uniform float size, radius, stroke;
uniform float still_share;  // of the radius, for sites on still water
uniform float outline, faded_outline;  // of the body's colour
uniform vec4 fills[40];     // the second half: faded
uniform vec4 inks[40];
uniform vec4 paper;
out vec4 result;
float edge(vec2 d) {  // distance to the outline, negative inside
  float r = radius;
  if (what.x <= 1u) return length(d) - r;
  if (what.x >= 8u) return length(d) - r * still_share;
  vec2 q = abs(d);
  if (what.x == 2u) return max(q.x, q.y) - r * 0.86;
  if (what.x == 3u) return max(-d.y - r * 0.72, q.x * 0.866 + d.y * 0.5 - r * 0.58);
  if (what.x == 4u) return (q.x + q.y) * 0.7071 - r * 0.82;
  if (what.x == 5u) return max(d.y - r * 0.72, q.x * 0.866 - d.y * 0.5 - r * 0.58);
  if (what.x == 6u) return max(min(q.x, q.y) - r * 0.42, max(q.x, q.y) - r * 1.05);
  return max(q.x * 0.866 + q.y * 0.5, q.y) - r * 0.9;
}
#ifdef SIGNS
uniform vec4 sign_uv[13];
uniform vec4 sign_box[13];
uniform float advance;
uniform sampler2D font;
float sign_at(uint s, vec2 d) {
  if (s > 12u) return 0.0;
  vec4 box = sign_box[s], uv = sign_uv[s];
  vec2 t = (d - box.xy) / (box.zw - box.xy);
  if (t.x < 0.0 || t.y < 0.0 || t.x > 1.0 || t.y > 1.0) return 0.0;
  return textureLod(font, mix(uv.xy, uv.zw, t), 0.0).a;
}
#endif
void main() {
  vec2 d = (gl_PointCoord - 0.5) * size;
  float e = edge(d);
  float halo = clamp(0.5 + stroke * 2.2 - e, 0.0, 1.0);
  if (halo <= 0.0) discard;
  vec3 fill = fills[what.y].rgb;
  bool ring = what.x == 1u || what.x == 9u;
  vec3 rim = ring ? fill : fill * (what.y >= 20u ? faded_outline : outline);
  vec3 body = ring ? paper.rgb : fill;
  vec3 shown = mix(paper.rgb, rim, clamp(0.5 + stroke * 0.7 - e, 0.0, 1.0));
  shown = mix(shown, body, clamp(0.5 - stroke * (ring ? 1.3 : 0.6) - e, 0.0, 1.0));
#ifdef SIGNS
  float shift = what.w <= 12u ? advance * 0.5 : 0.0;
  float written = max(sign_at(what.z, d + vec2(shift, 0.0)), sign_at(what.w, d - vec2(shift, 0.0)));
  shown = mix(shown, inks[what.y].rgb, written);
#endif
  // Over a pond that is wider than the mark, a ring is open and a disc has no halo.
  if (what.x >= 8u && still_share < 1.0) {
    halo = clamp(0.5 + stroke * 0.7 - e, 0.0, 1.0);
    float inside = clamp(0.5 - stroke * 1.3 - e, 0.0, 1.0);
#ifdef SIGNS
    inside *= 1.0 - written;
#endif
    if (ring) halo *= 1.0 - 0.8 * inside;
  }
  result = vec4(shown, halo);
}
)";

// The sign of gathered sites, one point each: a round ground, and in a ring around it the shares of the colours, best class
// first, clockwise from the top. `until`: where the share of each colour ends, of 65535.
inline constexpr const char* kManyVertex = R"(
layout(location = 0) in vec2 place;
layout(location = 1) in uvec4 until_a;
layout(location = 2) in uvec4 until_b;
layout(location = 3) in uvec4 until_c;
layout(location = 4) in uvec4 until_d;
layout(location = 5) in uvec4 until_e;
uniform float size;
flat out uvec4 until[5];
void main() {
  until[0] = until_a;
  until[1] = until_b;
  until[2] = until_c;
  until[3] = until_d;
  until[4] = until_e;
  gl_PointSize = size;
  gl_Position = to_clip(floor(to_px(place)) + 0.5);
}
)";
inline constexpr const char* kManyFragment = R"(
flat in uvec4 until[5];
uniform float size, outer, width, edge;  // edge: of the halo around it
uniform vec4 fills[40];
uniform int order[20];  // of colours around the ring
uniform vec4 ground, halo, rim;
uniform float rim_width;
out vec4 result;
void main() {
  vec2 d = (gl_PointCoord - 0.5) * size;
  float r = length(d);
  float alpha = clamp(0.5 + outer + edge - r, 0.0, 1.0);
  if (alpha <= 0.0) discard;
  vec3 shown = mix(halo.rgb, ground.rgb, clamp(0.5 + outer - r, 0.0, 1.0));
  float band = min(clamp(0.5 + outer - r, 0.0, 1.0), clamp(0.5 + r - outer + width, 0.0, 1.0));
  if (band > 0.0) {
    uint turn = uint(fract(atan(d.x, -d.y) / 6.28318531 + 1.0) * 65535.0);
    int part = 19;
    for (int k = 0; k < 20; ++k)
      if (turn < until[k >> 2][k & 3]) {
        part = k;
        break;
      }
    shown = mix(shown, fills[order[part]].rgb, band);
  }
  float line = clamp(0.5 + rim_width * 0.5 - abs(r - outer), 0.0, 1.0) * min(rim_width, 1.0);
  result = vec4(mix(shown, rim.rgb, line), alpha);
}
)";

// A sheet with lines on it, laid over the map; its colours are already weighed with how thick they cover.
inline constexpr const char* kSheetVertex = R"(
uniform vec4 box;  // left, top, right, bottom, framebuffer pixels
out vec2 at;
void main() {
  bool right = (gl_VertexID & 1) == 1, low = gl_VertexID > 1;
  at = vec2(right ? 1.0 : 0.0, low ? 0.0 : 1.0);
  gl_Position = to_clip(vec2(right ? box.z : box.x, low ? box.w : box.y));
}
)";
inline constexpr const char* kSheetFragment = R"(
in vec2 at;
uniform sampler2D image;
out vec4 result;
void main() { result = texture(image, at); }
)";

}  // namespace brookmark::viewer::shaders
