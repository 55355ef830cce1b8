//! A post's load as rows of a tree, from the post up: for the command line and for the window.

use crate::assembly::MemberId;
use crate::loads::path::LoadReport;
use std::collections::BTreeMap;

/// Below this share of the post's load a branch of the tree is counted with its neighbours.
const LEAST_SHARE: f64 = 0.01;

/// One row of the tree.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// How far up: 0 is what lies on the post itself.
    pub deep: usize,
    pub what: What,
    /// Newtons, downwards positive.
    pub force: f64,
}

/// What a row is of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// Self-weight, or a load of the stage by its name.
    Load(String),
    /// All that comes down through a member.
    Through(MemberId),
    /// So many more members, each below one hundredth of the post's load.
    Small(usize),
}

/// What is left of a path, its source, and newtons.
type Part<'a> = (&'a [MemberId], &'a str, f64);

/// The tree of a report, greatest first at every level.
#[must_use]
pub fn rows(report: &LoadReport) -> Vec<Row> {
    let shares: Vec<Part<'_>> =
        report.shares.iter().map(|s| (&s.path[..], s.what.as_str(), s.force)).collect();
    let mut out = Vec::new();
    branch(&shares, 0, LEAST_SHARE * report.force.abs(), &mut out);
    out
}

/// The branches above a member: what lies on it itself, then each member that rests on it.
fn branch(shares: &[Part<'_>], deep: usize, least: f64, out: &mut Vec<Row>) {
    let mut own: BTreeMap<&str, f64> = BTreeMap::new();
    let mut above: BTreeMap<MemberId, Vec<Part<'_>>> = BTreeMap::new();
    for &(path, what, force) in shares {
        match path {
            [] => {}
            [_] => *own.entry(what).or_default() += force,
            [rest @ .., _] => {
                let next = rest[rest.len() - 1];
                above.entry(next).or_default().push((rest, what, force));
            }
        }
    }
    for (what, force) in own.into_iter().filter(|(_, force)| force.abs() >= least) {
        out.push(Row { deep, what: What::Load(what.to_owned()), force });
    }
    let sum = |list: &[Part<'_>]| list.iter().map(|s| s.2).sum::<f64>();
    let mut above: Vec<_> = above.into_iter().map(|(m, list)| (sum(&list), m, list)).collect();
    above.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut small = (0, 0.0);
    for (force, member, list) in above {
        if force.abs() < least {
            small = (small.0 + 1, small.1 + force);
            continue;
        }
        out.push(Row { deep, what: What::Through(member), force });
        branch(&list, deep + 1, least, out);
    }
    if small.0 > 0 {
        out.push(Row { deep, what: What::Small(small.0), force: small.1 });
    }
}
