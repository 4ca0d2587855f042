//! Meshes as files: STL and OBJ in millimetres, GLB in metres.

use std::fmt::Write;

use serde_json::json;

use crate::pdf::MARK;
use crate::solid::Mesh;

/// Binary STL: triangles without names.
pub fn stl(meshes: &[Mesh]) -> Vec<u8> {
    let count: usize = meshes.iter().map(|m| m.triangles.len()).sum();
    let mut out = Vec::with_capacity(84 + 50 * count);
    // Eighty bytes for whatever one likes, except to begin with `solid`.
    out.extend(format!("{MARK}, unit mm").bytes().chain(std::iter::repeat(b' ')).take(80));
    out.extend((count as u32).to_le_bytes());
    for mesh in meshes {
        for triangle in &mesh.triangles {
            let [a, b, c] = triangle.map(|i| mesh.corners[i as usize].map(|m| m * 1e3));
            let numbers = [normal(a, b, c), a, b, c];
            for number in numbers.iter().flatten() {
                out.extend((*number as f32).to_le_bytes());
            }
            out.extend([0, 0]);
        }
    }
    out
}

fn normal(a: [f64; 3], b: [f64; 3], c: [f64; 3]) -> [f64; 3] {
    let [p, q] = [b, c].map(|e| [0, 1, 2].map(|k| e[k] - a[k]));
    let n = [p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0]];
    let length = n.iter().map(|v| v * v).sum::<f64>().sqrt();
    if length > 0.0 { n.map(|v| v / length) } else { [0.0; 3] }
}

/// Wavefront OBJ: a group for each panel.
pub fn obj(name: &str, meshes: &[Mesh]) -> String {
    let name: String = name.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let mut out = format!("# {MARK}; unit mm, x forward, y left, z up\no {name}\n");
    let mut first = 1;
    // Writing to a String cannot fail.
    for mesh in meshes {
        let _ = writeln!(out, "g {}", mesh.name.replace(char::is_whitespace, "-"));
        for [x, y, z] in mesh.corners.iter().map(|p| p.map(|m| m * 1e3)) {
            let _ = writeln!(out, "v {x:.5} {y:.5} {z:.5}");
        }
        for [a, b, c] in &mesh.triangles {
            let _ = writeln!(out, "f {} {} {}", a + first, b + first, c + first);
        }
        first += mesh.corners.len() as u32;
    }
    out
}

/// Binary glTF 2.0 (Khronos Group, 2021): a node for each panel under one for the plane. There y is
/// up and the nose points to z.
pub fn glb(name: &str, meshes: &[Mesh]) -> Vec<u8> {
    const ARRAY_BUFFER: u32 = 34962;
    const ELEMENT_ARRAY_BUFFER: u32 = 34963;
    const FLOAT: u32 = 5126;
    const UNSIGNED_INT: u32 = 5125;
    let mut bytes: Vec<u8> = Vec::new();
    let (mut views, mut accessors) = (Vec::new(), Vec::new());
    let (mut parts, mut nodes) = (Vec::new(), Vec::new());
    let meshes: Vec<&Mesh> = meshes.iter().filter(|m| !m.triangles.is_empty()).collect();
    let children: Vec<usize> = (1..=meshes.len()).collect();
    nodes.push(json!({ "name": name, "children": children }));
    for (i, mesh) in meshes.iter().enumerate() {
        let places: Vec<[f32; 3]> =
            mesh.corners.iter().map(|&[x, y, z]| [y, z, x].map(|m| m as f32)).collect();
        let bound = |pick: fn(f32, f32) -> f32, start: f32| {
            places.iter().fold([start; 3], |b, p| [0, 1, 2].map(|k| pick(b[k], p[k])))
        };
        let (low, high) = (bound(f32::min, f32::MAX), bound(f32::max, f32::MIN));
        let (offset, length) = (bytes.len(), 12 * places.len());
        bytes.extend(places.iter().flatten().flat_map(|v| v.to_le_bytes()));
        views.push(json!({
            "buffer": 0, "byteOffset": offset, "byteLength": length, "target": ARRAY_BUFFER
        }));
        accessors.push(json!({
            "bufferView": 2 * i, "componentType": FLOAT, "count": places.len(), "type": "VEC3",
            "min": low, "max": high
        }));
        let (offset, length) = (bytes.len(), 12 * mesh.triangles.len());
        bytes.extend(mesh.triangles.iter().flatten().flat_map(|v| v.to_le_bytes()));
        views.push(json!({
            "buffer": 0, "byteOffset": offset, "byteLength": length, "target": ELEMENT_ARRAY_BUFFER
        }));
        accessors.push(json!({
            "bufferView": 2 * i + 1, "componentType": UNSIGNED_INT,
            "count": 3 * mesh.triangles.len(), "type": "SCALAR"
        }));
        parts.push(json!({
            "name": mesh.name,
            "primitives": [{
                "attributes": { "POSITION": 2 * i }, "indices": 2 * i + 1, "material": 0
            }]
        }));
        nodes.push(json!({ "name": mesh.name, "mesh": i }));
    }
    let mut scene = json!({
        "asset": { "version": "2.0", "generator": MARK },
        "scene": 0,
        "scenes": [{ "nodes": [0] }],
        "nodes": nodes,
    });
    // Lists must not be empty.
    if !parts.is_empty() {
        scene["meshes"] = json!(parts);
        scene["accessors"] = json!(accessors);
        scene["bufferViews"] = json!(views);
        scene["buffers"] = json!([{ "byteLength": bytes.len() }]);
        scene["materials"] = json!([{
            "name": "paper", "doubleSided": true,
            "pbrMetallicRoughness": {
                "baseColorFactor": [0.93, 0.92, 0.88, 1.0],
                "metallicFactor": 0.0,
                "roughnessFactor": 0.9
            }
        }]);
    }
    let mut text = scene.to_string().into_bytes();
    text.resize(text.len().next_multiple_of(4), b' ');
    bytes.resize(bytes.len().next_multiple_of(4), 0);
    let mut chunks = vec![(b"JSON", text)];
    if !bytes.is_empty() {
        chunks.push((b"BIN\0", bytes));
    }
    let whole = 12 + chunks.iter().map(|(_, c)| 8 + c.len()).sum::<usize>();
    let mut out = Vec::with_capacity(whole);
    out.extend(b"glTF");
    out.extend(2_u32.to_le_bytes());
    out.extend((whole as u32).to_le_bytes());
    for (kind, chunk) in chunks {
        out.extend((chunk.len() as u32).to_le_bytes());
        out.extend(kind);
        out.extend(chunk);
    }
    out
}
