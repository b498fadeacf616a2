//! The two plain forms: binary STL for what came as triangles of their own, binary PLY with the smallest byte first for
//! what has points that triangles share, and colours. The same surface gives the same bytes.

use super::surface::TriangleMesh;

/// What stands in the 80 bytes at the beginning of an STL; blanks fill them.
const STL_HEAD: &[u8] = b"binary STL, numbers in millimetres";

/// At a right angle to a triangle, one long; nothing of a triangle without area.
fn normal([a, b, c]: [[f32; 3]; 3]) -> [f32; 3] {
    let [ax, ay, az] = a.map(f64::from);
    let [bx, by, bz] = b.map(f64::from);
    let [cx, cy, cz] = c.map(f64::from);
    let (ux, uy, uz) = (bx - ax, by - ay, bz - az);
    let (vx, vy, vz) = (cx - ax, cy - ay, cz - az);
    let cross = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    let length = cross.iter().map(|one| one * one).sum::<f64>().sqrt();
    match length > 0.0 {
        true => cross.map(|one| super::surface::single(one / length)),
        false => [0.0; 3],
    }
}

fn push(bytes: &mut Vec<u8>, numbers: [f32; 3]) {
    for number in numbers {
        bytes.extend(number.to_le_bytes());
    }
}

/// As binary STL.
pub(super) fn stl(surface: &TriangleMesh) -> Vec<u8> {
    let count = surface.points.len() / 3;
    let mut bytes = Vec::with_capacity(84 + 50 * count);
    bytes.extend_from_slice(STL_HEAD);
    bytes.resize(80, b' ');
    bytes.extend(u32::try_from(count).unwrap_or(u32::MAX).to_le_bytes());
    for three in surface.points.chunks_exact(3) {
        if let [a, b, c] = three {
            push(&mut bytes, normal([*a, *b, *c]));
            for point in [a, b, c] {
                push(&mut bytes, *point);
            }
            bytes.extend([0, 0]);
        }
    }
    bytes
}

/// As binary PLY.
pub(super) fn ply(surface: &TriangleMesh) -> Vec<u8> {
    let (points, triangles) = (surface.points.len(), surface.corners.len());
    let is_coloured = !surface.colours.is_empty();
    let colours = match is_coloured {
        true => "property uchar red\nproperty uchar green\nproperty uchar blue\n",
        false => "",
    };
    let head = format!(
        "ply\nformat binary_little_endian 1.0\nelement vertex {points}\nproperty float x\nproperty float y\n\
         property float z\n{colours}element face {triangles}\nproperty list uchar int vertex_indices\nend_header\n"
    );
    let mut bytes = Vec::with_capacity(head.len() + 15 * points + 13 * triangles);
    bytes.extend(head.bytes());
    let mut colours = surface.colours.iter();
    for point in &surface.points {
        push(&mut bytes, *point);
        if let Some(colour) = colours.next() {
            bytes.extend(colour);
        }
    }
    for corners in &surface.corners {
        bytes.push(3);
        for corner in corners {
            bytes.extend(corner.to_le_bytes());
        }
    }
    bytes
}
