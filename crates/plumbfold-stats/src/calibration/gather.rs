//! What a notebook holds that a calibration can be fitted to.

use std::collections::BTreeMap;

use super::{Calibration, Evidence, Film, Session};
use crate::record::{self, Entry, Kept, Record, holding};
use crate::sample::mean;
use crate::track::{self, Columns};
use crate::typed::alike;

/// Which of it is asked for.
#[derive(Clone, Copy, Debug, Default)]
pub struct Asked<'a> {
    /// Name of the plane.
    pub plane: &'a str,
    /// Version of its text; none for any.
    pub version: Option<&'a str>,
    /// Throws by this hand only.
    pub thrower: Option<&'a str>,
    /// Throws of this copy only.
    pub copy: Option<&'a str>,
    /// Throws of copies of this paper only.
    pub paper: Option<&'a str>,
}

impl<'a> Asked<'a> {
    /// What a calibration was fitted to.
    pub fn again(kept: &'a record::Calibration) -> Self {
        Self {
            plane: &kept.plane,
            version: kept.version.as_deref(),
            thrower: kept.thrower.as_deref(),
            copy: kept.copy.as_deref(),
            paper: kept.paper.as_deref(),
        }
    }

    fn text(&self, plane: &str, version: Option<&str>) -> bool {
        alike(plane, self.plane) && (self.version.is_none() || version == self.version)
    }
}

impl record::Calibration {
    /// Of a fit to what was asked for.
    ///
    /// # Errors
    /// Numbers that JSON cannot say.
    pub fn of(fitted: &Calibration, asked: &Asked<'_>) -> Result<Self, serde_json::Error> {
        let own = |text: Option<&str>| text.map(str::to_owned);
        Ok(Self {
            plane: asked.plane.to_owned(),
            version: own(asked.version),
            numbers: serde_json::to_string(fitted)?,
            note: None,
            thrower: own(asked.thrower),
            copy: own(asked.copy),
            paper: own(asked.paper),
        })
    }
}

/// What there is.
#[derive(Clone, Debug, Default)]
pub struct Gathered {
    /// Throws and films; no balance yet, which is counted from the design's.
    pub evidence: Evidence,
    /// Balance point behind the nose, m, and its standard deviation.
    pub behind_nose_m: Option<(f64, f64)>,
    /// Mean height of the hand, m, where it was measured.
    pub hand_m: Option<f64>,
    /// Throws left out, since they are of other texts of this plane.
    pub of_other_texts: usize,
}

/// Scale and level of a filmed path that does not say how sure they are: two marks and a tape, a camera
/// that stood about level (guessed).
const SCALE_SD: f64 = 0.02;
const LEVEL_SD_DEG: f64 = 1.0;
/// A balance on an edge where nothing is said of how sure it is, mm (guessed).
const BALANCE_SD_MM: f64 = 0.5;

/// Records that are of what was asked for.
pub struct Picked {
    /// Throws.
    pub throws: Vec<Kept<record::Throw>>,
    /// Filmed paths.
    pub paths: Vec<record::Path>,
    /// Balances.
    pub balances: Vec<record::Balance>,
}

impl Picked {
    /// Of the records that hold.
    pub fn new(holding: &[&Entry], asked: &Asked<'_>) -> Self {
        let mut throwers: BTreeMap<&str, Option<String>> = BTreeMap::new();
        let mut papers: BTreeMap<String, String> = BTreeMap::new();
        let mut throws: BTreeMap<&str, &record::Throw> = BTreeMap::new();
        for e in holding {
            match &e.record {
                Record::Session(s) => drop(throwers.insert(&e.id, s.thrower.clone())),
                Record::Throw(t) => drop(throws.insert(&e.id, t)),
                Record::Copy(c) => {
                    let paper = c.paper.clone().unwrap_or_default();
                    papers.insert(c.copy.to_lowercase(), paper);
                }
                _ => {}
            }
        }
        let is = |own: Option<&str>, asked: Option<&str>| {
            asked.is_none_or(|asked| own.is_some_and(|own| alike(own, asked)))
        };
        let by_hand = |session: Option<&str>| {
            is(session.and_then(|s| throwers.get(s)?.as_deref()), asked.thrower)
        };
        let of_copy = |copy: Option<&str>| {
            let paper = copy.and_then(|c| papers.get(&c.to_lowercase())).map(String::as_str);
            is(copy, asked.copy) && is(paper, asked.paper)
        };
        let thrown =
            |t: &record::Throw| by_hand(t.session.as_deref()) && of_copy(t.copy.as_deref());
        let mut picked = Self { throws: Vec::new(), paths: Vec::new(), balances: Vec::new() };
        for e in holding {
            match &e.record {
                Record::Throw(t) if asked.text(&t.plane, t.version.as_deref()) && thrown(t) => {
                    picked.throws.extend(Kept::<record::Throw>::of(e));
                }
                Record::Path(p) if asked.text(&p.plane, p.version.as_deref()) => {
                    let nobody = record::Throw::default();
                    let of = p.throw.as_deref().and_then(|t| throws.get(t).copied());
                    if thrown(of.unwrap_or(&nobody)) {
                        picked.paths.push(p.clone());
                    }
                }
                Record::Balance(b)
                    if asked.text(&b.plane, b.version.as_deref()) && of_copy(b.copy.as_deref()) =>
                {
                    picked.balances.push(b.clone());
                }
                _ => {}
            }
        }
        picked
    }
}

impl Gathered {
    /// Of the records that hold.
    pub fn new(entries: &[Entry], asked: &Asked<'_>) -> Self {
        let holding: Vec<&Entry> = holding(entries);
        let Picked { throws, paths, balances } = Picked::new(&holding, asked);
        // Throws that no session holds together are those of one day.
        let mut by_session: BTreeMap<&str, Session> = BTreeMap::new();
        // How far one would have gone that met a wall is not known.
        for t in throws.iter().filter(|t| t.record.ended.is_none()) {
            let day = t.at.get(..10).unwrap_or(&t.at);
            let session = by_session.entry(t.record.session.as_deref().unwrap_or(day)).or_default();
            session.push([t.record.distance_m, t.record.time_s]);
        }
        let hands: Vec<f64> = throws.iter().filter_map(|t| t.record.hand_m).collect();
        let film = |p: &record::Path| {
            let read = track::read(&p.points, &Columns::default()).and_then(track::analyse);
            let scale = p.scale_sd_percent.map_or(SCALE_SD, |v| v / 100.0);
            let level = p.level_sd_deg.unwrap_or(LEVEL_SD_DEG).to_radians();
            Some(Film::of(&read.ok()?, scale, level))
        };
        let behind_nose_m = (!balances.is_empty()).then(|| {
            let places: Vec<f64> = balances.iter().map(|b| b.behind_nose_mm * 1e-3).collect();
            let own = |b: &record::Balance| b.give_or_take_mm.unwrap_or(BALANCE_SD_MM) * 1e-3;
            let n = balances.len() as f64;
            (mean(&places), (balances.iter().map(|b| own(b).powi(2)).sum::<f64>() / n / n).sqrt())
        });
        let other = |e: &&&Entry| match &e.record {
            Record::Throw(t) => {
                alike(&t.plane, asked.plane) && !asked.text(&t.plane, t.version.as_deref())
            }
            _ => false,
        };
        Self {
            evidence: Evidence {
                films: paths.iter().filter_map(film).collect(),
                sessions: by_session.into_values().collect(),
                balance_aft_m: None,
            },
            behind_nose_m,
            hand_m: (!hands.is_empty()).then(|| mean(&hands)),
            of_other_texts: holding.iter().filter(other).count(),
        }
    }

    /// What is fitted, for a design that balances so far behind its nose, m.
    pub fn against(mut self, behind_nose_m: f64) -> Evidence {
        self.evidence.balance_aft_m = self.behind_nose_m.map(|(at, sd)| (at - behind_nose_m, sd));
        self.evidence
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Copy, Path, Throw};

    /// Two sessions by two hands, two copies of two papers, a throw that met the wall, one of another
    /// text, and a film.
    fn notebook() -> Vec<Entry> {
        let mut all: Vec<Entry> = Vec::new();
        let mut keep = |record: Record| {
            let at = format!("2026-11-{:02}T10:00:00.000Z", all.len() + 1);
            all.push(Entry::new(&at, None, record, 0));
            all[all.len() - 1].id.clone()
        };
        for (copy, paper) in [("h-1", "laid"), ("h-2", "wove")] {
            let copy = Copy { copy: copy.into(), plane: "Halyard".into(), ..Copy::default() };
            keep(Copy { paper: Some(paper.into()), ..copy }.into());
        }
        let sessions = ["Pim", "Ode"].map(|name| {
            let thrower = Some(name.to_owned());
            let place = "hall".to_owned();
            keep(record::Session { place, thrower, ..record::Session::default() }.into())
        });
        let mut last = String::new();
        for (k, session) in [0, 0, 0, 1, 1].into_iter().enumerate() {
            let throw = Throw {
                plane: "halyard".into(),
                version: Some(if k == 4 { "other" } else { "own" }.into()),
                copy: Some(if k == 0 { "H-1" } else { "h-2" }.into()),
                session: Some(sessions[session].clone()),
                distance_m: Some(5.0 + k as f64),
                hand_m: Some(1.6),
                ended: (k == 1).then(|| "wall".into()),
                ..Throw::default()
            };
            last = keep(throw.into());
        }
        let none = Throw { session: None, distance_m: Some(9.0), ..Throw::default() };
        keep(Throw { plane: "Halyard".into(), version: Some("own".into()), ..none }.into());
        let row = |k: u32| {
            let t = f64::from(k) / 30.0;
            format!("{t},{},{}\n", 3.0 * t, 2.0 - 0.8 * t + 0.01 * f64::from(k % 3))
        };
        let film = Path {
            plane: "Halyard".into(),
            version: Some("own".into()),
            throw: Some(last),
            points: "t_s,x_m,z_m\n".to_owned() + &(0..60).map(row).collect::<String>(),
            scale_sd_percent: Some(3.0),
            ..Path::default()
        };
        keep(film.into());
        all
    }

    #[test]
    fn throws_come_by_session_and_only_those_that_are_asked_for() {
        let all = notebook();
        let own = Asked { plane: "HALYARD", version: Some("own"), ..Asked::default() };
        let distances = |asked: &Asked<'_>| {
            let mut by_session = Gathered::new(&all, asked).evidence.sessions;
            by_session.sort_by(|a, b| a[0][0].partial_cmp(&b[0][0]).unwrap());
            let first = |s: &Session| s.iter().filter_map(|t| t[0]).collect::<Vec<f64>>();
            by_session.iter().map(first).collect::<Vec<_>>()
        };
        // What met the wall says nothing of how far it goes; what no session holds is a day of its own.
        assert_eq!(distances(&own), [vec![5.0, 7.0], vec![8.0], vec![9.0]]);
        assert_eq!(distances(&Asked { version: None, ..own })[1], [8.0, 9.0]);
        assert_eq!(distances(&Asked { thrower: Some("pim"), ..own }), [[5.0, 7.0]]);
        assert_eq!(distances(&Asked { copy: Some("h-1"), ..own }), [[5.0]]);
        assert_eq!(distances(&Asked { paper: Some("Wove"), ..own }), [[7.0], [8.0]]);
        let gathered = Gathered::new(&all, &own);
        assert_eq!((gathered.of_other_texts, gathered.hand_m), (1, Some(1.6)));
    }

    #[test]
    fn a_film_says_how_sure_its_scale_is_and_whose_throw_it_shows() {
        let all = notebook();
        let own = Asked { plane: "halyard", version: Some("own"), ..Asked::default() };
        let films = |asked: &Asked<'_>| Gathered::new(&all, asked).evidence.films;
        let film = &films(&own)[0];
        assert!((film.scale_sd - 0.03).abs() < 1e-12 && film.level_sd_rad > 0.01);
        assert!((film.places[4][1] - 3.0 * film.places[4][0]).abs() < 1e-9, "{film:?}");
        assert_eq!(films(&Asked { thrower: Some("Ode"), ..own }).len(), 1);
        assert!(films(&Asked { thrower: Some("Pim"), ..own }).is_empty());
    }
}
