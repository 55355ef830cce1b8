//! Where two packs say different things.

use super::model::Pack;
use super::rules::RuleLine;

/// A rule that two packs give differently. None: the pack has no such rule in its list.
#[derive(Clone, Debug, PartialEq)]
pub struct Differs<'a> {
    pub name: &'static str,
    pub a: Option<RuleLine<'a>>,
    pub b: Option<RuleLine<'a>>,
}

/// Rules with different numbers, in the order of the pack. Heights in a list are taken in order.
#[must_use]
pub fn differs<'a>(a: &'a Pack, b: &'a Pack) -> Vec<Differs<'a>> {
    let (left, right) = (a.rules(), b.rules());
    let mut names: Vec<&'static str> = left.iter().map(|r| r.name).collect();
    names.extend(right.iter().map(|r| r.name));
    let mut seen = std::collections::BTreeSet::new();
    names.retain(|n| seen.insert(*n));
    let mut out = Vec::new();
    for name in names {
        let mut of_a = left.iter().filter(|r| r.name == name);
        let mut of_b = right.iter().filter(|r| r.name == name);
        loop {
            let (one, other) = (of_a.next(), of_b.next());
            let same = match (one, other) {
                (None, None) => break,
                (Some(x), Some(y)) => same(x.si, y.si),
                _ => false,
            };
            if !same {
                out.push(Differs { name, a: one.cloned(), b: other.cloned() });
            }
        }
    }
    out
}

/// Equal, give or take the rounding of a unit.
fn same(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= 1e-9 * a.abs().max(b.abs()),
        (None, None) => true,
        _ => false,
    }
}
