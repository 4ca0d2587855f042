//! Throws by plane and version, and what a session did to the thrower.

use std::collections::BTreeMap;

use crate::record::{Entry, Kept, Kind, Record, Session, Throw, Version};
use crate::sample::Line;
use crate::typed::{Mistyped, alike};

/// What is measured of a throw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Distance over the floor, m.
    Distance,
    /// Time aloft, s.
    Time,
}

impl Measure {
    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Distance => "distance",
            Self::Time => "time",
        }
    }

    /// Unit.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Distance => "m",
            Self::Time => "s",
        }
    }

    /// Words for more of it and for less.
    pub const fn ways(self) -> (&'static str, &'static str) {
        match self {
            Self::Distance => ("further", "less far"),
            Self::Time => ("longer", "less long"),
        }
    }

    /// Of a throw.
    pub fn of(self, throw: &Throw) -> Option<f64> {
        match self {
            Self::Distance => throw.distance_m,
            Self::Time => throw.time_s,
        }
    }
}

/// What holds in a notebook, sorted for questions.
#[derive(Debug, Default)]
pub struct Shelf {
    /// Throws in the order they were made.
    pub throws: Vec<Kept<Throw>>,
    /// Sessions by id.
    pub sessions: BTreeMap<String, Kept<Session>>,
    /// Versions of each plane in the order they were recorded, by the plane's name in small
    /// letters.
    pub versions: BTreeMap<String, Vec<Kept<Version>>>,
    /// Every name of a plane, as first written.
    pub planes: Vec<String>,
    /// Copies and their planes.
    pub copies: Vec<(String, String)>,
}

/// The session begun last, if that was after a time.
pub fn running<'a>(holding: &[&'a Entry], since: &str) -> Option<&'a Entry> {
    let last = holding.iter().rev().find(|e| e.record.kind() == Kind::Session)?;
    (last.at.as_str() > since).then_some(*last)
}

/// A plane's name, and the version named after an `@`.
pub fn at_version(asked: &str) -> (&str, Option<&str>) {
    match asked.split_once('@') {
        Some((name, version)) => (name.trim(), Some(version.trim())),
        None => (asked, None),
    }
}

impl Shelf {
    /// Sorts what holds.
    pub fn new(holding: &[&Entry]) -> Self {
        let mut shelf = Self::default();
        let mut keys: BTreeMap<String, ()> = BTreeMap::new();
        for e in holding {
            let plane = match &e.record {
                Record::Throw(t) => Some(&t.plane),
                Record::Version(v) => Some(&v.plane),
                Record::Balance(b) => Some(&b.plane),
                Record::Copy(c) => Some(&c.plane),
                Record::Path(p) => Some(&p.plane),
                _ => None,
            };
            if let Some(plane) = plane
                && keys.insert(plane.to_lowercase(), ()).is_none()
            {
                shelf.planes.push(plane.clone());
            }
            match e.record.kind() {
                Kind::Throw => shelf.throws.extend(Kept::<Throw>::of(e)),
                Kind::Session => {
                    shelf.sessions.extend(Kept::<Session>::of(e).map(|s| (s.id.clone(), s)));
                }
                Kind::Version => {
                    if let Some(v) = Kept::<Version>::of(e) {
                        let of = shelf.versions.entry(v.record.plane.to_lowercase()).or_default();
                        // The name is spelled as the design spells it.
                        let same = |p: &&mut String| alike(p, &v.record.plane);
                        if let Some(plane) = shelf.planes.iter_mut().find(same) {
                            plane.clone_from(&v.record.plane);
                        }
                        if !of.iter().any(|o| o.record.version == v.record.version) {
                            of.push(v);
                        }
                    }
                }
                Kind::Copy => {
                    if let Record::Copy(c) = &e.record {
                        shelf.copies.push((c.copy.clone(), c.plane.clone()));
                    }
                }
                _ => {}
            }
        }
        shelf
    }

    /// Number of a version of a plane, from 1 in the order they were recorded.
    pub fn number(&self, plane: &str, version: &str) -> Option<usize> {
        let all = self.versions.get(&plane.to_lowercase())?;
        all.iter().position(|v| v.record.version == version).map(|k| k + 1)
    }

    /// The newest version of a plane.
    pub fn newest(&self, plane: &str) -> Option<&Kept<Version>> {
        self.versions.get(&plane.to_lowercase())?.last()
    }

    /// The version of a plane that has one only.
    pub fn only_version(&self, plane: &str) -> Option<&str> {
        match &self.versions.get(&plane.to_lowercase())?[..] {
            [one] => Some(&one.record.version),
            _ => None,
        }
    }

    /// A version of a plane by its number or the beginning of its name.
    pub fn version(&self, plane: &str, asked: &str) -> Option<&Kept<Version>> {
        let all = self.versions.get(&plane.to_lowercase())?;
        let number = asked.parse::<usize>().ok().filter(|n| (1..=all.len()).contains(n));
        match number {
            Some(n) => all.get(n - 1),
            None => all.iter().find(|v| asked.len() >= 4 && v.record.version.starts_with(asked)),
        }
    }

    /// The same, or that there is none.
    ///
    /// # Errors
    /// No such version.
    pub fn known_version(&self, plane: &str, asked: &str) -> Result<&Kept<Version>, Mistyped> {
        self.version(plane, asked).ok_or_else(|| {
            let n = self.versions.get(&plane.to_lowercase()).map_or(0, Vec::len);
            let help = format!("it has {n} recorded: `plumbfold log list --kind version`");
            Mistyped { message: format!("{plane} has no version `{asked}`"), help }
        })
    }

    /// What a version is called: `Scow v2`, or `Scow` where the plane has one or none.
    pub fn label(&self, plane: &str, version: Option<&str>) -> String {
        let plane = self.planes.iter().find(|p| alike(p, plane)).map_or(plane, String::as_str);
        let versions = self.versions.get(&plane.to_lowercase()).map_or(0, Vec::len);
        match version {
            Some(v) if versions > 1 => match self.number(plane, v) {
                Some(n) => format!("{plane} v{n}"),
                None => format!("{plane} {v}"),
            },
            None if versions > 0 => format!("{plane}, version not known"),
            _ => plane.to_owned(),
        }
    }

    /// Throws of each plane and version: planes as they were first named, versions by their numbers.
    pub fn groups(&self) -> Vec<Group<'_>> {
        let mut groups: BTreeMap<(usize, usize, Option<&str>), Group<'_>> = BTreeMap::new();
        for t in &self.throws {
            let (plane, version) = (&t.record.plane, t.record.version.as_deref());
            let place = self.planes.iter().position(|p| alike(p, plane)).unwrap_or(usize::MAX);
            let number = version.and_then(|v| self.number(plane, v)).unwrap_or(usize::MAX);
            let new = || Group { label: self.label(plane, version), throws: Vec::new() };
            groups.entry((place, number, version)).or_insert_with(new).throws.push(t);
        }
        groups.into_values().collect()
    }

    /// The throws that `asked` names: a plane (`halyard`), a version (`halyard@2`, `halyard@3f2a`),
    /// a trim after a colon (`halyard@2:edges up`) or a copy (`halyard-2`).
    ///
    /// # Errors
    /// No such plane, version, copy or trim.
    pub fn select(&self, asked: &str) -> Result<Group<'_>, Mistyped> {
        let mistyped = |message: String, help: String| Mistyped { message, help };
        let (head, trim) = match asked.split_once(':') {
            Some((head, trim)) => (head.trim(), Some(trim.trim())),
            None => (asked.trim(), None),
        };
        let (name, version) = at_version(head);
        let copy = self.copies.iter().find(|c| alike(&c.0, name)).map(|c| &c.0);
        let plane = self.planes.iter().find(|p| alike(p, name));
        if copy.is_none() && plane.is_none() {
            let names = self.planes.iter().chain(self.copies.iter().map(|c| &c.0));
            let all: Vec<&str> = names.map(String::as_str).collect();
            let help = match crate::typed::nearest(name, all.iter().copied()) {
                Some(like) => format!("is it `{like}`?"),
                None if all.is_empty() => "the notebook is empty: `plumbfold log throw …`".into(),
                None => format!("it knows {}", all.join(", ")),
            };
            return Err(mistyped(format!("the notebook has no plane `{name}`"), help));
        }
        let version = match (version, plane) {
            (Some(asked), Some(plane)) => {
                Some(self.known_version(plane, asked)?.record.version.as_str())
            }
            (Some(_), None) => {
                let help = "name the plane, as in halyard@2".to_owned();
                return Err(mistyped(format!("`{name}` is a copy, and of one version"), help));
            }
            (None, _) => None,
        };
        let wanted = |t: &&Kept<Throw>| {
            let t = &t.record;
            let of_copy = copy.is_none_or(|c| t.copy.as_deref().is_some_and(|own| alike(own, c)));
            let of_plane = copy.is_some() || plane.is_some_and(|p| alike(&t.plane, p));
            let of_version = version.is_none_or(|v| t.version.as_deref() == Some(v));
            let of_trim = trim.is_none_or(|w| t.trim.as_deref().is_some_and(|own| alike(own, w)));
            of_copy && of_plane && of_version && of_trim
        };
        let throws: Vec<&Kept<Throw>> = self.throws.iter().filter(wanted).collect();
        if throws.is_empty() {
            let help = "`plumbfold log list` shows what there is".to_owned();
            return Err(mistyped(format!("no throws of `{asked}`"), help));
        }
        let label = match (copy, plane) {
            (Some(copy), _) => copy.clone(),
            (None, Some(plane)) if version.is_some() => self.label(plane, version),
            (None, Some(plane)) => plane.clone(),
            (None, None) => asked.to_owned(),
        };
        let label = trim.map_or(label.clone(), |t| format!("{label}, {t}"));
        Ok(Group { label, throws })
    }
}

/// Throws that belong together.
#[derive(Clone, Debug)]
pub struct Group<'a> {
    /// What they are called.
    pub label: String,
    /// The throws in the order they were made.
    pub throws: Vec<&'a Kept<Throw>>,
}

/// What a session did: how much further each throw went than the one before.
#[derive(Clone, Debug, PartialEq)]
pub struct Trend {
    /// The session's id; none for throws outside any.
    pub session: Option<String>,
    /// Throws.
    pub throws: usize,
    /// The line through them.
    pub line: Line,
}

impl Trend {
    /// Whether its 95 % interval leaves out zero: +1 learning, -1 tiring, 0 neither shows.
    pub fn sign(&self) -> i32 {
        match self.line.slope_interval() {
            [low, _] if low > 0.0 => 1,
            [_, high] if high < 0.0 => -1,
            _ => 0,
        }
    }
}

impl Group<'_> {
    /// What was measured of them, those where it was.
    pub fn values(&self, measure: Measure) -> Vec<f64> {
        self.throws.iter().filter_map(|t| measure.of(&t.record)).collect()
    }

    /// Sessions they were thrown in, in order.
    pub fn sessions(&self) -> Vec<Option<&str>> {
        let mut all: Vec<Option<&str>> = Vec::new();
        for t in &self.throws {
            let session = t.record.session.as_deref();
            if !all.contains(&session) {
                all.push(session);
            }
        }
        all
    }

    /// The trend over each session with at least six measured throws.
    pub fn trends(&self, measure: Measure) -> Vec<Trend> {
        const LEAST: usize = 6;
        let mut by_session: BTreeMap<Option<&str>, (Vec<f64>, Vec<f64>)> = BTreeMap::new();
        for t in &self.throws {
            let (x, y) = by_session.entry(t.record.session.as_deref()).or_default();
            if let Some(value) = measure.of(&t.record) {
                x.push(x.len() as f64 + 1.0);
                y.push(value);
            }
        }
        let mut trends = Vec::new();
        for session in self.sessions() {
            let (x, y) = &by_session[&session];
            if y.len() >= LEAST
                && let Some(line) = Line::through(x, y)
            {
                let session = session.map(str::to_owned);
                trends.push(Trend { session, throws: y.len(), line });
            }
        }
        trends
    }

    /// How often each behaviour was seen, the most frequent first.
    pub fn seen(&self) -> Vec<(String, usize)> {
        let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
        for did in self.throws.iter().filter_map(|t| t.record.did.as_deref()) {
            *seen.entry(did).or_default() += 1;
        }
        let mut seen: Vec<(String, usize)> =
            seen.into_iter().map(|(did, n)| (did.to_owned(), n)).collect();
        seen.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
        seen
    }

    /// Throws that something other than the floor ended: they say less of the plane.
    pub fn stopped(&self) -> usize {
        self.throws.iter().filter(|t| t.record.ended.is_some()).count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Copy, holding};

    fn entries() -> Vec<Entry> {
        let mut all = Vec::new();
        let mut add = |record: Record| {
            let at = format!("2026-11-01T10:00:{:02}.000Z", all.len());
            all.push(Entry::new(&at, None, record, 0));
        };
        for text in ["one", "two"] {
            let version = crate::record::version_of(text);
            let plane = "Scow".to_owned();
            add(Version { plane, version, text: text.into(), note: None }.into());
        }
        add(Copy { copy: "scow-2".into(), plane: "Scow".into(), ..Copy::default() }.into());
        for (k, text) in ["one", "one", "two", "two", "two"].iter().enumerate() {
            let throw = Throw {
                plane: if k == 0 { "scow".into() } else { "Scow".into() },
                version: Some(crate::record::version_of(text)),
                distance_m: Some(5.0 + k as f64),
                trim: (k == 4).then(|| "edges up".into()),
                copy: (k == 3).then(|| "scow-2".into()),
                did: Some(if k == 2 { "stalls" } else { "glides" }.into()),
                ..Throw::default()
            };
            add(throw.into());
        }
        all
    }

    #[test]
    fn throws_stand_by_plane_and_version_whatever_the_case_of_the_name() {
        let all = entries();
        let shelf = Shelf::new(&holding(&all));
        let groups = shelf.groups();
        let said: Vec<(&str, usize)> =
            groups.iter().map(|g| (g.label.as_str(), g.throws.len())).collect();
        assert_eq!(said, [("Scow v1", 2), ("Scow v2", 3)]);
        assert_eq!(shelf.planes, ["Scow"]);
        // Whichever was thrown first.
        let turned: Vec<Entry> = all.iter().rev().cloned().collect();
        let mut holding = holding(&all);
        holding.sort_by_key(|e| e.record.kind() != Kind::Version);
        holding.extend(turned.iter().filter(|e| e.record.kind() == Kind::Throw));
        let first = Shelf::new(&holding).groups()[0].label.clone();
        assert_eq!(first, "Scow v1");
    }

    #[test]
    fn a_selection_names_plane_version_trim_or_copy() {
        let all = entries();
        let shelf = Shelf::new(&holding(&all));
        let count = |asked: &str| shelf.select(asked).map(|g| g.throws.len());
        assert_eq!(count("scow"), Ok(5));
        assert_eq!(count("SCOW@2"), Ok(3));
        let hash = crate::record::version_of("one");
        assert_eq!(count(&format!("scow@{}", &hash[..6])), Ok(2));
        assert_eq!(count("scow@2: Edges up"), Ok(1));
        assert_eq!(count("scow-2"), Ok(1));
        for (asked, word) in
            [("scov", "no plane"), ("scow@9", "no version"), ("scow:x", "no throws")]
        {
            let e = shelf.select(asked).unwrap_err();
            assert!(e.message.contains(word), "{}", e.message);
        }
    }

    #[test]
    fn what_was_seen_is_counted() {
        let all = entries();
        let shelf = Shelf::new(&holding(&all));
        assert_eq!(
            shelf.select("scow").unwrap().seen(),
            [("glides".into(), 4), ("stalls".into(), 1)]
        );
    }
}
