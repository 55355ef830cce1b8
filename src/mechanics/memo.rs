//! What was worked out once, by all that it follows from.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hash, Hasher};

/// Answers by their questions. It gives all up when they become too many: an answer is the same, worked out
/// again.
#[derive(Clone, Debug)]
pub(super) struct Memo<K, V, const MOST: usize> {
    kept: HashMap<K, V, BuildHasherDefault<Fold>>,
}

impl<K, V, const MOST: usize> Default for Memo<K, V, MOST> {
    fn default() -> Self {
        Self { kept: HashMap::default() }
    }
}

impl<K: Eq + Hash, V: Clone, const MOST: usize> Memo<K, V, MOST> {
    /// The answer to a question, worked out where it is not known.
    pub(super) fn of(&mut self, question: K, work_out: impl FnOnce() -> V) -> V {
        if let Some(known) = self.kept.get(&question) {
            return known.clone();
        }
        if self.kept.len() >= MOST {
            self.kept.clear();
        }
        let answer = work_out();
        self.kept.insert(question, answer.clone());
        answer
    }
}

/// A quick hash of words: multiply and rotate. It need not withstand anybody.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Fold(u64);

impl Hasher for Fold {
    fn write(&mut self, bytes: &[u8]) {
        for part in bytes.chunks(8) {
            let mut word = [0; 8];
            word[..part.len()].copy_from_slice(part);
            self.write_u64(u64::from_le_bytes(word));
        }
    }
    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(5) ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    }
    fn finish(&self) -> u64 {
        // The table looks at the high bits first.
        self.0 ^ (self.0 >> 32)
    }
}

#[cfg(test)]
mod tests {
    use super::Memo;

    #[test]
    fn an_answer_is_worked_out_once_and_again_when_there_were_too_many() {
        let mut memo = Memo::<u32, u32, 2>::default();
        let mut worked = 0;
        let mut ask = |question: u32| {
            memo.of(question, || {
                worked += 1;
                question * question
            })
        };
        assert_eq!([1, 1, 2, 2, 1].map(&mut ask), [1, 1, 4, 4, 1]);
        assert_eq!([3, 1].map(&mut ask), [9, 1]);
        assert_eq!(worked, 4);
    }
}
