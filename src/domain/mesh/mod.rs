//! Scans as files: a surface of triangles, read from what scanners and drawing programs write and written again in one of
//! two plain forms, with nothing in it but points, triangles and colours.

mod kept; // the file as it is kept, with what is known of it
mod lines; // texts, a line at a time, each of bounded length
mod obj; // OBJ
mod ply; // PLY: text and binary
mod ply_head; // its head
mod stl; // STL: text and binary
mod surface; // points and triangles, bounded
mod tags; // the tags of XML, each of bounded length
mod three_mf; // 3MF
mod write; // the two plain forms

pub use kept::{KeptScan, read_scan, scan_too_large};
pub use surface::{MeshUnit, SCAN_BYTES_MOST, TRIANGLES_MOST, TriangleMesh};

#[cfg(test)]
mod tests;
