//! Fills a closed outline that may be hollowed inwards: ear cutting, which is plenty for the few
//! dozen corners of a plot's band or a drawn hand.
//!
//! # Source
//! Meisters, Polygons have ears, American Mathematical Monthly 82 (1975): every simple polygon of
//! more than three corners has two ears (from memory).

use egui::{Color32, Mesh, Pos2};

/// The triangles of `outline`, a simple polygon in either direction.
pub(super) fn mesh(outline: &[Pos2], colour: Color32) -> Mesh {
    let mut mesh = Mesh::default();
    for point in outline {
        mesh.colored_vertex(*point, colour);
    }
    for [a, b, c] in triangles(outline) {
        mesh.add_triangle(index(a), index(b), index(c));
    }
    mesh
}

fn index(corner: usize) -> u32 {
    u32::try_from(corner).unwrap_or(u32::MAX)
}

/// Corners of the triangles that make up `outline`.
fn triangles(outline: &[Pos2]) -> Vec<[usize; 3]> {
    let mut left: Vec<usize> = (0..outline.len()).collect();
    if area(outline) < 0.0 {
        left.reverse();
    }
    let mut cut = Vec::new();
    while left.len() > 3 {
        let count = left.len();
        let ear = (0..count).find(|&i| is_ear(outline, &left, i));
        // An outline that crosses itself may have none: the rest is left as a fan.
        let i = ear.unwrap_or(0);
        cut.push([left[(i + count - 1) % count], left[i], left[(i + 1) % count]]);
        left.remove(i);
    }
    if let [a, b, c] = left[..] {
        cut.push([a, b, c]);
    }
    cut
}

fn is_ear(outline: &[Pos2], left: &[usize], i: usize) -> bool {
    let count = left.len();
    let corner = |k: usize| outline[left[k % count]];
    let (a, b, c) = (corner(i + count - 1), corner(i), corner(i + 1));
    if turn(a, b, c) <= 0.0 {
        return false;
    }
    (0..count).filter(|k| ![i, (i + 1) % count, (i + count - 1) % count].contains(k)).all(|k| {
        let p = corner(k);
        turn(a, b, p) < 0.0 || turn(b, c, p) < 0.0 || turn(c, a, p) < 0.0
    })
}

/// Twice the signed area of a triangle.
fn turn(a: Pos2, b: Pos2, c: Pos2) -> f32 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// Twice the signed area of an outline.
fn area(outline: &[Pos2]) -> f32 {
    let next = outline.iter().cycle().skip(1);
    outline.iter().zip(next).map(|(a, b)| a.x * b.y - a.y * b.x).sum()
}

#[cfg(test)]
mod tests {
    use super::{area, triangles, turn};
    use egui::{Pos2, pos2};

    /// The triangles of a shape cover its area, none twice: by the shoelace formula.
    #[test]
    fn a_hollow_shape_is_covered_once() {
        let shape: Vec<Pos2> = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 1.0), (0.0, 4.0)]
            .map(|(x, y)| pos2(x, y))
            .into();
        for outline in [shape.clone(), shape.into_iter().rev().collect()] {
            let cut = triangles(&outline);
            assert_eq!(cut.len(), outline.len() - 2);
            let sum: f32 =
                cut.iter().map(|[a, b, c]| turn(outline[*a], outline[*b], outline[*c])).sum();
            assert!((sum - area(&outline).abs()).abs() < 1e-4, "{sum}");
        }
    }
}
