//! Long lists of numbers that all differ a little from stage to stage.
//!
//! A floor is stiff as a whole: a member more changes the last digits of nearly every force, so lists
//! of neighbouring stages have next to nothing in common, value for value ([`crate::chunks`]). What they
//! have in common are the leading digits. A [`Near`] is at first a plain list. Shared with that of the
//! stage before ([`Near::share`]), each piece of it keeps the differences of its bits to those of an earlier
//! piece, in as few bytes as these take. Every value comes back bit for bit.
//!
//! So that few steps lead back to whole values, the n-th change of a piece is kept as what differs from
//! the change whose number is n without its lowest bit, and the one after so many is whole again.

mod piece;

use piece::Piece;
use std::borrow::Cow;
use std::sync::Arc;

/// Values a piece, at most.
pub const PIECE: usize = u128::BITS as usize;

/// What is made of a few words, to be kept and brought back bit for bit.
pub trait Words: Copy {
    type Words: AsRef<[u64]> + AsMut<[u64]> + Copy + Default;
    fn words(&self) -> Self::Words;
    fn of(words: &Self::Words) -> Self;
    /// Values of one section lie in the same piece, and are held against that section's of another list.
    /// They ascend. `place`: where in the list the value is.
    fn section(&self, place: usize) -> usize;
}

/// A list that may be kept as what differs from another.
pub struct Near<T: Words> {
    of: Of<T>,
}

enum Of<T: Words> {
    Plain(Arc<Vec<T>>),
    Pieces {
        len: usize,
        /// By piece: its section, and where it begins. Most often as at the stage before.
        cuts: Arc<[(usize, usize)]>,
        pieces: Vec<Arc<Piece<T>>>,
    },
}

impl<T: Words> Near<T> {
    #[must_use]
    pub fn len(&self) -> usize {
        match &self.of {
            Of::Plain(values) => values.len(),
            Of::Pieces { len, .. } => *len,
        }
    }

    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    #[must_use]
    pub fn get(&self, index: usize) -> Option<T> {
        match &self.of {
            Of::Plain(values) => values.get(index).copied(),
            Of::Pieces { cuts, pieces, .. } => {
                let at = cuts.partition_point(|(_, from)| *from <= index).checked_sub(1)?;
                pieces[at].values().get(index - cuts[at].1).map(T::of)
            }
        }
    }

    /// The values in order.
    pub fn iter(&self) -> impl Iterator<Item = T> + '_ {
        let (plain, pieces) = match &self.of {
            Of::Plain(values) => (&values[..], &[][..]),
            Of::Pieces { pieces, .. } => (&[][..], &pieces[..]),
        };
        let kept = pieces.iter().flat_map(|piece| piece.values()).map(|words| T::of(&words));
        plain.iter().copied().chain(kept)
    }

    /// All values side by side.
    #[must_use]
    pub fn whole(&self) -> Cow<'_, [T]> {
        match &self.of {
            Of::Plain(values) => Cow::Borrowed(values),
            Of::Pieces { .. } => Cow::Owned(self.iter().collect()),
        }
    }

    /// The plain list, to be written to.
    pub fn to_mut(&mut self) -> &mut Vec<T> {
        if let Of::Pieces { .. } = self.of {
            self.of = Of::Plain(Arc::new(self.iter().collect()));
        }
        match &mut self.of {
            Of::Plain(values) => Arc::make_mut(values),
            Of::Pieces { .. } => unreachable!("made plain above"),
        }
    }

    /// Keeps those that fulfil a condition.
    pub fn retain(&mut self, holds: impl Fn(&T) -> bool) {
        if self.iter().any(|value| !holds(&value)) {
            self.to_mut().retain(holds);
        }
    }

    /// Keeps the list in pieces, by themselves.
    pub fn pack(&mut self) {
        self.share(&Self::default());
    }

    /// Keeps the list as what differs from another.
    pub fn share(&mut self, with: &Self) {
        let Of::Plain(values) = &self.of else { return };
        let (others, known) = match &with.of {
            Of::Plain(_) => (None, &[][..]),
            Of::Pieces { cuts, pieces, .. } => (Some(cuts), &pieces[..]),
        };
        let mut cuts = Vec::new();
        for (place, value) in values.iter().enumerate() {
            let section = value.section(place);
            if cuts.last().is_none_or(|(last, from)| *last != section || place == from + PIECE) {
                cuts.push((section, place));
            }
        }
        let mut before = others.into_iter().flat_map(|cuts| cuts.iter()).zip(known).peekable();
        let ends = cuts.iter().skip(1).map(|(_, from)| *from).chain([values.len()]);
        let pieces = cuts
            .iter()
            .zip(ends)
            .map(|((section, from), to)| {
                while before.next_if(|((other, _), _)| other < section).is_some() {}
                let known = before.next_if(|((other, _), _)| other == section);
                Piece::new(&values[*from..to], known.map(|(_, piece)| piece))
            })
            .collect();
        let cuts = match others {
            Some(others) if **others == *cuts => Arc::clone(others),
            _ => cuts.into(),
        };
        self.of = Of::Pieces { len: values.len(), cuts, pieces };
    }

    /// Bytes that this list takes beside another.
    #[must_use]
    pub fn own_bytes(&self, other: &Self) -> usize {
        let (pieces, others) = match (&self.of, &other.of) {
            (Of::Plain(values), _) => return size_of::<T>() * values.len(),
            (Of::Pieces { pieces, .. }, Of::Plain(_)) => (pieces, &[][..]),
            (Of::Pieces { pieces, .. }, Of::Pieces { pieces: others, .. }) => (pieces, &others[..]),
        };
        let own = |(k, piece): &(usize, &Arc<Piece<T>>)| {
            others.get(*k).is_none_or(|other| !Arc::ptr_eq(piece, other))
        };
        let own = pieces.iter().enumerate().filter(own).map(|(_, piece)| piece.bytes());
        own.sum::<usize>() + size_of::<usize>() * pieces.len()
    }
}

impl<T: Words> Default for Near<T> {
    fn default() -> Self {
        Self::from(Vec::new())
    }
}

impl<T: Words> Clone for Near<T> {
    fn clone(&self) -> Self {
        let of = match &self.of {
            Of::Plain(values) => Of::Plain(Arc::clone(values)),
            Of::Pieces { len, cuts, pieces } => {
                Of::Pieces { len: *len, cuts: Arc::clone(cuts), pieces: pieces.clone() }
            }
        };
        Self { of }
    }
}

impl<T: Words> From<Vec<T>> for Near<T> {
    fn from(values: Vec<T>) -> Self {
        Self { of: Of::Plain(Arc::new(values)) }
    }
}

impl<T: Words> FromIterator<T> for Near<T> {
    fn from_iter<I: IntoIterator<Item = T>>(values: I) -> Self {
        Self::from(values.into_iter().collect::<Vec<T>>())
    }
}

impl<T: Words + PartialEq> PartialEq for Near<T> {
    fn eq(&self, other: &Self) -> bool {
        self.len() == other.len() && self.iter().eq(other.iter())
    }
}

impl<T: Words + std::fmt::Debug> std::fmt::Debug for Near<T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_list().entries(self.iter()).finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A name and two numbers.
    #[derive(Clone, Copy, Debug)]
    struct Named(u32, [f64; 2]);

    impl Words for Named {
        type Words = [u64; 3];
        fn words(&self) -> [u64; 3] {
            [u64::from(self.0), self.1[0].to_bits(), self.1[1].to_bits()]
        }
        fn of(words: &[u64; 3]) -> Self {
            let name = u32::try_from(words[0]).unwrap_or(u32::MAX);
            Self(name, [f64::from_bits(words[1]), f64::from_bits(words[2])])
        }
        fn section(&self, _: usize) -> usize {
            self.0 as usize / 40
        }
    }

    fn next(state: &mut u64) -> u64 {
        *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        *state >> 33
    }

    fn same(a: &[Named], b: &Near<Named>) {
        let bits = |v: &Named| v.words();
        assert_eq!(a.len(), b.len());
        assert!(a.iter().map(bits).eq(b.iter().map(|v| bits(&v))));
        assert!(a.iter().map(bits).eq(b.whole().iter().map(bits)));
        for (k, value) in a.iter().enumerate().step_by(7) {
            assert_eq!(b.get(k).map(|v| bits(&v)), Some(bits(value)));
        }
        assert!(b.get(a.len()).is_none());
    }

    #[test]
    fn values_come_back_bit_for_bit_while_all_drift_and_some_come_and_go() {
        let mut random = 7;
        let mut all: Vec<Named> = (0..400).map(|k| Named(k, [1e3 * f64::from(k), -0.0])).collect();
        let mut stages: Vec<(Vec<Named>, Near<Named>)> = Vec::new();
        let odd =
            [f64::NAN, -f64::NAN, f64::INFINITY, -0.0, 0.0, f64::MIN_POSITIVE, f64::MAX, 5e-324];
        for stage in 0..150 {
            for value in &mut all {
                match next(&mut random) % 8 {
                    0..4 => value.1[0] *= 1.0 + 1e-9 * (next(&mut random) as f64 / 1e9),
                    4 => value.1[1] = odd[next(&mut random) as usize % odd.len()],
                    _ => {}
                }
            }
            if stage % 3 == 0 {
                let at = next(&mut random) as usize % all.len();
                all.remove(at);
            }
            if stage % 4 == 0 {
                // Many of one name make a section longer than a piece.
                let at = next(&mut random) as usize % all.len();
                all.insert(at, all[at]);
            }
            if stage == 100 {
                all.extend((0..150).map(|_| Named(1000, [1.0, 2.0])));
            }
            let mut near = Near::from(all.clone());
            same(&all, &near);
            match stages.last() {
                Some((_, last)) if stage % 50 != 49 => near.share(last),
                _ => near.pack(),
            }
            same(&all, &near);
            stages.push((all.clone(), near));
        }
        stages.iter().for_each(|(values, near)| same(values, near));
        // What is written is not seen elsewhere.
        let mut copy = stages[80].1.clone();
        copy.to_mut()[3].1 = [4.0, 4.0];
        copy.retain(|value| value.0 != 5);
        same(&stages[80].0, &stages[80].1);
        assert_eq!(copy.get(3).map(|v| v.1), Some([4.0, 4.0]));
        assert!(copy.iter().all(|v| v.0 != 5));
    }

    #[test]
    fn what_is_the_same_takes_nothing_and_what_is_near_little() {
        let list = |by: f64| -> Near<Named> {
            (0..400).map(|k| Named(k, [(1.0 + by) * (1.0 + f64::from(k)), 3.0])).collect()
        };
        let mut first = list(0.0);
        first.pack();
        let mut same = list(0.0);
        same.share(&first);
        assert_eq!(same.own_bytes(&first), 8 * 10);
        let mut near = list(1e-12);
        near.share(&same);
        assert!(near.own_bytes(&same) < 400 * 4, "{}", near.own_bytes(&same));
        assert!(first.own_bytes(&Near::default()) > 400 * 24);
    }
}
