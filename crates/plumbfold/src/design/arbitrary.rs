//! For property tests: designs that the grammar can say. They need not make sense on paper.

use super::ast::*;
use proptest::collection::vec;
use proptest::option::of;
use proptest::prelude::*;
use proptest::sample::select;

fn at<T>(node: T) -> Spanned<T> {
    Spanned { node, span: 0..0 }
}
fn name(s: &str) -> Name {
    at(s.to_owned())
}
fn names(all: &'static [&'static str]) -> impl Strategy<Value = Name> {
    select(all).prop_map(name)
}

fn sides() -> impl Strategy<Value = Sides> {
    select(vec![Sides::One, Sides::Both, Sides::Behind])
}

/// Places and lines every design names before its other steps.
fn prelude() -> Vec<Spanned<Step>> {
    let edge = |s| at(LineRef::Edge(s));
    let fold = |a, b, call| {
        at(Step::Fold(Box::new(FoldStep {
            verb: FoldVerb::Crease,
            layers: at(Layers::Default),
            line: at(FoldLine::LineOntoLine(edge(a), edge(b))),
            moving: None,
            choice: None,
            place: None,
            sides: Sides::One,
            call: Some(name(call)),
        })))
    };
    let middle = |s| MarkTarget::Point(at(PointRef::EdgeMiddle(s)));
    vec![
        at(Step::Mark(name("nose"), middle(Side::Top))),
        at(Step::Mark(name("stern"), middle(Side::Bottom))),
        at(Step::Mark(name("aft"), MarkTarget::Line(edge(Side::Bottom)))),
        fold(Side::Left, Side::Right, "centre"),
    ]
}

fn number() -> impl Strategy<Value = Expr> {
    let unit = select(vec![
        Unit::None,
        Unit::Mm,
        Unit::Cm,
        Unit::M,
        Unit::Inch,
        Unit::Deg,
        Unit::Gram,
        Unit::GramPerM2,
        Unit::LbBond,
        Unit::MPerS,
        Unit::FtPerS,
        Unit::KmPerH,
    ]);
    let value = prop_oneof![(0u32..40).prop_map(f64::from), 0.0..1000.0];
    (value, unit).prop_map(|(n, u)| Expr::Number(n, u))
}

fn expr() -> impl Strategy<Value = Spanned<Expr>> {
    let leaf = prop_oneof![
        3 => number(),
        1 => names(&["tip", "band", "turns", "width"]).prop_map(Expr::Let),
    ];
    let tree = leaf.prop_recursive(3, 8, 2, |inner| {
        let ops = select(vec![BinaryOp::Add, BinaryOp::Sub, BinaryOp::Mul, BinaryOp::Div]);
        prop_oneof![
            inner.clone().prop_map(|a| Expr::Neg(Box::new(at(a)))),
            (inner.clone(), ops, inner.clone()).prop_map(|(a, op, b)| Expr::Binary(
                Box::new(at(a)),
                op,
                Box::new(at(b))
            )),
            (names(&["min", "hypot"]), inner.clone(), inner.clone())
                .prop_map(|(f, a, b)| Expr::Call(f, vec![at(a), at(b)])),
            (names(&["tan", "sqrt"]), inner).prop_map(|(f, a)| Expr::Call(f, vec![at(a)])),
        ]
    });
    tree.prop_map(at)
}

fn count() -> impl Strategy<Value = Spanned<Expr>> {
    prop_oneof![
        (1u32..9).prop_map(|n| Expr::Number(n.into(), Unit::None)),
        Just(Expr::Let(name("turns"))),
        expr().prop_map(|e| Expr::Call(name("round"), vec![e])),
    ]
    .prop_map(at)
}

fn side() -> impl Strategy<Value = Side> {
    select(vec![Side::Top, Side::Bottom, Side::Left, Side::Right])
}

fn short_line() -> impl Strategy<Value = Spanned<LineRef>> {
    prop_oneof![side().prop_map(LineRef::Edge), names(&["aft", "centre"]).prop_map(LineRef::Named),]
        .prop_map(at)
}

fn point() -> impl Strategy<Value = Spanned<PointRef>> {
    let corner = (select(vec![Side::Top, Side::Bottom]), select(vec![Side::Left, Side::Right]));
    let leaf = prop_oneof![
        corner.clone().prop_map(|(a, b)| PointRef::Corner(a, b)),
        corner.prop_map(|(a, b)| PointRef::ModelCorner(a, Some(b))),
        side().prop_map(|a| PointRef::ModelCorner(a, None)),
        side().prop_map(PointRef::EdgeMiddle),
        names(&["nose", "stern"]).prop_map(PointRef::Named),
        (expr(), expr()).prop_map(|(x, y)| PointRef::Sheet(x, y)),
    ];
    let tree = leaf.prop_recursive(2, 6, 2, |inner| {
        let join = (inner.clone(), inner.clone())
            .prop_map(|(p, q)| at(LineRef::Join(Box::new(at(p)), Box::new(at(q)))));
        let line = prop_oneof![short_line(), join];
        prop_oneof![
            (expr(), short_line(), of(inner)).prop_map(|(by, of, p)| PointRef::Along {
                by,
                of,
                from: p.map(at).map(Box::new)
            }),
            (line.clone(), line).prop_map(|(l, m)| PointRef::Crossing(l, m)),
        ]
    });
    tree.prop_map(at)
}

fn line() -> impl Strategy<Value = Spanned<LineRef>> {
    let join = (point(), point()).prop_map(|(p, q)| at(LineRef::Join(Box::new(p), Box::new(q))));
    prop_oneof![3 => short_line(), 1 => join]
}

fn fold_line() -> impl Strategy<Value = Spanned<FoldLine>> {
    prop_oneof![
        line().prop_map(FoldLine::Along),
        (point(), point()).prop_map(|(p, q)| FoldLine::Through(p, q)),
        (point(), point()).prop_map(|(p, q)| FoldLine::PointOntoPoint(p, q)),
        (line(), line()).prop_map(|(l, m)| FoldLine::LineOntoLine(l, m)),
        (line(), point()).prop_map(|(l, p)| FoldLine::Perpendicular(l, p)),
        (point(), line(), point()).prop_map(|(point, onto, hinge)| FoldLine::PointOntoLine {
            point,
            onto,
            hinge
        }),
        [(point(), line()), (point(), line())].prop_map(FoldLine::TwoPointsOntoLines),
        (point(), line(), line()).prop_map(|(point, onto, square_to)| {
            FoldLine::PointOntoLinePerpendicular { point, onto, square_to }
        }),
        (line(), expr(), of(point())).prop_map(|(l, d, p)| FoldLine::Parallel(l, d, p)),
        (expr(), line(), point()).prop_map(|(a, l, p)| FoldLine::AtAngle(a, l, p)),
        (point(), expr(), line()).prop_map(|(p, d, l)| FoldLine::Back(p, d, l)),
    ]
    .prop_map(at)
}

fn choice() -> impl Strategy<Value = Spanned<Choice>> {
    prop_oneof![expr().prop_map(Choice::Take), point().prop_map(Choice::Nearest)].prop_map(at)
}

fn direction() -> impl Strategy<Value = Direction> {
    select(vec![Direction::Left, Direction::Right, Direction::Up, Direction::Down])
}

fn fold() -> impl Strategy<Value = Step> {
    let layers = prop_oneof![
        4 => Just(Layers::Default),
        1 => Just(Layers::All),
        1 => count().prop_map(Layers::Top),
        1 => count().prop_map(Layers::Bottom),
        1 => Just(Layers::NearHalf),
        1 => Just(Layers::FarHalf),
        1 => point().prop_map(Layers::FlapAt),
    ];
    let moving = prop_oneof![
        point().prop_map(MovingRef::Point),
        line().prop_map(MovingRef::Line),
        direction().prop_map(MovingRef::Table),
    ];
    let place = prop_oneof![
        Just(Place::Inside),
        point().prop_map(Place::Under),
        point().prop_map(Place::Over),
    ];
    let verb = select(vec![FoldVerb::Valley, FoldVerb::Mountain, FoldVerb::Crease]);
    let extras = (of(moving), of(choice()), of(place), sides(), call());
    (verb, layers, fold_line(), extras).prop_map(|(verb, layers, line, extras)| {
        let (moving, choice, place, sides, call) = extras;
        Step::Fold(Box::new(FoldStep {
            verb,
            layers: at(layers),
            line,
            moving: moving.map(at),
            choice,
            place: place.map(at),
            sides,
            call,
        }))
    })
}

fn call() -> impl Strategy<Value = Option<Name>> {
    of(names(&["centre", "wing", "keel"]))
}

fn collapse() -> impl Strategy<Value = Step> {
    let state = select(vec![CreaseState::Valley, CreaseState::Mountain, CreaseState::Flat]);
    let item = (short_line(), of((point(), point())), state)
        .prop_map(|(line, part, state)| CollapseItem { line, part, state });
    let reverse =
        || (point(), fold_line()).prop_map(|(tip, line)| Reverse { tip, line: Box::new(line) });
    let between = || (point(), fold_line().prop_map(Box::new), fold_line().prop_map(Box::new));
    let part = || select(vec![SquarePart::Whole, SquarePart::Top, SquarePart::Bottom]);
    let hinged = || (line(), line(), point());
    let kind = prop_oneof![
        (vec(item, 1..4), of(point()))
            .prop_map(|(items, holding)| CollapseKind::Creases { items, holding }),
        reverse().prop_map(CollapseKind::InsideReverse),
        reverse().prop_map(CollapseKind::OutsideReverse),
        reverse().prop_map(CollapseKind::OpenSink),
        reverse().prop_map(CollapseKind::ClosedSink),
        between().prop_map(|(p, l, m)| CollapseKind::Crimp(p, l, m)),
        between().prop_map(|(p, l, m)| CollapseKind::Pleat(p, l, m)),
        hinged().prop_map(|(spine, onto, hinge)| CollapseKind::Squash { spine, onto, hinge }),
        hinged().prop_map(|(edge, onto, hinge)| CollapseKind::Swivel { edge, onto, hinge }),
        reverse().prop_map(CollapseKind::Petal),
        ([point(), point(), point()], point())
            .prop_map(|(corners, towards)| CollapseKind::RabbitEar { corners, towards }),
        part().prop_map(|p| CollapseKind::WaterbombBase(at(p))),
        part().prop_map(|p| CollapseKind::PreliminaryBase(at(p))),
        (point(), point(), fold_line()).prop_map(|(flap, under, line)| {
            CollapseKind::Tuck { flap, under, line: Box::new(line) }
        }),
    ];
    (kind, call(), sides(), of(choice())).prop_map(|(kind, call, sides, choice)| {
        Step::Collapse(Box::new(CollapseStep { kind, call, sides, choice }))
    })
}

fn step() -> impl Strategy<Value = Spanned<Step>> {
    let leaf = prop_oneof![
        4 => fold(),
        3 => collapse(),
        1 => of(Just(name("centre"))).prop_map(Step::Unfold),
        1 => Just(Step::TurnOver),
        1 => expr().prop_map(Step::Rotate),
        1 => Just(Step::UnfoldAll),
        1 => point().prop_map(|p| Step::Mark(name("spot"), MarkTarget::Point(p))),
        1 => line().prop_map(|l| Step::Mark(name("aft"), MarkTarget::Line(l))),
    ];
    leaf.prop_map(at).prop_recursive(2, 6, 3, |inner| {
        (count(), vec(inner, 0..3)).prop_map(|(n, steps)| at(Step::Repeat(n, steps)))
    })
}

fn sheet() -> impl Strategy<Value = Spanned<SheetDecl>> {
    let size = prop_oneof![
        names(&["A4", "Letter", "ANSI C"]).prop_map(SheetSize::Named),
        expr().prop_map(SheetSize::Square),
        (expr(), expr()).prop_map(|(w, l)| SheetSize::Custom(w, l)),
    ];
    (size, any::<bool>(), of(expr()), of(expr()), any::<bool>()).prop_map(
        |(size, sideways, grammage, thickness, printed_down)| {
            let sideways = sideways && matches!(size, SheetSize::Named(_));
            at(SheetDecl { size, sideways, grammage, thickness, printed_down })
        },
    )
}

fn lets() -> impl Strategy<Value = Vec<Spanned<Let>>> {
    let one = |n: &'static str| {
        (expr(), of((expr(), expr())), of("[a-z]{1,8}( [a-z,']{1,8}){0,3}"))
            .prop_map(move |(value, range, note)| at(Let { name: name(n), value, range, note }))
    };
    (one("tip"), one("band"), one("turns")).prop_map(|(a, b, c)| vec![a, b, c])
}

fn pose() -> impl Strategy<Value = Spanned<Pose>> {
    let kind = select(vec![PoseKind::Opens, PoseKind::Dihedral, PoseKind::Up, PoseKind::Down]);
    let item = (names(&["centre", "aft"]), kind, expr())
        .prop_map(|(crease, kind, angle)| PoseItem { crease, kind, angle });
    vec(item, 0..3).prop_map(|items| at(Pose { items }))
}

fn trim() -> impl Strategy<Value = Spanned<Trim>> {
    use {Direction::*, TrimSurfaceName::*};
    let way = select(vec![
        (Elevator, Up),
        (LeftWing, Down),
        (RightWing, Up),
        (Rudder, Left),
        (Rudder, Right),
    ]);
    (way, expr(), of(expr())).prop_map(|((surface, direction), amount, depth)| {
        at(Trim { surface, direction, amount, depth })
    })
}

fn ballast() -> impl Strategy<Value = Spanned<Ballast>> {
    let place = prop_oneof![
        (expr(), of(expr()), of(expr())).prop_map(|(behind, above, right)| {
            BallastPlace::BehindNose { behind, above, right }
        }),
        point().prop_map(BallastPlace::Paper),
    ];
    (names(&["clip", "tape", "staple", "glue"]), expr(), place)
        .prop_map(|(kind, mass, place)| at(Ballast { kind, mass, at: place }))
}

fn outline() -> impl Strategy<Value = Spanned<OutlineDecl>> {
    (vec((expr(), expr()), 1..5), any::<bool>())
        .prop_map(|(corners, mirrored)| at(OutlineDecl { corners, mirrored }))
}

fn measured() -> impl Strategy<Value = Spanned<Measured>> {
    (expr(), expr(), of(expr()), of(expr()), of(expr())).prop_map(
        |(mass, balance, above, dihedral, keel)| {
            at(Measured { mass, balance, above, dihedral, keel })
        },
    )
}

/// Designs of every form.
pub fn design() -> impl Strategy<Value = Design> {
    let words = "[A-Za-z]{1,8}( [a-z0-9.,']{1,8}){0,4}";
    let finished = (of(outline()), of(measured()));
    let head = (of(words), vec(words, 0..3), of(sheet()), of(any::<bool>()), finished);
    let throw = (expr(), of(expr()), of(expr()), of(expr()))
        .prop_map(|(speed, elevation, height, bank)| at(Throw { speed, elevation, height, bank }));
    let tail = (of(pose()), vec(trim(), 0..3), vec(ballast(), 0..3), of(throw));
    (head, lets(), vec(step(), 0..6), tail).prop_map(|(head, lets, steps, tail)| {
        let (name, about, sheet, creep, (outline, measured)) = head;
        let (pose, trims, ballast, throw) = tail;
        Design {
            name: name.map(at),
            about: about.into_iter().map(at).collect(),
            sheet,
            outline,
            measured,
            creep: creep.map(at),
            lets,
            steps: prelude().into_iter().chain(steps).collect(),
            pose,
            trims,
            ballast,
            throw,
        }
    })
}
