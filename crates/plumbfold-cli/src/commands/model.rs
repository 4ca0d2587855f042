use std::path::PathBuf;

use plumbfold_print::model;
use plumbfold_print::solid::{self, Form};

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::options::Global;
use crate::paper;
use crate::system::System;

/// Write the plane as it flies as a 3-D model
///
/// Every layer of paper is there with its real thickness, as a closed panel of
/// its own; the panels touch along the creases, so a printer of solids may want
/// them joined. Together they have the volume of the sheet. With --sheets the
/// layers are flat, for viewers. STL and OBJ are in millimetres (x forward, z
/// up), GLB in metres. Trim bends and weights are left out.
///
/// Examples:
///   plumbfold model designs/halyard.plane -o halyard.stl
///   plumbfold model designs/halyard.plane --sheets -o halyard.glb
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Model {
    /// Design; `-` is standard input
    file: PathBuf,
    /// File to write, .stl, .obj or .glb; default out/NAME.stl
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Layers without thickness (OBJ and GLB)
    #[arg(long)]
    sheets: bool,
}

impl Model {
    /// Folds, poses, writes.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        paper::no_json(global)?;
        let file = DesignFile::open(&self.file, global, system)?;
        let plane = file.balance(system)?;
        // An outline says nothing of the thickness.
        file.folded(&plane, system)?;
        let form = if self.sheets { Form::Sheets } else { Form::Solid };
        let meshes = solid::meshes(&plane.airframe, form);
        let path = paper::path(self.output.as_deref(), &file, ".stl");
        let name = &plane.airframe.name;
        let bytes = match (paper::ending(&path).as_str(), form) {
            ("stl", Form::Sheets) => {
                return Err(Error::usage(
                    "STL is for printers of solids, so layers need thickness",
                )
                .hint("leave out --sheets, or write .obj or .glb"));
            }
            ("stl", Form::Solid) => model::stl(&meshes),
            ("obj", _) => model::obj(name, &meshes).into_bytes(),
            ("glb", _) => model::glb(name, &meshes),
            _ => return Err(paper::unknown_ending(&path, ".stl, .obj or .glb")),
        };
        paper::write(system, &path, &bytes)?;
        system.message(&format!("{} written\n", path.display()));
        Ok(())
    }
}
