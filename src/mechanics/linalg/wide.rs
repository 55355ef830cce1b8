//! Loops compiled for the vector units of the machine at hand, chosen when the program runs.

use faer::traits::pulp::{Arch, Simd, WithSimd};

/// Work with long loops. Everything in it that has loops has to be marked `#[inline(always)]`, `work`
/// itself too: what stays a function of its own is compiled for the oldest machine. (A closure stays
/// one, which is why this is a trait.)
pub trait Work {
    type Answer;
    fn work(self) -> Self::Answer;
}

/// Runs work with the widest vector instructions there are. The order of the operations is that of
/// the source, and those are fused that the source says are (`mul_add`, which a machine without such an
/// instruction reckons out, slowly), so the answer is the same to the last bit on every machine.
#[inline(always)]
pub fn widely<W: Work>(work: W) -> W::Answer {
    Arch::new().dispatch(Wide(work))
}

struct Wide<W>(W);

impl<W: Work> WithSimd for Wide<W> {
    type Output = W::Answer;
    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) -> W::Answer {
        self.0.work()
    }
}
