//! Makes a choice small before it is searched, without losing its best answer: methods that another of the same dent
//! beats, openables that cost nothing, openables that only one dent can want, openables that always go together, and parts
//! that have nothing to do with each other.

use super::problem::Problem;

/// A way of a small problem.
#[derive(Clone, Debug)]
pub struct SmallMethod {
    /// Its place among the dent's methods in the problem.
    pub method: usize,
    /// Its cost with all that only this dent would open.
    pub cost: f64,
    /// Items of the part that it needs, rising.
    pub items: Vec<usize>,
    /// Dents of the part that must be worked before.
    pub after: Vec<usize>,
    /// Whether the dent is gone afterwards.
    pub works: bool,
}

/// A part that shares nothing with the others.
#[derive(Clone, Debug, Default)]
pub struct Part {
    /// Its dents' places in the problem.
    pub dents: Vec<usize>,
    /// Their methods, cheapest first.
    pub methods: Vec<Vec<SmallMethod>>,
    /// Costs of its items (openables that go together).
    pub items: Vec<f64>,
}

/// The small problem.
#[derive(Debug)]
pub struct Small {
    /// Its parts.
    pub parts: Vec<Part>,
}

struct Wide {
    method: usize,
    cost: f64,
    opens: Vec<usize>,
    after: Vec<usize>,
    works: bool,
}

fn subset(a: &[usize], b: &[usize]) -> bool {
    // Both rise.
    let mut b = b.iter();
    a.iter().all(|x| b.any(|y| y == x))
}

/// Whether a is at least as good as b whatever the other dents do.
fn dominates(a: &Wide, b: &Wide) -> bool {
    a.cost <= b.cost && (a.works || !b.works) && subset(&a.opens, &b.opens) && subset(&a.after, &b.after)
}

/// Makes a problem small.
pub fn presolve(problem: &Problem) -> Small {
    let closed = problem.closures();
    let mut dents: Vec<Vec<Wide>> = problem.dents.iter().enumerate().map(|(d, _)| possible(problem, &closed, d)).collect();
    // A dent that has methods but none that is possible makes its part hopeless; the search says so.
    fold_private(problem, &mut dents);
    for methods in &mut dents {
        drop_dominated(methods);
    }
    Small { parts: parts(problem, dents) }
}

fn possible(problem: &Problem, closed: &[Vec<usize>], d: usize) -> Vec<Wide> {
    let mut methods: Vec<Wide> = Vec::new();
    for (method, w) in problem.dents[d].iter().enumerate().filter(|(_, w)| w.cost.is_finite()) {
        let mut opens: Vec<usize> = w.opens.iter().filter_map(|o| closed.get(*o)).flatten().copied().collect();
        opens.sort_unstable();
        opens.dedup();
        let mut after: Vec<usize> = w.after.iter().copied().filter(|a| *a < problem.dents.len()).collect();
        after.sort_unstable();
        after.dedup();
        let never = after.contains(&d) || after.iter().any(|a| problem.dents[*a].is_empty());
        if never || opens.iter().any(|o| !problem.openables[*o].cost.is_finite()) {
            continue;
        }
        opens.retain(|o| problem.openables[*o].cost > 0.0);
        methods.push(Wide { method, cost: w.cost, opens, after, works: w.works });
    }
    drop_dominated(&mut methods);
    methods
}

/// Which methods of each dent another of it beats, whatever is shut besides: what keeps the other from being taken keeps
/// them too.
pub fn dominated(problem: &Problem) -> Vec<Vec<usize>> {
    let closed = problem.closures();
    (0..problem.dents.len())
        .map(|d| {
            let kept: Vec<usize> = possible(problem, &closed, d).iter().map(|w| w.method).collect();
            (0..problem.dents[d].len()).filter(|w| !kept.contains(w)).collect()
        })
        .collect()
}

fn drop_dominated(methods: &mut Vec<Wide>) {
    methods.sort_by(|a, b| a.cost.total_cmp(&b.cost).then(a.opens.len().cmp(&b.opens.len())));
    let mut kept: Vec<Wide> = Vec::with_capacity(methods.len());
    for w in methods.drain(..) {
        if !kept.iter().any(|k| dominates(k, &w)) {
            kept.push(w);
        }
    }
    *methods = kept;
}

/// A dent takes one method, so what only this dent could want is part of that method's own cost.
fn fold_private(problem: &Problem, dents: &mut [Vec<Wide>]) {
    let mut users: Vec<(usize, bool)> = vec![(usize::MAX, false); problem.openables.len()];
    for (d, methods) in dents.iter().enumerate() {
        for o in methods.iter().flat_map(|w| &w.opens) {
            let (first, shared) = &mut users[*o];
            if *first == usize::MAX {
                *first = d;
            } else if *first != d {
                *shared = true;
            }
        }
    }
    for w in dents.iter_mut().flatten() {
        let private: f64 = w.opens.iter().filter(|o| !users[**o].1).map(|o| problem.openables[*o].cost).sum();
        w.cost += private;
        w.opens.retain(|o| users[*o].1);
    }
}

fn find(root: &mut [usize], mut i: usize) -> usize {
    while root[i] != i {
        root[i] = root[root[i]];
        i = root[i];
    }
    i
}

fn parts(problem: &Problem, dents: Vec<Vec<Wide>>) -> Vec<Part> {
    let n = dents.len();
    // Dents first, openables behind them.
    let mut root: Vec<usize> = (0..n + problem.openables.len()).collect();
    for (d, methods) in dents.iter().enumerate() {
        for w in methods {
            for x in w.opens.iter().map(|o| n + o).chain(w.after.iter().copied()) {
                let (a, b) = (find(&mut root, d), find(&mut root, x));
                root[a] = b;
            }
        }
    }
    let mut place: Vec<Option<usize>> = vec![None; root.len()];
    let mut groups: Vec<(Vec<usize>, Vec<Vec<Wide>>)> = Vec::new();
    for (d, methods) in dents.into_iter().enumerate() {
        if problem.dents[d].is_empty() {
            continue;
        }
        let r = find(&mut root, d);
        let g = *place[r].get_or_insert_with(|| {
            groups.push((Vec::new(), Vec::new()));
            groups.len() - 1
        });
        groups[g].0.push(d);
        groups[g].1.push(methods);
    }
    groups.into_iter().map(|(ids, methods)| part(problem, ids, methods)).collect()
}

/// Renumbers a part; openables that the same methods want become one item.
fn part(problem: &Problem, ids: Vec<usize>, methods: Vec<Vec<Wide>>) -> Part {
    let mut wanted: std::collections::BTreeMap<usize, Vec<(usize, usize)>> = std::collections::BTreeMap::new();
    for (d, methods) in methods.iter().enumerate() {
        for (w, method) in methods.iter().enumerate() {
            for o in &method.opens {
                wanted.entry(*o).or_default().push((d, w));
            }
        }
    }
    let mut by_users: std::collections::BTreeMap<&[(usize, usize)], usize> = std::collections::BTreeMap::new();
    let mut items: Vec<f64> = Vec::new();
    let mut item_of: Vec<usize> = vec![usize::MAX; problem.openables.len()];
    for (o, users) in &wanted {
        let item = *by_users.entry(users.as_slice()).or_insert_with(|| {
            items.push(0.0);
            items.len() - 1
        });
        items[item] += problem.openables[*o].cost;
        item_of[*o] = item;
    }
    let mut local = vec![usize::MAX; problem.dents.len()];
    for (i, d) in ids.iter().enumerate() {
        local[*d] = i;
    }
    let methods = methods
        .into_iter()
        .map(|methods| {
            methods
                .into_iter()
                .map(|w| {
                    let mut mine: Vec<usize> = w.opens.iter().map(|o| item_of[*o]).collect();
                    mine.sort_unstable();
                    mine.dedup();
                    SmallMethod {
                        method: w.method,
                        cost: w.cost,
                        items: mine,
                        after: w.after.iter().map(|a| local[*a]).collect(),
                        works: w.works,
                    }
                })
                .collect()
        })
        .collect();
    Part { dents: ids, methods, items }
}
