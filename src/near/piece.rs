//! A piece of a list: whole, or as what differs from an earlier one.

use super::Words;
use std::sync::Arc;

/// After so many changes a piece is whole again. A power of two: its bits are the most steps back.
const WHOLE_AFTER: u32 = 32;

/// Bytes of a word.
const WORD: usize = size_of::<u64>();

/// As many values as a mask has bits, at most.
pub(super) struct Piece<T: Words> {
    /// Changes since it was whole.
    changes: u32,
    count: u32,
    kept: Kept<T>,
}

enum Kept<T: Words> {
    Whole(Box<[T::Words]>),
    /// Word by word over all values: whether some differ, and if so how many last digits none of the
    /// differences has, and one; which differ; how many bytes each difference takes; and the differences
    /// without those digits.
    Near {
        to: Arc<Piece<T>>,
        bytes: Box<[u8]>,
    },
}

impl<T: Words> Piece<T> {
    /// The values at hand, `known` being what they were before: the same piece where they still are.
    pub(super) fn new(values: &[T], known: Option<&Arc<Self>>) -> Arc<Self> {
        let words: Vec<T::Words> = values.iter().map(T::words).collect();
        let count = u32::try_from(words.len()).unwrap_or(u32::MAX);
        if let Some(known) = known {
            let before = known.values();
            if before.len() == words.len()
                && before.iter().zip(&words).all(|(a, b)| a.as_ref() == b.as_ref())
            {
                return Arc::clone(known);
            }
            let changes = known.changes + 1;
            if changes < WHOLE_AFTER {
                let mut to = known;
                // The one it is held against is the last, or one that the last goes back to.
                while to.changes != changes & (changes - 1) {
                    let Kept::Near { to: further, .. } = &to.kept else { break };
                    to = further;
                }
                let bytes = differences::<T>(&words, &to.values());
                if bytes.len() < size_of::<T::Words>() * words.len() {
                    let kept = Kept::Near { to: Arc::clone(to), bytes: bytes.into() };
                    return Arc::new(Self { changes, count, kept });
                }
            }
        }
        Arc::new(Self { changes: 0, count, kept: Kept::Whole(words.into()) })
    }

    pub(super) fn values(&self) -> Vec<T::Words> {
        match &self.kept {
            Kept::Whole(words) => words.to_vec(),
            Kept::Near { to, bytes } => {
                let mut values = to.values();
                values.resize(self.count as usize, T::Words::default());
                apply::<T>(&mut values, bytes);
                values
            }
        }
    }

    pub(super) fn bytes(&self) -> usize {
        size_of::<Self>()
            + match &self.kept {
                Kept::Whole(words) => size_of::<T::Words>() * words.len(),
                Kept::Near { bytes, .. } => bytes.len(),
            }
    }
}

/// What a word differs by from another, less so many last digits: small both ways.
fn between(by: i64, digits: u32) -> u64 {
    let by = by >> digits;
    (by << 1 ^ by >> 63).cast_unsigned()
}

/// The other way about.
fn onwards(from: u64, between: u64, digits: u32) -> u64 {
    from.wrapping_add((between >> 1 ^ (between & 1).wrapping_neg()) << digits)
}

fn differences<T: Words>(words: &[T::Words], to: &[T::Words]) -> Vec<u8> {
    let zero = T::Words::default();
    let mut out = Vec::new();
    let (mut by, mut own) = (Vec::with_capacity(words.len()), Vec::with_capacity(words.len()));
    for k in 0..zero.as_ref().len() {
        by.clear();
        let others = to.iter().chain(std::iter::repeat(&zero));
        let pairs = words.iter().zip(others).map(|(a, b)| (a.as_ref()[k], b.as_ref()[k]));
        by.extend(pairs.map(|(a, b)| a.wrapping_sub(b).cast_signed()));
        let which = by.iter().rev().fold(0u128, |bits, by| bits << 1 | u128::from(*by != 0));
        if which == 0 {
            out.push(0);
            continue;
        }
        by.retain(|by| *by != 0);
        // Numbers that are rounded all end in noughts.
        let digits = by.iter().fold(0, |bits, by| bits | by).trailing_zeros();
        out.push(u8::try_from(digits + 1).unwrap_or(u8::MAX));
        out.extend(&which.to_le_bytes()[..words.len().div_ceil(8)]);
        own.clear();
        own.extend(by.iter().map(|by| between(*by, digits)));
        let width = |by: &u64| WORD - by.leading_zeros() as usize / 8;
        for two in own.chunks(2) {
            let widths = two.iter().rev().fold(0, |bits, by| bits << 4 | width(by));
            out.push(u8::try_from(widths).unwrap_or(u8::MAX));
        }
        own.iter().for_each(|by| out.extend(&by.to_le_bytes()[..width(by)]));
    }
    out
}

fn apply<T: Words>(values: &mut [T::Words], bytes: &[u8]) {
    let mut at = 0;
    for k in 0..T::Words::default().as_ref().len() {
        at += 1;
        let Some(digits) = u32::from(bytes[at - 1]).checked_sub(1) else { continue };
        let mask = values.len().div_ceil(8);
        let which = bytes[at..at + mask].iter().rev();
        let mut which = which.fold(0u128, |bits, byte| bits << 8 | u128::from(*byte));
        at += mask;
        let widths = &bytes[at..];
        at += (which.count_ones() as usize).div_ceil(2);
        for n in 0..which.count_ones() as usize {
            let value = which.trailing_zeros() as usize;
            which &= which - 1;
            let width = usize::from(widths[n / 2] >> (4 * (n % 2)) & 15);
            let word = word(&bytes[at..at + width]);
            at += width;
            let known = &mut values[value].as_mut()[k];
            *known = onwards(*known, word, digits);
        }
    }
}

/// Of up to eight bytes.
fn word(bytes: &[u8]) -> u64 {
    bytes.iter().rev().fold(0, |word, byte| word << 8 | u64::from(*byte))
}
