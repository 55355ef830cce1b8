//! Loops compiled for the vector units of the machine at hand, chosen when the program runs.

/// Runs work that was inlined into it with the widest vector instructions there are. The order of
/// the operations is that of the source, and none are fused, so the answer is the same to the last
/// bit on every machine.
#[inline(always)]
pub fn widely<R>(work: impl FnOnce() -> R) -> R {
    faer::traits::pulp::Arch::new().dispatch(work)
}
