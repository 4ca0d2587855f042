//! Data flows one way: the modules of a crate stand in that order, and no two files need each
//! other.

use std::collections::{BTreeMap, BTreeSet};

use crate::sources::{Module, Target};

/// Uses of a module that stands further down in the root file of the crate.
pub fn against_the_flow(targets: &[Target]) -> Vec<String> {
    let mut faults = BTreeSet::new();
    for target in targets.iter().filter(|t| t.root.ends_with("src/lib.rs")) {
        let Some(root) = target.modules.iter().find(|m| m.path.is_empty()) else { continue };
        let floor = |m: &Module| root.children.iter().position(|c| Some(c) == m.path.first());
        for (user, used) in uses(target) {
            if let (Some(user_at), Some(used_at)) = (floor(user), floor(used))
                && used_at > user_at
            {
                faults.insert(format!(
                    "{}: uses `{}`, which stands further down in {}",
                    user.file.display(),
                    used.path.join("::"),
                    target.root.display()
                ));
            }
        }
    }
    faults.into_iter().collect()
}

/// Groups of files of which each needs the others.
pub fn circles(targets: &[Target]) -> Vec<String> {
    let mut faults = Vec::new();
    for target in targets {
        let mut graph: BTreeMap<&[String], BTreeSet<&[String]>> = BTreeMap::new();
        for (user, used) in uses(target) {
            // A folder's own file says what its files have in common: that is no way back.
            if user.file != used.file && !user.path.starts_with(&used.path) {
                graph.entry(&user.path).or_default().insert(&used.path);
            }
        }
        let reach: BTreeMap<_, _> =
            graph.keys().map(|&from| (from, reached(&graph, from))).collect();
        let mut told = BTreeSet::new();
        for (&from, there) in &reach {
            if told.contains(from) || !there.contains(from) {
                continue;
            }
            let circle: Vec<&[String]> = there
                .iter()
                .copied()
                .filter(|m| reach.get(m).is_some_and(|back| back.contains(from)))
                .collect();
            let name =
                |m: &[String]| format!("`{}`", [&["crate".to_owned()], m].concat().join("::"));
            let ties: Vec<String> = circle
                .iter()
                .flat_map(|&a| graph[a].iter().filter(|b| circle.contains(b)).map(move |&b| (a, b)))
                .map(|(a, b)| format!("{} -> {}", name(a), name(b)))
                .collect();
            faults.push(format!("{}: a circle: {}", target.root.display(), ties.join(", ")));
            told.extend(circle);
        }
    }
    faults
}

fn reached<'a>(
    graph: &BTreeMap<&'a [String], BTreeSet<&'a [String]>>,
    from: &'a [String],
) -> BTreeSet<&'a [String]> {
    let mut seen = BTreeSet::new();
    let mut open = vec![from];
    while let Some(at) = open.pop() {
        for &next in graph.get(at).into_iter().flatten() {
            if seen.insert(next) {
                open.push(next);
            }
        }
    }
    seen
}

/// Pairs of modules of which one uses the other.
fn uses(target: &Target) -> impl Iterator<Item = (&Module, &Module)> {
    target.modules.iter().filter(|m| !m.test).flat_map(move |user| {
        let used = user.uses.iter().filter_map(move |path| target.module_of(path));
        used.filter(|m| !m.test).map(move |used| (user, used))
    })
}
