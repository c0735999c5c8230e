// Every mark of a scene: one quad an instance, its outline a signed distance in pixels.
// The edge is one pixel wide and worked out, not sampled, so it is crisp at any scale.

struct Frame {
    size_px: vec2f,
    shift_px: vec2f,
    cells: vec2f,
    cell_px: f32,
    dot_px: f32,
}

@group(0) @binding(0) var<uniform> frame: Frame;

struct Instance {
    @location(0) at_px: vec2f,
    @location(1) half_px: vec2f,
    @location(2) colour: vec4f,
    @location(3) kind: f32,
    @location(4) turns: f32,
    @location(5) line_px: f32,
    @location(6) reach_px: f32,
}

struct Varying {
    @builtin(position) clip: vec4f,
    @location(0) from_middle_px: vec2f,
    @location(1) @interpolate(flat) half_px: vec2f,
    @location(2) @interpolate(flat) colour: vec4f,
    @location(3) @interpolate(flat) kind_turns_line: vec3f,
}

const CORNERS = array<vec2f, 6>(
    vec2f(-1.0, -1.0), vec2f(1.0, -1.0), vec2f(-1.0, 1.0),
    vec2f(-1.0, 1.0), vec2f(1.0, -1.0), vec2f(1.0, 1.0),
);

@vertex
fn place(@builtin(vertex_index) corner: u32, instance: Instance) -> Varying {
    var corners = CORNERS;
    // A slab may be far taller than wide; the others fill about a square.
    let slab_reach = instance.half_px + vec2f(1.0);
    let offset = corners[corner] * select(vec2f(instance.reach_px), slab_reach, instance.kind < 0.5);
    let at = (instance.at_px + offset) / frame.size_px;
    var out: Varying;
    out.clip = vec4f(at.x * 2.0 - 1.0, 1.0 - at.y * 2.0, 0.0, 1.0);
    out.from_middle_px = offset;
    out.half_px = instance.half_px;
    out.colour = instance.colour;
    out.kind_turns_line = vec3f(instance.kind, instance.turns, instance.line_px);
    return out;
}

fn box_distance(p: vec2f, half: vec2f) -> f32 {
    let d = abs(p) - half;
    return max(d.x, d.y);
}

// Quarter turns, anticlockwise on the screen, that bring the notch's side up.
fn turned(p: vec2f, turns: f32) -> vec2f {
    if turns < 0.5 { return p; }
    if turns < 1.5 { return vec2f(p.y, -p.x); }
    if turns < 2.5 { return -p; }
    return vec2f(-p.y, p.x);
}

// A hairline square, open inside, and a short tick outwards on each corner's diagonal.
fn wait_distance(p: vec2f, half: f32, line: f32) -> f32 {
    let outer = box_distance(p, vec2f(half));
    let outline = max(outer, -(outer + line));
    let q = abs(p);
    let along = (q.x + q.y) * 0.70710678;
    let across = abs(q.x - q.y) * 0.70710678;
    let corner = half * 1.41421356;
    let tick = max(across - line, max(corner + half * 0.16 - along, along - corner - half * 0.44));
    return min(outline, tick);
}

// A lozenge with square corners; a slot is cut into the upper one.
fn target_distance(p: vec2f, half: f32) -> f32 {
    let lozenge = (abs(p.x) + abs(p.y) - half) * 0.70710678;
    let slot = max(abs(p.x) - half * 0.17, p.y + half * 0.30);
    return max(lozenge, -slot);
}

// Two strokes whose mitred point lies at the middle of the quad and that open downwards.
fn chevron_distance(p: vec2f, height: f32, line: f32) -> f32 {
    // The outward normal of a stroke that goes 0.6 sideways for each 1 down.
    let outside = dot(vec2f(abs(p.x), p.y), vec2f(0.85749293, -0.51449576));
    return max(max(outside, -outside - line), p.y - height);
}

// A row of squares: a dark one, the bits of `code` from the highest, a light one, parted by lines that
// never change.
fn strip(p: vec2f, half: vec2f, code: f32, dark: f32, light: vec3f) -> vec4f {
    let cell = half.y * 2.0;
    let squares = round(half.x / half.y);
    let place = clamp(floor((p.x + half.x) / cell), 0.0, squares - 1.0);
    let within = vec2f(p.x + half.x - (place + 0.5) * cell, p.y);
    let d = box_distance(within, vec2f(floor(half.y * 0.88)));
    var lit = place > squares - 1.5;
    if place > 0.5 && !lit {
        lit = ((u32(code) >> u32(squares - 2.0 - place)) & 1u) == 1u;
    }
    let square = select(vec3f(dark), light, lit);
    let colour = mix(square, vec3f(0.27), clamp(0.5 + d, 0.0, 1.0));
    return vec4f(colour, clamp(0.5 - box_distance(p, half), 0.0, 1.0));
}

@fragment
fn paint(in: Varying) -> @location(0) vec4f {
    let p = in.from_middle_px;
    let kind = in.kind_turns_line.x;
    let line = in.kind_turns_line.z;
    if kind > 3.5 {
        return strip(p, in.half_px, in.kind_turns_line.y, line, in.colour.rgb);
    }
    var d: f32;
    if kind < 0.5 {
        d = box_distance(p, in.half_px);
    } else if kind < 1.5 {
        d = wait_distance(p, in.half_px.x, line);
    } else if kind < 2.5 {
        d = target_distance(turned(p, in.kind_turns_line.y), in.half_px.x);
    } else {
        d = chevron_distance(p, in.half_px.y, line);
    }
    return vec4f(in.colour.rgb, in.colour.a * clamp(0.5 - d, 0.0, 1.0));
}
