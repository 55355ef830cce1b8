//! Strands that something is added to and taken from, and that hold together all the same.
//!
//! A strand falls apart only where something that is gone joined its unknowns. If what is added joins them
//! again, all of them, nothing has to be divided: what is gone is left out of the lists of the strand,
//! and what is added is merged into them.

use super::strands::{Part, Plan, Strand, Undivided, kinds_first};
use petgraph::unionfind::UnionFind;

/// Unknowns that parts join, each by its place among those touched.
struct Joined {
    /// Ascending.
    touched: Vec<u32>,
    sets: UnionFind<usize>,
}

impl Joined {
    fn by(parts: &Undivided) -> Self {
        let mut touched: Vec<u32> =
            parts.parts().flat_map(|(_, touched)| touched).copied().collect();
        touched.sort_unstable();
        touched.dedup();
        let mut out = Self { sets: UnionFind::new(touched.len()), touched };
        for (_, touched) in parts.parts() {
            let places: Vec<usize> = touched.iter().filter_map(|t| out.place(*t)).collect();
            for pair in places.windows(2) {
                out.sets.union(pair[0], pair[1]);
            }
        }
        out
    }

    fn place(&self, unknown: u32) -> Option<usize> {
        self.touched.binary_search(&unknown).ok()
    }

    /// The set an unknown is in.
    fn of(&self, unknown: u32) -> Option<usize> {
        self.place(unknown).map(|place| self.sets.find(place))
    }
}

/// Of what is gone, the unknowns that stay but may no longer hang together with the rest of their strand.
pub fn torn(gone: &Undivided, added: &Undivided, stays: impl Fn(u32) -> bool) -> Vec<u32> {
    let (before, now) = (Joined::by(gone), Joined::by(added));
    // By set of what is gone: the set in which what stays of it is now.
    let mut sets: Vec<Option<(u32, Option<usize>)>> = vec![None; before.touched.len()];
    let mut torn = Vec::new();
    for &unknown in before.touched.iter().filter(|unknown| stays(**unknown)) {
        let Some(set) = before.of(unknown) else { continue };
        let is = now.of(unknown);
        match sets[set] {
            None => sets[set] = Some((unknown, is)),
            Some((_, other)) if other == is && is.is_some() => {}
            Some((first, _)) => torn.extend([first, unknown]),
        }
    }
    torn
}

impl Plan {
    /// Adds a strand that has grown out of some of another division. `stays`: whether an unknown is still
    /// there; `piece`: which a member is now; `unknowns` and `parts` are added.
    pub fn grow(
        &mut self,
        (from, strands): (&Self, &[usize]),
        stays: impl Fn(u32) -> bool,
        piece: impl Fn(u32) -> Option<u32>,
        mut unknowns: Vec<(u32, u32)>,
        mut parts: Vec<(u32, Part)>,
    ) {
        let is = |(_, unknown): &&(u32, u32)| stays(*unknown);
        let now =
            |(node, part): &(u32, Part)| Some((*node, Part { piece: piece(part.piece)?, ..*part }));
        let longest =
            strands.iter().copied().max_by_key(|strand| from.strands[*strand].parts.len());
        for strand in strands.iter().filter(|strand| Some(**strand) != longest) {
            let Strand { unknowns: own, parts: of, .. } = &from.strands[*strand];
            unknowns.extend(from.unknowns[own.clone()].iter().filter(is));
            parts.extend(from.parts[of.clone()].iter().filter_map(now));
        }
        let unknown_at = |(node, unknown): &(u32, u32)| (*node, kinds_first(*unknown));
        let part_at = |(node, part): &(u32, Part)| (*node, part.order());
        unknowns.sort_unstable_by_key(unknown_at);
        parts.sort_unstable_by_key(part_at);
        let (first, first_part) = (self.unknowns.len(), self.parts.len());
        let (own, of) = longest.map_or((0..0, 0..0), |strand| {
            let Strand { unknowns, parts, .. } = &from.strands[strand];
            (unknowns.clone(), parts.clone())
        });
        merge(
            from.unknowns[own].iter().filter(is).copied(),
            unknowns,
            unknown_at,
            &mut self.unknowns,
        );
        merge(from.parts[of].iter().filter_map(now), parts, part_at, &mut self.parts);
        let key = self.unknowns[first..].iter().map(|(_, unknown)| *unknown).min();
        if let Some(key) = key {
            let (unknowns, parts) = (first..self.unknowns.len(), first_part..self.parts.len());
            self.strands.push(Strand { key, unknowns, parts });
        }
    }
}

/// Puts what is sorted together.
fn merge<T: Copy, K: Ord>(
    all: impl Iterator<Item = T>,
    few: Vec<T>,
    key: impl Fn(&T) -> K,
    out: &mut Vec<T>,
) {
    let mut few = few.into_iter().peekable();
    for one in all {
        while let Some(other) = few.next_if(|other| key(other) < key(&one)) {
            out.push(other);
        }
        out.push(one);
    }
    out.extend(few);
}

#[cfg(test)]
mod tests {
    use super::torn;
    use crate::mechanics::engine::strands::{Part, Undivided};

    fn parts(all: &[&[u32]]) -> Undivided {
        let mut out = Undivided::default();
        for (piece, touched) in (0..).zip(all) {
            out.part(Part { piece, group: 0, second: false }, touched);
        }
        out
    }

    #[test]
    fn what_is_gone_without_anything_in_its_place_is_torn() {
        let gone = parts(&[&[3, 8]]);
        assert_eq!(torn(&gone, &parts(&[]), |_| true), [3, 8]);
        // Of one end nothing is left: what stays hangs on what it hung on.
        assert!(torn(&gone, &parts(&[]), |unknown| unknown == 3).is_empty());
        // Something new at one end alone joins nothing.
        assert_eq!(torn(&gone, &parts(&[&[3, 20]]), |_| true), [3, 8]);
    }

    #[test]
    fn what_takes_its_place_by_way_of_something_new_is_not_torn() {
        let gone = parts(&[&[3, 8]]);
        assert!(torn(&gone, &parts(&[&[3, 20], &[8, 20]]), |_| true).is_empty());
        assert_eq!(torn(&gone, &parts(&[&[3, 20], &[8, 21]]), |_| true), [3, 8]);
    }

    #[test]
    fn what_hung_together_by_something_that_goes_is_torn() {
        // 5 goes, and with it what it joined.
        let gone = parts(&[&[3, 5], &[5, 8], &[9, 10]]);
        let stays = |unknown: u32| unknown != 5;
        assert_eq!(torn(&gone, &parts(&[&[9, 10]]), stays), [3, 8]);
        assert!(torn(&gone, &parts(&[&[3, 8], &[9, 10]]), stays).is_empty());
    }
}
