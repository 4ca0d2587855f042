//! Places and measurements as people type them: `410,322`, `120 mm,40 mm`, `12=103,40`,
//! `hang 410,300 through 600,900`, `2.1 g at 40 mm`. Errors say what was expected.

use crate::ask::{Balanced, Edit, RULER_MM, Reference, Spot};
use crate::balance::Support;
use crate::polygon::Pt;
use crate::view::Lens;

/// A text being read from the left.
struct Reader<'a> {
    whole: &'a str,
    rest: &'a str,
}

type Read<T> = Result<T, String>;

impl<'a> Reader<'a> {
    fn new(text: &'a str) -> Self {
        Self { whole: text, rest: text }
    }
    fn skip(&mut self) {
        self.rest = self.rest.trim_start_matches(|c: char| c.is_whitespace() || c == ';');
    }
    fn done(&mut self) -> bool {
        self.skip();
        self.rest.is_empty()
    }
    fn eat(&mut self, word: &str) -> bool {
        self.skip();
        let letters = word.chars().all(char::is_alphabetic);
        let found = self
            .rest
            .strip_prefix(word)
            .filter(|r| !letters || !r.starts_with(|c: char| c.is_alphabetic()));
        if let Some(rest) = found {
            self.rest = rest;
        }
        found.is_some()
    }
    fn wrong(&self, due: &str) -> String {
        match self.rest.is_empty() {
            true => format!("expected {due} at the end of `{}`", self.whole),
            false => {
                format!("expected {due} at `{}`", self.rest.chars().take(20).collect::<String>())
            }
        }
    }
    /// A number, and half of its last digit.
    fn number(&mut self, due: &str) -> Read<(f64, f64)> {
        self.skip();
        let end = self
            .rest
            .find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | '-' | '+'))
            .unwrap_or(self.rest.len());
        let (digits, rest) = self.rest.split_at(end);
        match digits.parse::<f64>() {
            Ok(n) if n.is_finite() && n.abs() < 1e6 => {
                self.rest = rest;
                let decimals = digits.split_once('.').map_or(0, |(_, d)| d.len());
                Ok((n, 0.5 * 10f64.powi(-(decimals as i32))))
            }
            _ => Err(self.wrong(due)),
        }
    }
    /// A length, mm, plain or in `mm` or `in`.
    fn length(&mut self, due: &str) -> Read<f64> {
        let (number, _) = self.number(due)?;
        let inch = !self.eat("mm") && self.eat("in");
        Ok(if inch { number * 25.4 } else { number })
    }
    /// `410,322` or `120 mm,40 mm`.
    fn spot(&mut self) -> Read<Spot> {
        let due = "a place, such as `410,322` (in a photo dots, elsewhere mm) or `120 mm,40 mm`";
        let (x, _) = self.number(due)?;
        let first_mm = self.eat("mm");
        if !self.eat(",") {
            return Err(self.wrong("a comma between right and down"));
        }
        let (y, _) = self.number(due)?;
        let mm = self.eat("mm");
        match first_mm && !mm {
            true => Err(self.wrong("`mm` after both numbers of a place on the sheet")),
            false if mm => Ok(Spot::Sheet(Pt::new(x, y))),
            false => Ok(Spot::Photo(Pt::new(x, y))),
        }
    }
    fn dot(&mut self) -> Read<Pt> {
        match self.spot()? {
            Spot::Photo(p) => Ok(p),
            Spot::Sheet(_) => Err("a place in dots of the photo is due here, without `mm`".into()),
        }
    }
    fn end<T>(mut self, value: T) -> Read<T> {
        if self.done() { Ok(value) } else { Err(self.wrong("nothing more")) }
    }
}

/// One place.
///
/// # Errors
/// What was expected.
pub fn spot(text: &str) -> Read<Spot> {
    let mut r = Reader::new(text);
    let spot = r.spot()?;
    r.end(spot)
}

/// Two places.
///
/// # Errors
/// What was expected.
pub fn two_spots(text: &str) -> Read<(Spot, Spot)> {
    let mut r = Reader::new(text);
    let two = (r.spot()?, r.spot()?);
    r.end(two)
}

/// Three places or more, in order round something.
///
/// # Errors
/// What was expected.
pub fn outline(text: &str) -> Read<Vec<Spot>> {
    let mut r = Reader::new(text);
    let mut all = Vec::new();
    while !r.done() {
        all.push(r.spot()?);
    }
    match all.len() {
        3..=OUTLINE_MAX => Ok(all),
        n => Err(format!("3 to {OUTLINE_MAX} places round the plane are due, not {n}")),
    }
}

/// More corners no plane has that a hand goes round.
pub const OUTLINE_MAX: usize = 500;

/// Four dots in order round the sheet.
///
/// # Errors
/// What was expected.
pub fn corners(text: &str) -> Read<[Pt; 4]> {
    let mut r = Reader::new(text);
    let four = [r.dot()?, r.dot()?, r.dot()?, r.dot()?];
    r.end(four)
}

/// `410,322=0,0 900,330=200,0 …`: dots and their places in mm.
///
/// # Errors
/// What was expected.
pub fn marks(text: &str) -> Read<Reference> {
    let mut r = Reader::new(text);
    let mut marks = Vec::new();
    while !r.done() {
        let dot = r.dot()?;
        if !r.eat("=") {
            return Err(r.wrong("`=` and the place in mm"));
        }
        let (Spot::Photo(mm) | Spot::Sheet(mm)) = r.spot()?;
        marks.push((dot, mm));
    }
    if marks.len() < 4 {
        return Err(
            "four marks are needed, such as `90,80=0,0 900,90=200,0 880,700=200,150 95,690=0,150`"
                .into(),
        );
    }
    Ok(Reference::Marks(marks))
}

/// `410,322 900,330 = 200 mm`: two dots and their distance.
///
/// # Errors
/// What was expected.
pub fn ruler(text: &str) -> Read<Reference> {
    let mut r = Reader::new(text);
    let (from, to) = (r.dot()?, r.dot()?);
    if !r.eat("=") {
        return Err(r.wrong("`=` and the distance, such as `= 200 mm`"));
    }
    let (length_mm, _) = r.number("a distance in mm")?;
    r.eat("mm");
    if !RULER_MM.contains(&length_mm) {
        let [least, most] = [RULER_MM.start(), RULER_MM.end()];
        return Err(format!("a ruler from {least} to {most} mm long is due, not {length_mm} mm"));
    }
    r.end(Reference::Ruler { from, to, length_mm })
}

/// `-0.03` or `-0.03,0.002`.
///
/// # Errors
/// What was expected.
pub fn lens(text: &str) -> Read<Lens> {
    let mut r = Reader::new(text);
    let (k1, _) = r.number("a coefficient, such as `-0.03`")?;
    let k2 = if r.eat(",") { r.number("a second coefficient")?.0 } else { 0.0 };
    r.end(Lens { k1, k2 })
}

/// `90,80 500,86 900,90`: dots along something straight.
///
/// # Errors
/// What was expected.
pub fn straight(text: &str) -> Read<Vec<Pt>> {
    let mut r = Reader::new(text);
    let mut dots = Vec::new();
    while !r.done() {
        dots.push(r.dot()?);
    }
    match dots.len() {
        0..3 => Err(
            "three dots along a straight line are needed at least, such as `90,80 500,86 900,90`"
                .into(),
        ),
        _ => Ok(dots),
    }
}

/// `12=103,40`: the number of a point and a place.
///
/// # Errors
/// What was expected.
pub fn numbered(text: &str) -> Read<(usize, Spot)> {
    let mut r = Reader::new(text);
    let (n, half) = r.number("the number of a point, such as in `12=103,40`")?;
    if n < 1.0 || half < 0.5 {
        return Err("points are numbered 1, 2, 3 … in the picture that --overlay draws".into());
    }
    if !r.eat("=") {
        return Err(r.wrong("`=` and a place"));
    }
    let spot = r.spot()?;
    r.end((n as usize, spot))
}

/// A point moved.
///
/// # Errors
/// What was expected.
pub fn moved(text: &str) -> Read<Edit> {
    numbered(text).map(|(n, s)| Edit::Move(n, s))
}

/// A point added after another.
///
/// # Errors
/// What was expected.
pub fn added(text: &str) -> Read<Edit> {
    numbered(text).map(|(n, s)| Edit::Add(n, s))
}

/// `410,300 800,310`: a balance line.
///
/// # Errors
/// What was expected.
pub fn balance_line(text: &str) -> Read<Balanced> {
    two_spots(text).map(|(a, b)| Balanced::Line(a, b))
}

/// `hang 410,300 through 600,900`: a plumb line.
///
/// # Errors
/// What was expected.
pub fn plumb(text: &str) -> Read<Balanced> {
    let mut r = Reader::new(text);
    r.eat("hang");
    let hang = r.spot()?;
    r.eat("through");
    let through = r.spot()?;
    r.end(Balanced::Plumb(hang, through))
}

/// `2.1 g at 40 mm`: a support, the mass on it and its place behind the nose.
///
/// # Errors
/// What was expected.
pub fn support(text: &str) -> Read<Support> {
    let mut r = Reader::new(text);
    let (mass_g, half_digit_g) = r.number("a mass, such as in `2.1 g at 40 mm`")?;
    r.eat("g");
    if !r.eat("at") {
        return Err(r.wrong("`at` and its place behind the nose, such as `at 40 mm`"));
    }
    let behind_mm = r.length("a place behind the nose, such as `40 mm`")?;
    if mass_g < 0.0 {
        return Err("a mass is not less than nothing".into());
    }
    r.end(Support { mass_g, half_digit_g, behind_mm })
}

/// Half widths at stations behind the nose, `0=8 30=30 120=95`, mm, to the corners of the right
/// half.
///
/// # Errors
/// What was expected.
pub fn stations(text: &str) -> Read<Vec<[f64; 2]>> {
    let mut r = Reader::new(text);
    let mut corners: Vec<[f64; 2]> = Vec::new();
    while !r.done() {
        let behind = r.length("a station behind the nose, such as in `30=28`")?;
        if !r.eat("=") {
            return Err(r.wrong("`=` and the half width there"));
        }
        let half = r.length("a half width, mm")?;
        r.eat(",");
        if half < 0.0 || behind < 0.0 {
            return Err(format!(
                "{behind}={half}: stations and half widths are not less than nothing"
            ));
        }
        if corners.last().is_some_and(|c| c[1] > behind) {
            return Err(format!("station {behind} comes after a later one; begin at the nose"));
        }
        if corners.is_empty() && behind > 0.0 {
            return Err(format!(
                "the first station is {behind} mm: they are counted from the nose, so begin at 0, such \
                 as `0=0 {behind}={half}`"
            ));
        }
        corners.push([half, behind]);
    }
    if corners.len() < 2 {
        return Err("two stations are needed at least, such as `0=8 30=28 120=95`".into());
    }
    Ok(closed(corners))
}

/// How near to nothing the foremost point of an outline is, mm: what a ruler reads.
const NOSE_MM: f64 = 0.5;

/// Lines of `right,behind` in mm (comma, semicolon or tab between), a heading first or not.
///
/// # Errors
/// The first line that is none.
pub fn table(text: &str) -> Read<Vec<[f64; 2]>> {
    let mut corners = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let line = line.trim().trim_start_matches('\u{feff}');
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let parts: Vec<&str> = line.split([',', ';', '\t']).map(str::trim).collect();
        let numbers: Vec<f64> = parts.iter().filter_map(|p| p.parse().ok()).collect();
        match (numbers.as_slice(), parts.len()) {
            ([right, behind], 2) if right.is_finite() && behind.is_finite() => {
                corners.push([*right, *behind]);
            }
            // A heading, which names what stands below it.
            ([], _) if corners.is_empty() && i < 3 && line.contains(char::is_alphabetic) => {}
            _ => {
                return Err(format!(
                    "line {}: `{}` is not two numbers, right of the middle and behind the nose in mm, such \
                     as `80, 180`; decimals have a point",
                    i + 1,
                    line.chars().take(40).collect::<String>()
                ));
            }
        }
    }
    let foremost = corners.iter().map(|c| c[1]).fold(f64::MAX, f64::min);
    if corners.len() > 2 && foremost.abs() > NOSE_MM {
        return Err(format!(
            "the foremost point lies {foremost} mm behind the nose: places are counted from the nose, \
             so it should be 0; take {foremost} mm from all of them"
        ));
    }
    if corners.len() < 3 {
        return Err("an outline needs three points at least, one a line, such as `80, 180`".into());
    }
    Ok(corners)
}

/// A half outline that ends in the middle.
fn closed(mut half: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    if let (Some(&first), Some(&last)) = (half.first(), half.last()) {
        if first[0] > 0.0 {
            half.insert(0, [0.0, first[1]]);
        }
        if last[0] > 0.0 {
            half.push([0.0, last[1]]);
        }
    }
    half
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_dots_unless_they_say_mm() {
        assert_eq!(spot("410, 322"), Ok(Spot::Photo(Pt::new(410.0, 322.0))));
        assert_eq!(spot("120mm,40.5 mm"), Ok(Spot::Sheet(Pt::new(120.0, 40.5))));
        assert!(spot("120 mm,40").unwrap_err().contains("both"));
        assert!(spot("120").unwrap_err().contains("comma"));
        assert!(spot("1,2 3,4").unwrap_err().contains("nothing more"));
        assert!(spot("nan,2").is_err() && spot("1e9,2").is_err() && spot("").is_err());
    }

    #[test]
    fn measurements_are_read_with_their_last_digit() {
        let s = support("2.10 g at 40 mm").unwrap();
        assert_eq!((s.mass_g, s.behind_mm), (2.1, 40.0));
        assert!((s.half_digit_g - 0.005).abs() < 1e-12);
        assert_eq!(support("3 at 150").unwrap().half_digit_g, 0.5);
        assert!(support("2.1 g 40").unwrap_err().contains("`at`"));
        assert!(matches!(plumb("hang 1,2 through 30,40"), Ok(Balanced::Plumb(..))));
        assert!(matches!(ruler("1,2 30,40 = 200 mm"), Ok(Reference::Ruler { .. })));
        assert!(matches!(moved("12=103,40"), Ok(Edit::Move(12, _))));
        assert!(moved("1.5=103,40").is_err() && moved("0=1,1").is_err());
    }

    #[test]
    fn half_widths_at_stations_close_at_the_middle() {
        assert_eq!(
            stations("0=8, 30 mm=28 120=95").unwrap(),
            [[0.0, 0.0], [8.0, 0.0], [28.0, 30.0], [95.0, 120.0], [0.0, 120.0]]
        );
        assert!(stations("0=8 30=4 20=2").unwrap_err().contains("begin at the nose"));
        assert!(stations("30=8 40=2").unwrap_err().contains("begin at 0"));
        assert_eq!(stations("0=0 1in=2in").unwrap()[1], [50.8, 25.4]);
        assert!(stations("30:8").unwrap_err().contains("`=`"));
    }

    #[test]
    fn tables_may_have_a_heading_and_say_which_line_is_wrong() {
        let read = table("right_mm,behind_mm\n0,0\n80;180\n0\t200\n");
        assert_eq!(read.unwrap(), [[0.0, 0.0], [80.0, 180.0], [0.0, 200.0]]);
        assert!(table("0,0\n80,x\n0,200").unwrap_err().starts_with("line 2"));
        assert!(table("0,30\n80,180\n0,200").unwrap_err().contains("take 30 mm from all"));
        assert!(table("").is_err());
        assert!(table("0 0\n80 180\n0 200").unwrap_err().starts_with("line 1"));
        assert!(table("0,0\n60,5;120,5\n0;200").unwrap_err().contains("decimals have a point"));
    }
}
