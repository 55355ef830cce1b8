//! Which lines cannot move: each diagonal, tie and plan brace is one linear condition on them.
//!
//! For a rectangular grid whose bars all pass along, this is the row and column reasoning of
//! E. D. Bolker and H. Crapo, "Bracing rectangular frameworks. I", SIAM J. Appl. Math. 36(3), 1979,
//! carried to any two axes a post by solving the conditions instead of walking a bipartite graph.

use super::bars::Link;
use super::lines::Lines;
use std::sync::Arc;

/// What a line owes its hold to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Because {
    /// Nothing: it can move.
    Loose,
    /// Diagonals or ties of its own.
    Own,
    /// A link to lines that are held already.
    Through(usize),
    /// Several links that only together leave it no movement; one of those on it.
    Together(usize),
}

/// A link as a condition on lines, those in tension only already paired.
#[derive(Clone, Debug)]
pub(super) struct Condition {
    pub terms: Vec<(usize, f64)>,
    /// Indices of the links behind it.
    pub links: Vec<usize>,
}

pub(super) struct Solved {
    pub because: Vec<Because>,
    pub conditions: Vec<Condition>,
    /// Movements that are left.
    pub freedoms: usize,
}

/// Factors below this share of the largest are rounding.
const ROUNDING: f64 = 1e-9;

pub(super) fn solve(lines: &Lines, links: &[Arc<Link>]) -> Solved {
    let conditions = conditions(lines, links);
    let mut because = vec![Because::Loose; lines.count];
    for c in &conditions {
        if let [(line, _)] = c.terms[..] {
            because[line] = Because::Own;
        }
    }
    // Each round only uses what earlier rounds held, so that following the reasons always ends.
    loop {
        let mut found: Vec<(usize, usize)> = Vec::new();
        for (i, c) in conditions.iter().enumerate() {
            let mut open = c.terms.iter().filter(|(l, _)| because[*l] == Because::Loose);
            if let (Some(&(line, _)), None) = (open.next(), open.next()) {
                found.push((line, i));
            }
        }
        if found.is_empty() {
            break;
        }
        for (line, i) in found {
            if because[line] == Because::Loose {
                because[line] = Because::Through(i);
            }
        }
    }
    let rank = together(&conditions, &mut because);
    let loose =
        because.iter().filter(|b| matches!(b, Because::Loose | Because::Together(_))).count();
    Solved { because, conditions, freedoms: loose - rank }
}

/// Puts links on lines, scaled so that the largest factor is 1. Those that act in tension only
/// count where another holds the other way: crossed diagonals of one bay, or of two bays on one
/// line.
fn conditions(lines: &Lines, links: &[Arc<Link>]) -> Vec<Condition> {
    let mut two_way: Vec<Condition> = Vec::new();
    let mut one_way: Vec<Condition> = Vec::new();
    for (i, link) in links.iter().enumerate() {
        let mut terms: Vec<(usize, f64)> = Vec::new();
        let largest = link.terms.iter().map(|t| t.1.abs()).fold(0.0, f64::max);
        for &(variable, factor) in &link.terms {
            let line = lines.line_of[variable];
            match terms.iter_mut().find(|t| t.0 == line) {
                Some(t) => t.1 += factor,
                None => terms.push((line, factor)),
            }
        }
        terms.retain(|t| t.1.abs() > ROUNDING * largest);
        terms.sort_by_key(|t| t.0);
        let scale = terms.iter().map(|t| t.1.abs()).fold(0.0, f64::max);
        if scale <= 0.0 {
            continue;
        }
        terms.iter_mut().for_each(|t| t.1 /= scale);
        let list = if link.tension_only { &mut one_way } else { &mut two_way };
        list.push(Condition { terms, links: vec![i] });
    }
    for i in 0..one_way.len() {
        let partner = one_way[i + 1..].iter().find(|o| opposite(&one_way[i], o));
        if let Some(o) = partner {
            let links = vec![one_way[i].links[0], o.links[0]];
            two_way.push(Condition { terms: one_way[i].terms.clone(), links });
        }
    }
    two_way
}

fn opposite(a: &Condition, b: &Condition) -> bool {
    a.terms.len() == b.terms.len()
        && a.terms.iter().zip(&b.terms).all(|(x, y)| x.0 == y.0 && (x.1 + y.1).abs() < 1e-6)
}

/// Elimination over what is left. Marks lines that have no movement in any solution, and returns
/// the rank.
fn together(conditions: &[Condition], because: &mut [Because]) -> usize {
    let mut columns: Vec<usize> = conditions
        .iter()
        .flat_map(|c| &c.terms)
        .map(|t| t.0)
        .filter(|l| because[*l] == Because::Loose)
        .collect();
    columns.sort_unstable();
    columns.dedup();
    let mut rows: Vec<Vec<f64>> = Vec::new();
    for c in conditions {
        let mut row = vec![0.0; columns.len()];
        let mut any = false;
        for &(line, factor) in &c.terms {
            if let Ok(k) = columns.binary_search(&line) {
                row[k] = factor;
                any = true;
            }
        }
        if any {
            rows.push(row);
        }
    }
    let mut rank = 0;
    let mut pivots: Vec<usize> = Vec::new();
    for k in 0..columns.len() {
        let best =
            (rank..rows.len()).max_by(|&a, &b| rows[a][k].abs().total_cmp(&rows[b][k].abs()));
        let Some(best) = best.filter(|&b| rows[b][k].abs() > ROUNDING) else { continue };
        rows.swap(rank, best);
        let scale = rows[rank][k];
        rows[rank].iter_mut().for_each(|x| *x /= scale);
        let pivot = rows[rank].clone();
        for (i, row) in rows.iter_mut().enumerate() {
            let factor = row[k];
            if i != rank && factor != 0.0 {
                row.iter_mut().zip(&pivot).for_each(|(x, p)| *x -= factor * p);
                row[k] = 0.0;
            }
        }
        pivots.push(k);
        rank += 1;
    }
    for (row, &k) in rows.iter().zip(&pivots) {
        let alone = row.iter().enumerate().all(|(i, x)| i == k || x.abs() <= 1e-7);
        if alone {
            let line = columns[k];
            let on = conditions.iter().position(|c| c.terms.iter().any(|t| t.0 == line));
            because[line] = on.map_or(Because::Loose, Because::Together);
        }
    }
    rank
}
