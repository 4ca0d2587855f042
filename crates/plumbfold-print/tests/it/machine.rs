//! Models read by general readers.

use std::collections::HashMap;

use plumbfold::plane::airframe::Airframe;
use plumbfold_print::model;
use plumbfold_print::solid::{self, Form};

use crate::support::{balanced, shipped, text};

/// Area of the paper times its thickness, mm3.
fn paper_mm3(airframe: &Airframe) -> f64 {
    let area = |p: &[[f64; 2]]| {
        let n = p.len();
        let twice: f64 =
            (0..n).map(|i| p[i][0] * p[(i + 1) % n][1] - p[i][1] * p[(i + 1) % n][0]).sum();
        twice / 2.0
    };
    let laminae = airframe.panels.iter().flat_map(|p| &p.laminae);
    laminae.map(|l| area(&l.polygon) * l.thickness_m * 1e9).sum()
}

#[test]
fn the_stl_is_closed_and_as_large_as_the_sheet() {
    for name in shipped() {
        let plane = balanced(&text(&name));
        let bytes = model::stl(&solid::meshes(&plane.airframe, Form::Solid));
        // stl_io, a general reader of STL.
        let mesh = stl_io::read_stl(&mut std::io::Cursor::new(bytes)).expect("an STL");
        // Of each edge: how often it is run along, and that less how often the other way.
        let mut edges: HashMap<[usize; 2], [i32; 2]> = HashMap::new();
        let mut six_volumes = 0.0;
        for face in &mesh.faces {
            let v = face.vertices;
            for (i, j) in [(0, 1), (1, 2), (2, 0)] {
                let (a, b) = (v[i].min(v[j]), v[i].max(v[j]));
                let edge = edges.entry([a, b]).or_default();
                edge[0] += 1;
                edge[1] += if v[i] < v[j] { 1 } else { -1 };
            }
            let p = v.map(|i| mesh.vertices[i].0.map(f64::from));
            six_volumes += p[0][0] * (p[1][1] * p[2][2] - p[1][2] * p[2][1])
                - p[0][1] * (p[1][0] * p[2][2] - p[1][2] * p[2][0])
                + p[0][2] * (p[1][0] * p[2][1] - p[1][1] * p[2][0]);
        }
        // Every edge has two faces, even where a reader joins corners at one place.
        assert!(edges.values().all(|&n| n == [2, 0]), "{name}: an edge is open, or shared");
        // By the divergence theorem. Folding moves no paper in or out: sheet area times thickness.
        let volume = six_volumes / 6.0;
        let folded = plane.source.folded().expect("folds");
        let [w, h] = folded.run.sheet.sheet_m;
        let sheet = w * h * folded.stock.thickness_m * 1e9;
        assert!((volume / paper_mm3(&plane.airframe) - 1.0).abs() < 1e-3, "{name}: {volume}");
        // Creep moves paper at the bends; it makes and takes less than a hundredth.
        assert!((volume / sheet - 1.0).abs() < 0.01, "{name}: {volume} of {sheet} mm3");
    }
}

#[test]
fn the_glb_is_read_by_a_general_reader() {
    let plane = balanced(&text("marlinspike"));
    for form in [Form::Solid, Form::Sheets] {
        let meshes = solid::meshes(&plane.airframe, form);
        let bytes = model::glb("Marlinspike", &meshes);
        // gltf, a general reader that checks what it reads.
        let read = gltf::Gltf::from_slice(&bytes).expect("a GLB");
        let blob = read.blob.clone().expect("its bytes");
        let mut span = [f32::MAX, f32::MIN];
        let mut triangles = 0;
        for mesh in read.meshes() {
            for primitive in mesh.primitives() {
                let reader = primitive.reader(|_| Some(&blob));
                let places: Vec<[f32; 3]> = reader.read_positions().expect("places").collect();
                let corners = reader.read_indices().expect("corners").into_u32().count();
                triangles += corners / 3;
                span = places.iter().fold(span, |s, p| [s[0].min(p[0]), s[1].max(p[0])]);
            }
        }
        assert_eq!(triangles, meshes.iter().map(|m| m.triangles.len()).sum::<usize>());
        let wing = f64::from(span[1] - span[0]);
        assert!((wing - plane.planform.span_m).abs() < 2e-3, "{wing} m, {}", plane.planform.span_m);
    }
}

#[test]
fn the_obj_names_every_corner_it_uses() {
    let plane = balanced(&text("halyard"));
    let obj = model::obj("Halyard", &solid::meshes(&plane.airframe, Form::Solid));
    let corners = obj.lines().filter(|l| l.starts_with("v ")).count();
    let faces: Vec<usize> = obj
        .lines()
        .filter_map(|l| l.strip_prefix("f "))
        .flat_map(|l| l.split(' ').map(|n| n.parse::<usize>().expect("a number")))
        .collect();
    assert_eq!(faces.iter().max(), Some(&corners));
    assert_eq!(faces.iter().min(), Some(&1));
}
