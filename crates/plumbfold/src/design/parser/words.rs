//! The words of the grammar, where more than one place needs them.

/// Words a line can begin with.
pub const STATEMENTS: &[&str] = &[
    "plane",
    "about",
    "sheet",
    "creep",
    "let",
    "valley",
    "mountain",
    "crease",
    "unfold",
    "refold",
    "roll",
    "turn",
    "rotate",
    "mark",
    "repeat",
    "end",
    "collapse",
    "inside",
    "outside",
    "crimp",
    "pleat",
    "squash",
    "petal",
    "rabbit",
    "waterbomb",
    "preliminary",
    "open",
    "closed",
    "swivel",
    "tuck",
    "book",
    "gate",
    "cupboard",
    "blintz",
    "pose",
    "trim",
    "ballast",
    "throw",
    "outline",
    "measured",
];

/// Words a place or a line can begin with.
pub const REFERENCES: &[&str] = &["top", "bottom", "left", "right", "crossing", "line", "middle"];

/// Words that go on after a side: `left edge`, `left end of …`, `left corner of model`.
pub const AFTER_A_SIDE: &[&str] = &["edge", "middle", "end", "corner", "top", "bottom"];

/// Words a crease can begin with, besides those of a place or a line.
pub const FOLD_LINES: &[&str] =
    &["along", "through", "perpendicular", "parallel", "at", "in", "bisector"];

/// Words that choose layers, besides `top` and `bottom`.
pub const LAYERS: &[&str] = &["all", "near", "far", "flap"];

/// Words that begin the clauses of a fold.
pub const CLAUSES: &[&str] =
    &["moving", "take", "nearest", "inside", "under", "over", "both", "repeat", "call"];

/// Units after a number.
pub const UNITS: &[&str] =
    &["mm", "cm", "m", "in", "inch", "inches", "deg", "degrees", "g", "grams", "gsm", "lb"];

/// Words that cannot be names, because a place, a line or a clause may begin with them or go on
/// with them where a name could stand.
pub const RESERVED: &[&str] = &[
    "top",
    "bottom",
    "left",
    "right",
    "edge",
    "corner",
    "middle",
    "crossing",
    "line",
    "all",
    "near",
    "far",
    "flap",
    "layer",
    "layers",
    "along",
    "through",
    "perpendicular",
    "parallel",
    "at",
    "to",
    "from",
    "onto",
    "back",
    "and",
    "hinged",
    "towards",
    "moving",
    "take",
    "nearest",
    "inside",
    "under",
    "over",
    "both",
    "call",
    "the",
    "between",
    "holding",
    "valley",
    "mountain",
    "flat",
    "up",
    "down",
];

/// Words people say for words of the grammar. The message shows the line put right, and the rest of
/// the line is read as if it were.
const SYNONYMS: &[(&str, &str)] = &[
    ("upper", "top"),
    ("lower", "bottom"),
    ("flip", "turn"),
    ("fold", "valley"),
    ("landscape", "sideways"),
    ("portrait", "upright"),
    ("center", "middle"),
    ("to", "onto"),
    ("down", "over"),
    ("in", "over"),
    ("intersection", "crossing"),
    ("midpoint", "middle"),
    ("edges", "edge"),
    ("on", "onto"),
    ("back", "over"),
    ("paper", "sheet"),
    ("name", "plane"),
    ("loop", "repeat"),
    ("launch", "throw"),
    ("weight", "ballast"),
    ("side", "edge"),
    ("toward", "towards"),
    ("pivot", "hinged"),
    ("parameter", "let"),
    ("precrease", "crease"),
    ("pinch", "crease"),
    ("up", "over"),
    ("lock", "tuck"),
];

/// What folders say for whole lines, by the first words of the line, and how it is said here.
const SAYINGS: &[(&[&str], &str)] = &[
    (
        &["spread"],
        "a spread squash is `squash L onto L, hinged at P` where one flap opens; where its point is \
         spread flat, crease its lines and fold them at once: `collapse L valley, L mountain, …`",
    ),
    (
        &["repeat", "behind"],
        "the step is repeated behind by the fold itself, at its end: `valley near half top edge \
         onto centre, repeat behind`",
    ),
    (&["repeat", "step"], REPEAT_STEPS),
    (&["repeat", "steps"], REPEAT_STEPS),
    (
        &["sink"],
        "a sink is `open sink P CREASE`, its point opened out, or `closed sink P CREASE`, pushed in \
         as it is",
    ),
    (&["cut"], "paper is folded here, not cut: no line cuts it"),
    (&["pull"], "to pull paper out is to open the fold that holds it: `unfold NAME`"),
    (
        &["pinch", "middle"],
        "a pinch that marks a place is `mark spot = middle of left edge`; a crease to find it by is \
         `crease left edge onto right edge`",
    ),
    (&["turn", "it"], "here one says `turn over`"),
    (&["turn", "paper"], "here one says `turn over`"),
    (&["turn", "model"], "here one says `turn over`"),
    (&["turn", "sheet"], "here one says `turn over`"),
    (&["hem"], "a hem is a strip folded over: `valley top edge over by 10 mm`"),
    (&["accordion"], "strips folded to and fro are a `pleat`: `pleat top edge 4 times by 10 mm`"),
    (&["multiple"], "several pleats are `pleat top edge 4 times by 10 mm`"),
    (&["gate", "across"], CUPBOARD_ACROSS),
    (&["gate", "fold", "across"], CUPBOARD_ACROSS),
    (&["cupboard", "across"], CUPBOARD_ACROSS),
    (&["cupboard", "fold", "across"], CUPBOARD_ACROSS),
    (
        &["reverse"],
        "a reverse fold is `inside reverse P CREASE`, the end pushed in between its own layers, or \
         `outside reverse P CREASE`, wrapped round them",
    ),
    (
        &["bisector"],
        "the bisector of two lines is creased: `crease bisector of left edge and top edge`",
    ),
];
const REPEAT_STEPS: &str = "steps are repeated on the other side by each fold itself: `both sides`, or \
                            `repeat behind`, at its end; lines are folded again and again between \
                            `repeat 3 times` and `end`";
const CUPBOARD_ACROSS: &str = "across the sheet these are `valley top edge over by length / 4` and \
                               `valley bottom edge over by length / 4`";
/// The same after a verb.
const SAYINGS_OF_CREASES: &[(&[&str], &str)] = &[
    (
        &["in", "quarters"],
        "quarters are `crease left edge onto right edge, call it centre` and then \
         `crease left edge onto centre, both sides`",
    ),
    (
        &["in", "thirds", "across"],
        "across the sheet these are `valley bottom edge over by length / 3` and then \
         `valley top edge over by length / 3`",
    ),
    (
        &["both"],
        "say it of one side and end with `both sides`: `valley top left corner onto centre, hinged \
         at top middle, both sides`",
    ),
    (&["again"], "a strip is folded over again and again by `roll top edge 3 times by 15 mm`"),
];

/// How a saying of the trade is said here, by the words that come next.
pub fn saying(next: &[&str], after_verb: bool) -> Option<&'static str> {
    let list = if after_verb { SAYINGS_OF_CREASES } else { SAYINGS };
    let begins = |words: &[&str]| {
        words.len() <= next.len() && words.iter().zip(next).all(|(w, n)| w.eq_ignore_ascii_case(n))
    };
    list.iter().find(|(words, _)| begins(words)).map(|(_, help)| *help)
}

/// The word of ours for a word of the trade, where one of these would do.
pub fn ours(word: &str, fits: impl Fn(&str) -> bool) -> Option<&'static str> {
    let said = |(s, meant): &&(&str, &'static str)| s.eq_ignore_ascii_case(word) && fits(meant);
    SYNONYMS.iter().find(said).map(|(_, meant)| *meant)
}

/// The word that was probably meant.
pub fn suggest<'a>(word: &str, options: &[&'a str]) -> Option<&'a str> {
    let said = ours(word, |meant| options.contains(&meant));
    said.and_then(|meant| options.iter().copied().find(|o| *o == meant))
        .or_else(|| crate::design::diagnostic::did_you_mean(word, options.iter().copied()))
}

#[cfg(test)]
mod tests {
    use crate::design::parser::parse;

    /// All help of a text with mistakes.
    fn help(line: &str) -> String {
        let start = "sheet A4\ncrease left edge onto right edge, call it centre\n";
        let (_, mistakes) = parse(&format!("{start}{line}\n"));
        assert!(!mistakes.is_empty(), "{line}");
        mistakes.into_iter().filter_map(|d| d.help).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn what_folders_say_is_answered_with_the_line_put_right() {
        let cases = [
            ("valley left edge to centre", "`valley left edge onto centre`"),
            ("valley top edge down by 30 mm", "`valley top edge over by 30 mm`"),
            ("fold top edge onto bottom edge", "`valley top edge onto bottom edge`"),
            ("flip over", "`turn over`"),
            (
                "mark p = intersection of centre and top edge",
                "`mark p = crossing of centre and top edge`",
            ),
            ("reverse bottom middle along centre", "`inside reverse P CREASE`"),
            ("valley top edge back by 20 mm", "`valley top edge over by 20 mm`"),
            ("repeat behind", "repeat behind`"),
            ("repeat steps 2 to 4", "`both sides`"),
            ("sink top middle along centre", "`open sink P CREASE`"),
            ("valley top left corner onto centre", "onto centre, hinged at top middle`"),
            (
                "valley top left corner onto centre, 60 mm over, both sides",
                "`top left corner onto centre, hinged at top middle`",
            ),
            (
                "valley top middle onto centre 150 mm from bottom middle",
                "`valley top middle onto 150 mm along centre from bottom middle`",
            ),
            (
                "valley top middle over by 30 mm, call it brow",
                "`valley top middle back by 60 mm along centre, call it brow`",
            ),
            ("valley again by 15 mm", "`roll top edge 3 times by 15 mm`"),
            ("pinch left edge onto right edge", "`crease left edge onto right edge`"),
            ("pinch middle of left edge", "`mark spot = middle of left edge`"),
            ("pull out centre", "`unfold centre`"),
            ("turn the paper over", "`turn over`"),
            ("cupboard fold across", "`valley top edge over by length / 4`"),
            ("valley in thirds across", "`valley bottom edge over by length / 3`"),
            ("valley both top corners onto centre", "`both sides`"),
            ("hem top edge by 10 mm", "over by 10 mm`"),
            ("mark on-spine = top middle", "`on_spine`"),
            ("valley left edge parallel, 15 mm from it", "`parallel to left edge, 15 mm from it`"),
            ("valley top edge up by 15 mm", "`valley top edge over by 15 mm`"),
            ("valley top middle down to bottom middle", "`valley top middle onto bottom middle`"),
            ("valley top middle down by 120 mm", "`valley top middle back by 120 mm along centre`"),
            (
                "valley top left corner of model onto centre",
                "`valley top left corner of model onto centre, hinged at top middle`",
            ),
            (
                "valley left end of centre onto centre, both sides",
                "hinged at middle of centre, both sides`",
            ),
            ("valley top left corner onto middle", "`(width / 2, length / 2)`"),
            ("squash centre onto top edge", "`squash L onto L, hinged at P`"),
            ("rabbit ear top left corner", "`rabbit ear P between P and P, towards P`"),
            ("pleat bottom edge by 10 mm", "`pleat L 3 times by 10 mm`"),
        ];
        for (line, expected) in cases {
            let help = help(line);
            assert!(help.contains(expected), "{line}: {help}");
        }
    }

    #[test]
    fn lines_that_the_messages_propose_can_be_read() {
        let text = "sheet A4\ncrease left edge onto right edge, call it centre\n\
                    crease parallel to left edge, width / 3 from it, both sides\n\
                    valley top left corner onto centre, hinged at top middle\n\
                    mark hub = (width / 2, length / 2)\nvalley top right corner onto hub\n\
                    crease bisector of left edge and top edge\n\
                    valley in half\nroll bottom edge 2 times by 10 mm, call it aft\n\
                    pleat aft 2 times by 5 mm\nunfold all\nrefold centre\n\
                    mark tip = top end of centre\nmark amid = middle of centre\n\
                    crease along left edge at bottom left corner\n\
                    valley top edge over by 30 mm\npose flat\n";
        let (design, mistakes) = parse(text);
        assert_eq!(mistakes, []);
        // What is printed is read as the same design.
        let printed = crate::design::print::print(&design);
        assert_eq!(parse(&printed), (design, Vec::new()), "{printed}");
    }
}
