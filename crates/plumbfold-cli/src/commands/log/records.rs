use std::path::PathBuf;

use plumbfold_stats::record::{self, holding, sha256};
use plumbfold_stats::results::Shelf;
use plumbfold_stats::typed::{self, alike};

use super::Call;
use super::throw::version;
use crate::error::Error;
use crate::notebook_file::{Known, known_plane, mistyped};

/// Begin a session: throws of the next hours belong to it
#[derive(clap::Args)]
pub struct Session {
    /// Where
    place: String,
    /// Who throws
    #[arg(long, value_name = "NAME")]
    thrower: Option<String>,
    /// Temperature of the air, degrees Celsius
    #[arg(long, value_name = "C", allow_hyphen_values = true)]
    temperature: Option<f64>,
    /// Pressure of the air, hPa
    #[arg(long, value_name = "HPA")]
    pressure: Option<f64>,
    /// Relative humidity, per cent
    #[arg(long, value_name = "PERCENT")]
    humidity: Option<f64>,
    /// From the line to the far wall, m
    #[arg(long, value_name = "LENGTH")]
    hall_length: Option<String>,
    /// Anything worth keeping
    #[arg(long, value_name = "WORDS")]
    note: Option<String>,
}

impl Session {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let within = |what: &str, value: Option<f64>, [least, most]: [f64; 2]| match value {
            // Written so that a value that is not a number fails.
            Some(v) if !(least <= v && v <= most) => {
                Err(Error::usage(format!("a {what} of {v} is none of a hall's"))
                    .hint(format!("it lies between {least} and {most}")))
            }
            other => Ok(other),
        };
        let length = |text: &String| typed::length_m(text, 1.0, 1000.0).map_err(mistyped);
        let session = record::Session {
            place: self.place.trim().to_owned(),
            thrower: self.thrower.clone(),
            temperature_c: within("temperature", self.temperature, typed::TEMPERATURE_C)?,
            pressure_hpa: within("pressure", self.pressure, [300.0, 1100.0])?,
            humidity_percent: within("humidity", self.humidity, [0.0, 100.0])?,
            hall_length_m: self.hall_length.as_ref().map(length).transpose()?,
            note: self.note.clone(),
        };
        call.keep(session)
    }
}

/// Keep the text of a plane as a version; the same text is the same version
#[derive(clap::Args)]
pub struct Plane {
    /// Design
    file: PathBuf,
    /// Anything worth keeping, such as what was changed
    #[arg(long, value_name = "WORDS")]
    note: Option<String>,
}

impl Plane {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let version = record::Version {
            note: self.note.clone(),
            ..version(&self.file, call.global, call.system)?
        };
        let entries = call.book.entries_if_any()?;
        let holding = holding(&entries);
        let shelf = Shelf::new(&holding);
        if let Some(n) = shelf.number(&version.plane, &version.version) {
            call.system
                .message(&format!("this text of {} is version {n} already\n", version.plane));
            let of = shelf.version(&version.plane, &version.version);
            let known = of.and_then(|v| entries.iter().find(|e| e.id == v.id)).cloned();
            return call.tell(&known.into_iter().collect::<Vec<_>>());
        }
        call.keep(version)
    }
}

/// Keep that a copy of a plane was folded
#[derive(clap::Args)]
pub struct Copy {
    /// Name of the copy, such as halyard-2
    copy: String,
    /// Plane it is of
    #[arg(long, value_name = "PLANE")]
    of: String,
    /// The paper
    #[arg(long, value_name = "WORDS")]
    paper: Option<String>,
    /// Who folded it
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// Anything worth keeping
    #[arg(long, value_name = "WORDS")]
    note: Option<String>,
}

impl Copy {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let Known { plane, version, .. } = known_plane(call.book, &self.of)?;
        if alike(&plane, &self.copy) {
            return Err(Error::usage("a copy needs a name other than the plane's")
                .hint(format!("such as {}-2", self.copy)));
        }
        let copy = record::Copy {
            copy: self.copy.clone(),
            plane,
            version,
            paper: self.paper.clone(),
            by: self.by.clone(),
            note: self.note.clone(),
        };
        call.keep(copy)
    }
}

/// Keep where a real plane was found to balance, and what it weighs
#[derive(clap::Args)]
pub struct Balance {
    /// Plane, or the copy measured
    plane: String,
    /// Balance point behind the nose, mm or with a unit
    behind_nose: String,
    /// How far off that may be, mm or with a unit
    #[arg(long, value_name = "LENGTH")]
    give_or_take: Option<String>,
    /// What it weighs, g
    #[arg(long, value_name = "MASS")]
    mass: Option<String>,
    /// Copy measured
    #[arg(long, value_name = "COPY")]
    copy: Option<String>,
    /// How, such as "knife edge"
    #[arg(long, value_name = "WORDS")]
    method: Option<String>,
    /// Anything worth keeping
    #[arg(long, value_name = "WORDS")]
    note: Option<String>,
}

impl Balance {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let Known { plane, version, copy } = known_plane(call.book, &self.plane)?;
        // No paper plane is longer than a sheet's diagonal; a metre leaves room.
        let mm = |text: &String| Ok(typed::length_m(text, 1e-3, 1.0).map_err(mistyped)? * 1e3);
        let balance = record::Balance {
            plane,
            version,
            copy: self.copy.clone().or(copy),
            behind_nose_mm: mm(&self.behind_nose)?,
            give_or_take_mm: self.give_or_take.as_ref().map(mm).transpose()?,
            mass_g: self.mass.as_deref().map(typed::mass_g).transpose().map_err(mistyped)?,
            method: self.method.clone(),
            note: self.note.clone(),
        };
        call.keep(balance)
    }
}

/// Keep where a photo is; the file stays where it is
#[derive(clap::Args)]
pub struct Photo {
    /// What it shows: a plane, a copy or a record's id
    of: String,
    /// The file
    file: PathBuf,
    /// Anything worth keeping
    #[arg(long, value_name = "WORDS")]
    note: Option<String>,
}

impl Photo {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let bytes = call.system.read_photo(&self.file)?;
        let entries = call.book.entries_if_any()?;
        let shelf = Shelf::new(&holding(&entries));
        let names = shelf.planes.iter().chain(shelf.copies.iter().map(|c| &c.0));
        let of = match names.into_iter().find(|n| alike(n, &self.of)) {
            Some(name) => name.clone(),
            None => super::find(&entries, &self.of).map(|e| e.id.clone()).map_err(|_| {
                Error::usage(format!("nothing in the notebook is called `{}`", self.of)).hint(
                    "name a plane, a copy or the beginning of a record's id (`plumbfold log list`); \
                     `plumbfold log plane FILE` begins a new plane",
                )
            })?,
        };
        let photo = record::Photo {
            of,
            file: self.file.display().to_string(),
            sha256: Some(sha256(&bytes)),
            note: self.note.clone(),
        };
        call.keep(photo)
    }
}
