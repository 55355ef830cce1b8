//! Changes to a text, byte by byte, and where each byte was before.

use std::ops::Range;

/// Other bytes in place of some.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Patch {
    pub range: Range<usize>,
    pub with: String,
}

/// Where the bytes of a patched text were before.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shifts(Vec<(Range<usize>, Range<usize>)>);

impl Shifts {
    /// The place before, of a place in the patched text; inside a patch, the start of what it
    /// replaced.
    #[must_use]
    pub fn before(&self, byte: usize) -> usize {
        let mut at = byte;
        for (new, old) in self.0.iter().rev() {
            if byte >= new.end {
                return byte - new.end + old.end;
            }
            if byte >= new.start {
                return old.start;
            }
            at = byte;
        }
        at
    }
}

/// The text with the patches put in. Patches are sorted; one that overlaps an earlier one or
/// lies outside the text is refused as a whole: none.
#[must_use]
pub fn apply(text: &str, patches: &[Patch]) -> Option<(String, Shifts)> {
    let mut sorted: Vec<&Patch> = patches.iter().collect();
    sorted.sort_by_key(|p| (p.range.start, p.range.end));
    let mut new = String::with_capacity(text.len() + 256);
    let mut shifts = Vec::new();
    let mut done = 0;
    for patch in sorted {
        new.push_str(text.get(done..patch.range.start)?);
        let start = new.len();
        new.push_str(&patch.with);
        text.get(patch.range.clone())?;
        shifts.push((start..new.len(), patch.range.clone()));
        done = patch.range.end;
    }
    new.push_str(text.get(done..)?);
    Some((new, Shifts(shifts)))
}
