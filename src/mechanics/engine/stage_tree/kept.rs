//! What is kept of the stages before, by what is asked.

use super::super::factor::Keeper;

/// What has no forces in it is kept for so many stages: the same feet lift again and again.
pub(super) const STAGES: u64 = 8;

/// Factors of the stages before, by what is asked.
#[derive(Clone, Debug)]
pub(super) struct Kept {
    pub first_order: Keeper,
    pub strain: Keeper,
    pub proof: Keeper,
    pub second_order: Keeper,
}

impl Default for Kept {
    fn default() -> Self {
        let (first_order, strain) = (Keeper::of_stages(STAGES), Keeper::of_stages(STAGES));
        Self { first_order, strain, proof: Keeper::default(), second_order: Keeper::default() }
    }
}

impl Kept {
    pub(super) fn each(&mut self) -> [&mut Keeper; 4] {
        [&mut self.first_order, &mut self.strain, &mut self.proof, &mut self.second_order]
    }
}
