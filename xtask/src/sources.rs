//! The Rust files of the project as the compiler finds them: from each root of a crate along its
//! `mod` lines.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use syn::visit::{self, Visit};

/// A module and the file it stands in.
pub struct Module {
    /// From the root of the project.
    pub file: PathBuf,
    /// Path of the modules from the root of the crate; empty for the root itself.
    pub path: Vec<String>,
    /// Compiled for tests only.
    pub test: bool,
    /// Its child modules, in the order they are declared.
    pub children: Vec<String>,
    /// Names it gives out that stand elsewhere: name to path from the root of the crate.
    pub given_out: BTreeMap<String, Vec<String>>,
    /// What its code uses of its own crate, as paths from the root of the crate. What is used by
    /// tests only, and what it only gives out, is left out.
    pub uses: Vec<Vec<String>>,
}

/// A crate, or one of its test or example programs.
pub struct Target {
    /// The file at its root.
    pub root: PathBuf,
    /// Its modules, parents before children.
    pub modules: Vec<Module>,
}

impl Target {
    /// The module that a path into the crate leads to, re-exports followed.
    pub fn module_of(&self, path: &[String]) -> Option<&Module> {
        let mut path = path.to_vec();
        // A name may be given out several times over; eight is more than anyone can follow.
        for _ in 0..8 {
            let module = (0..=path.len())
                .rev()
                .find_map(|n| self.modules.iter().find(|m| m.path == path[..n]))?;
            let depth = module.path.len();
            match path.get(depth).and_then(|name| module.given_out.get(name)) {
                Some(there) => path = [there, &path[depth + 1..]].concat(),
                None => return Some(module),
            }
        }
        None
    }
}

/// Every crate, test and example of the project.
///
/// # Errors
/// A folder or file that cannot be read or is not Rust.
pub fn targets(root: &Path) -> Result<Vec<Target>, String> {
    let mut packages = vec![PathBuf::from("xtask"), PathBuf::from("bench")];
    packages.extend(listed(root, Path::new("crates"))?);
    let mut targets = Vec::new();
    for package in packages {
        let mut roots: Vec<PathBuf> =
            ["src/lib.rs", "src/main.rs"].iter().map(|file| package.join(file)).collect();
        for folder in ["tests", "examples", "benches"] {
            for inside in listed(root, &package.join(folder)).unwrap_or_default() {
                roots.push(if inside.extension().is_some() {
                    inside
                } else {
                    inside.join("main.rs")
                });
            }
        }
        for file in roots.into_iter().filter(|f| f.extension().is_some_and(|e| e == "rs")) {
            if root.join(&file).is_file() {
                targets.push(target(root, file)?);
            }
        }
    }
    Ok(targets)
}

/// What a folder holds, from the root of the project, sorted.
pub fn listed(root: &Path, folder: &Path) -> Result<Vec<PathBuf>, String> {
    let entries =
        fs::read_dir(root.join(folder)).map_err(|e| format!("{}: {e}", folder.display()))?;
    let mut list: Vec<PathBuf> = entries.flatten().map(|e| folder.join(e.file_name())).collect();
    list.sort();
    Ok(list)
}

fn target(root: &Path, file: PathBuf) -> Result<Target, String> {
    let mut modules = Vec::new();
    let mut open = vec![(file.clone(), Vec::new(), false)];
    while let Some((file, path, test)) = open.pop() {
        let text = fs::read_to_string(root.join(&file));
        let text = text.map_err(|e| format!("{}: {e}", file.display()))?;
        let syntax = syn::parse_file(&text).map_err(|e| format!("{}: {e}", file.display()))?;
        let mut reader = Reader {
            module: Module {
                file: file.clone(),
                path: path.clone(),
                test,
                children: Vec::new(),
                given_out: BTreeMap::new(),
                uses: Vec::new(),
            },
            depth: path.clone(),
            elsewhere: Vec::new(),
        };
        reader.visit_file(&syntax);
        for (name, at, only_tests) in reader.elsewhere {
            let child = place(root, &file, path.is_empty(), &name, at.as_deref())
                .ok_or_else(|| format!("{}: no file for `mod {name};`", file.display()))?;
            let path = [&path[..], &[name]].concat();
            open.push((child, path, test || only_tests));
        }
        modules.push(reader.module);
    }
    modules.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(Target { root: file, modules })
}

/// The file of a module declared in `parent`.
fn place(
    root: &Path,
    parent: &Path,
    is_root: bool,
    name: &str,
    at: Option<&str>,
) -> Option<PathBuf> {
    let folder = parent.parent().unwrap_or(Path::new(""));
    if let Some(at) = at {
        let mut file = PathBuf::new();
        for part in folder.join(at).components() {
            match part {
                std::path::Component::ParentDir => _ = file.pop(),
                part => file.push(part),
            }
        }
        return Some(file);
    }
    let is_mod = parent.file_name().is_some_and(|f| f == "mod.rs");
    let inside = if is_root || is_mod { folder.to_owned() } else { parent.with_extension("") };
    let found = [inside.join(format!("{name}.rs")), inside.join(name).join("mod.rs")];
    found.into_iter().find(|f| root.join(f).is_file())
}

struct Reader {
    module: Module,
    /// Where the reader is: the module's path and the inline modules within.
    depth: Vec<String>,
    /// Modules in files of their own: name, `#[path]`, for tests only.
    elsewhere: Vec<(String, Option<String>, bool)>,
}

impl Reader {
    /// A path as the crate's root sees it; `None` for other crates and for local names.
    fn absolute(&self, path: &[String]) -> Option<Vec<String>> {
        let mut rest = path;
        let mut base = self.depth.clone();
        match path.first()?.as_str() {
            "crate" => {
                base.clear();
                rest = &path[1..];
            }
            "self" => rest = &path[1..],
            "super" => {
                while rest.first().is_some_and(|s| s == "super") {
                    base.pop();
                    rest = &rest[1..];
                }
            }
            child if self.module.children.iter().any(|c| c == child) => {}
            _ => return None,
        }
        base.extend_from_slice(rest);
        Some(base)
    }

    fn leaf(&mut self, path: &[String], name: &str, public: bool) {
        let Some(there) = self.absolute(path) else { return };
        if public {
            self.module.given_out.insert(name.to_owned(), there);
        } else {
            self.module.uses.push(there);
        }
    }

    fn tree(&mut self, tree: &syn::UseTree, before: &[String], public: bool) {
        match tree {
            syn::UseTree::Path(p) => {
                let path = [before, &[p.ident.to_string()]].concat();
                self.tree(&p.tree, &path, public);
            }
            syn::UseTree::Name(n) if n.ident == "self" => self.leaf(before, "self", public),
            syn::UseTree::Name(n) => {
                let path = [before, &[n.ident.to_string()]].concat();
                self.leaf(&path, &n.ident.to_string(), public);
            }
            syn::UseTree::Rename(r) => {
                let path = [before, &[r.ident.to_string()]].concat();
                self.leaf(&path, &r.rename.to_string(), public);
            }
            syn::UseTree::Glob(_) => self.leaf(before, "*", public),
            syn::UseTree::Group(g) => g.items.iter().for_each(|t| self.tree(t, before, public)),
        }
    }
}

impl<'a> Visit<'a> for Reader {
    fn visit_file(&mut self, file: &'a syn::File) {
        // Children first: a path may begin with a child's name before its `mod` line.
        let declared = file.items.iter().filter_map(|item| match item {
            syn::Item::Mod(m) if !for_tests(&m.attrs) => Some(m.ident.to_string()),
            _ => None,
        });
        self.module.children = declared.collect();
        visit::visit_file(self, file);
    }

    fn visit_item(&mut self, item: &'a syn::Item) {
        let attrs = match item {
            syn::Item::Fn(i) => &i.attrs,
            syn::Item::Impl(i) => &i.attrs,
            syn::Item::Use(i) => &i.attrs,
            syn::Item::Const(i) => &i.attrs,
            syn::Item::Struct(i) => &i.attrs,
            _ => return visit::visit_item(self, item),
        };
        if !for_tests(attrs) {
            visit::visit_item(self, item);
        }
    }

    fn visit_item_mod(&mut self, m: &'a syn::ItemMod) {
        let name = m.ident.to_string();
        let only_tests = for_tests(&m.attrs);
        if m.content.is_none() {
            self.elsewhere.push((name, at(&m.attrs), only_tests));
        } else if !only_tests {
            self.depth.push(name);
            visit::visit_item_mod(self, m);
            self.depth.pop();
        }
    }

    fn visit_item_use(&mut self, item: &'a syn::ItemUse) {
        let public = !matches!(item.vis, syn::Visibility::Inherited);
        self.tree(&item.tree, &[], public);
    }

    fn visit_path(&mut self, path: &'a syn::Path) {
        let names: Vec<String> = path.segments.iter().map(|s| s.ident.to_string()).collect();
        if names.len() > 1
            && let Some(there) = self.absolute(&names)
        {
            self.module.uses.push(there);
        }
        visit::visit_path(self, path);
    }
}

fn for_tests(attrs: &[syn::Attribute]) -> bool {
    attrs.iter().any(|a| {
        a.path().is_ident("cfg") && a.parse_args::<syn::Path>().is_ok_and(|p| p.is_ident("test"))
    })
}

/// What `#[path = "…"]` says.
fn at(attrs: &[syn::Attribute]) -> Option<String> {
    attrs.iter().filter(|a| a.path().is_ident("path")).find_map(|a| match &a.meta {
        syn::Meta::NameValue(syn::MetaNameValue {
            value: syn::Expr::Lit(syn::ExprLit { lit: syn::Lit::Str(text), .. }),
            ..
        }) => Some(text.value()),
        _ => None,
    })
}
