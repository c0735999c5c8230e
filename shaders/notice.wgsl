// One line of text, copied pixel for pixel from the strip that was drawn at the start.

struct Line {
    size_px: vec2f,
    at_px: vec2f,
    extent_px: vec2f,
    row_px: f32,
    grey: f32,
}

@group(0) @binding(0) var<uniform> line: Line;
@group(0) @binding(1) var strip: texture_2d<f32>;

struct Varying {
    @builtin(position) clip: vec4f,
}

const CORNERS = array<vec2f, 6>(
    vec2f(0.0, 0.0), vec2f(1.0, 0.0), vec2f(0.0, 1.0),
    vec2f(0.0, 1.0), vec2f(1.0, 0.0), vec2f(1.0, 1.0),
);

@vertex
fn place(@builtin(vertex_index) corner: u32) -> Varying {
    var corners = CORNERS;
    let at = (line.at_px + corners[corner] * line.extent_px) / line.size_px;
    var out: Varying;
    out.clip = vec4f(at.x * 2.0 - 1.0, 1.0 - at.y * 2.0, 0.0, 1.0);
    return out;
}

@fragment
fn paint(in: Varying) -> @location(0) vec4f {
    let texel = vec2i(floor(in.clip.xy - line.at_px)) + vec2i(0, i32(line.row_px));
    let covered = textureLoad(strip, texel, 0).r;
    return vec4f(vec3f(line.grey), covered);
}
