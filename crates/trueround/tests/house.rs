//! The house as its source files stand: no circle between the files of a crate, no file too long to read in one go.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on may stop")]

use proc_macro2::{Delimiter, TokenStream, TokenTree};

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use syn::{Attribute, Item, UseTree, Visibility};
use to_tokens::ToTokens;

/// Crates that ship.
const SHIPPED: [&str; 16] = [
    "units",
    "metal",
    "instrument",
    "dent",
    "acoustics",
    "reach",
    "plan",
    "quote",
    "draw",
    "job",
    "contract",
    "survey",
    "report",
    "store",
    "web",
    "trueround",
];
/// Crates between whose files there is no circle.
const NO_CIRCLE: [&str; 13] =
    ["units", "metal", "instrument", "dent", "acoustics", "reach", "plan", "quote", "draw", "job", "contract", "survey", "web"];
/// Lines of a file at most, tests and tables apart.
const MOST_LINES: usize = 500;
/// Files that are tables.
const TABLES: [&str; 1] = ["dent/src/force_table_data.rs"];

fn crates() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_path_buf()
}

fn files(dir: &Path, all: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, all);
        } else if path.extension().is_some_and(|e| e == "rs") {
            all.push(path);
        }
    }
}

/// Every picture that a page of the repository shows is there.
#[test]
fn the_pictures_that_are_shown_are_there() {
    let root = crates().parent().unwrap().to_path_buf();
    let pages: Vec<PathBuf> = std::fs::read_dir(root.join("docs"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "md"))
        .chain([root.join("README.md")])
        .collect();
    let mut shown = 0;
    for page in pages {
        let text = std::fs::read_to_string(&page).unwrap();
        for link in text.split("](").skip(1).filter_map(|t| t.split(')').next()).filter(|l| l.contains("pictures/")) {
            assert!(page.parent().unwrap().join(link).is_file(), "{} shows {link}, which is not there", page.display());
            shown += 1;
        }
    }
    assert!(shown >= 8, "{shown} pictures found");
}

fn for_tests(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|a| a.path().is_ident("cfg") && a.to_token_stream().to_string().contains("test"))
}

fn attributes(item: &Item) -> &[Attribute] {
    match item {
        Item::Mod(x) => &x.attrs,
        Item::Fn(x) => &x.attrs,
        Item::Use(x) => &x.attrs,
        Item::ExternCrate(x) => &x.attrs,
        Item::Impl(x) => &x.attrs,
        _ => &[],
    }
}

type Module = Vec<String>;

/// A crate's modules, each with what stands in its file, tests apart.
struct Source {
    tokens: BTreeMap<Module, TokenStream>,
    /// What a module passes on of others: name and path.
    passes_on: BTreeMap<Module, BTreeMap<String, Vec<String>>>,
}

impl Source {
    fn of(name: &str) -> Self {
        let src = crates().join(name).join("src");
        let mut paths = Vec::new();
        files(&src, &mut paths);
        let (mut tokens, mut passes_on) = (BTreeMap::new(), BTreeMap::new());
        for path in paths {
            let relative = path.strip_prefix(&src).unwrap().with_extension("");
            let mut module: Module = relative.iter().map(|p| p.to_string_lossy().into_owned()).collect();
            if matches!(module.last().unwrap().as_str(), "mod" | "lib" | "main") {
                module.pop();
            }
            if module.last().is_some_and(|m| m.ends_with("_test")) {
                continue;
            }
            let file = syn::parse_file(&std::fs::read_to_string(&path).unwrap()).unwrap();
            let (mut stream, mut passed) = (TokenStream::new(), BTreeMap::new());
            for item in file.items.iter().filter(|i| !for_tests(attributes(i))) {
                if let Item::Use(u) = item
                    && !matches!(u.vis, Visibility::Inherited)
                {
                    names(&u.tree, &mut Vec::new(), &mut passed);
                }
                item.to_tokens(&mut stream);
            }
            tokens.insert(module.clone(), stream);
            passes_on.insert(module, passed);
        }
        Self { tokens, passes_on }
    }

    /// The module that a path from `at` leads into.
    fn resolve(&self, path: &[String], at: &Module, depth: usize) -> Option<Module> {
        let mut rest = path;
        let mut base = match rest.first()?.as_str() {
            "crate" => Module::new(),
            "super" | "self" => at.clone(),
            child if self.tokens.contains_key(&joined(at, child)) => at.clone(),
            _ => return None,
        };
        while let Some(first) = rest.first() {
            match first.as_str() {
                "crate" | "self" => {}
                "super" => {
                    base.pop();
                }
                _ => break,
            }
            rest = &rest[1..];
        }
        while let Some(next) = rest.first().map(|r| joined(&base, r)).filter(|m| self.tokens.contains_key(m)) {
            base = next;
            rest = &rest[1..];
        }
        let passed = rest.first().and_then(|r| self.passes_on.get(&base)?.get(r));
        match passed {
            Some(on) if depth < 6 => self.resolve(&[on, &rest[1..]].concat(), &base, depth + 1).or(Some(base)),
            _ => Some(base),
        }
    }

    /// Which modules each module looks into; the crate's root, which only names them, apart.
    fn edges(&self) -> BTreeMap<&Module, BTreeSet<Module>> {
        let looks = |module: &Module, stream: &TokenStream| {
            let mut paths = Vec::new();
            paths_in(stream.clone(), &[], &mut paths);
            paths.iter().filter_map(|p| self.resolve(p, module, 0)).filter(|m| m != module && !m.is_empty()).collect()
        };
        self.tokens.iter().filter(|(m, _)| !m.is_empty()).map(|(m, s)| (m, looks(m, s))).collect()
    }
}

fn joined(module: &[String], child: &str) -> Module {
    let mut all = module.to_vec();
    all.push(child.to_owned());
    all
}

fn names(tree: &UseTree, prefix: &mut Vec<String>, all: &mut BTreeMap<String, Vec<String>>) {
    match tree {
        UseTree::Path(p) => {
            prefix.push(p.ident.to_string());
            names(&p.tree, prefix, all);
            prefix.pop();
        }
        UseTree::Name(n) => {
            all.insert(n.ident.to_string(), joined(prefix, &n.ident.to_string()));
        }
        UseTree::Rename(r) => {
            all.insert(r.rename.to_string(), joined(prefix, &r.ident.to_string()));
        }
        UseTree::Group(g) => g.items.iter().for_each(|t| names(t, prefix, all)),
        UseTree::Glob(_) => {}
    }
}

/// Every path that stands in a stream of tokens, macros and braces of imports included.
fn paths_in(stream: TokenStream, prefix: &[String], all: &mut Vec<Vec<String>>) {
    let tokens: Vec<TokenTree> = stream.into_iter().collect();
    let colons = |i: usize| matches!((tokens.get(i), tokens.get(i + 1)), (Some(TokenTree::Punct(a)), Some(TokenTree::Punct(b))) if a.as_char() == ':' && b.as_char() == ':');
    let mut i = 0;
    while i < tokens.len() {
        match &tokens[i] {
            TokenTree::Ident(first) => {
                let mut path = prefix.to_vec();
                path.push(first.to_string());
                i += 1;
                while colons(i) {
                    match tokens.get(i + 2) {
                        Some(TokenTree::Ident(next)) => {
                            path.push(next.to_string());
                            i += 3;
                        }
                        Some(TokenTree::Group(group)) if group.delimiter() == Delimiter::Brace => {
                            paths_in(group.stream(), &path, all);
                            i += 3;
                        }
                        _ => break,
                    }
                }
                if path.len() > 1 {
                    all.push(path);
                }
            }
            TokenTree::Group(group) => {
                paths_in(group.stream(), &[], all);
                i += 1;
            }
            _ => i += 1,
        }
    }
}

/// A module that leads back to itself, with its chain.
fn circle(edges: &BTreeMap<&Module, BTreeSet<Module>>) -> Option<Vec<String>> {
    for start in edges.keys() {
        let mut came: BTreeMap<Module, Module> = BTreeMap::new();
        let mut stack: Vec<Module> = vec![(*start).clone()];
        while let Some(at) = stack.pop() {
            for next in edges.get(&at).into_iter().flatten() {
                if next == *start {
                    let mut method = vec![start.join("/"), at.join("/")];
                    let mut back = at;
                    while let Some(before) = came.get(&back) {
                        method.push(before.join("/"));
                        back = before.clone();
                    }
                    return Some(method);
                }
                if !came.contains_key(next) {
                    came.insert(next.clone(), at.clone());
                    stack.push(next.clone());
                }
            }
        }
    }
    None
}

#[test]
fn no_circle_between_the_files_of_a_crate() {
    let mut looked_at = 0;
    for name in NO_CIRCLE {
        let source = Source::of(name);
        let edges = source.edges();
        looked_at += edges.values().map(BTreeSet::len).sum::<usize>();
        assert_eq!(circle(&edges), None, "{name}: these files look into each other in a circle");
    }
    assert!(looked_at > 600, "only {looked_at} looks from file to file were found");
}

#[test]
fn no_file_is_too_long_to_read_in_one_go() {
    for name in SHIPPED {
        let mut all = Vec::new();
        files(&crates().join(name).join("src"), &mut all);
        for path in all.iter().filter(|p| !p.to_string_lossy().ends_with("_test.rs")) {
            let short = path.strip_prefix(crates()).unwrap().to_string_lossy().into_owned();
            let text = std::fs::read_to_string(path).unwrap();
            let all: Vec<&str> = text.lines().collect();
            let tests = all.windows(2).position(|w| w[0] == "#[cfg(test)]" && w[1].starts_with("mod "));
            let lines = tests.unwrap_or(all.len());
            assert!(lines <= MOST_LINES || TABLES.contains(&short.as_str()), "{short} has {lines} lines");
        }
    }
}
