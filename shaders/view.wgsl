// The sparse dots that show the view's movement: one small square in each cell of a lattice, put
// off its middle by a fixed hash, so that the pattern has no rows and is the same on every machine.

struct Frame {
    size_px: vec2f,
    shift_px: vec2f,
    cells: vec2f,
    cell_px: f32,
    dot_px: f32,
}

@group(0) @binding(0) var<uniform> frame: Frame;

struct Varying {
    @builtin(position) clip: vec4f,
    @location(0) from_middle_px: vec2f,
}

const CORNERS = array<vec2f, 6>(
    vec2f(-1.0, -1.0), vec2f(1.0, -1.0), vec2f(-1.0, 1.0),
    vec2f(-1.0, 1.0), vec2f(1.0, -1.0), vec2f(1.0, 1.0),
);

// PCG hash of one word: Jarzynski and Olano, Hash Functions for GPU Rendering, JCGT 9(3), 2020.
fn hash(word: u32) -> u32 {
    let state = word * 747796405u + 2891336453u;
    let mixed = ((state >> ((state >> 28u) + 4u)) ^ state) * 277803737u;
    return (mixed >> 22u) ^ mixed;
}

fn share(word: u32) -> f32 {
    return f32(hash(word) & 0xffffu) / 65536.0;
}

@vertex
fn place(@builtin(vertex_index) corner: u32, @builtin(instance_index) index: u32) -> Varying {
    var corners = CORNERS;
    let columns = u32(frame.cells.x);
    let screen_cell = vec2f(f32(index % columns), f32(index / columns)) - 1.0;
    // The cell of the endless lattice that now stands at this place of the screen.
    let origin = floor(frame.shift_px / frame.cell_px);
    let cell = screen_cell - origin;
    let seed = hash(bitcast<u32>(i32(cell.x))) ^ (bitcast<u32>(i32(cell.y)) * 0x9e3779b9u);
    let inside = vec2f(share(seed), share(seed ^ 0x68bc21ebu)) * 0.8 + 0.1;
    let middle = (cell + inside) * frame.cell_px + frame.shift_px;
    let offset = corners[corner] * (frame.dot_px + 1.0);
    let at = (middle + offset) / frame.size_px;
    var out: Varying;
    out.clip = vec4f(at.x * 2.0 - 1.0, 1.0 - at.y * 2.0, 0.0, 1.0);
    out.from_middle_px = offset;
    return out;
}

@fragment
fn paint(in: Varying) -> @location(0) vec4f {
    let q = abs(in.from_middle_px) - vec2f(frame.dot_px);
    return vec4f(vec3f(0.34), clamp(0.5 - max(q.x, q.y), 0.0, 1.0));
}
