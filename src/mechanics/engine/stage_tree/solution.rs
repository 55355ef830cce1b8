//! The answer of a stage to a case.

/// Answer to a case.
#[derive(Clone, Debug, Default)]
pub struct TreeSolution {
    /// By node, global axes. Of two ways down (`planes`) the first.
    pub displacement: Vec<[f64; 6]>,
    /// By node: the second way down, where it has one. Empty where none has.
    pub(super) second: Vec<f64>,
    /// Tension positive, by frame member.
    pub axial: Vec<f64>,
}

impl TreeSolution {
    /// The sum of this one and so many times another.
    #[must_use]
    pub fn and(&self, times: f64, other: &Self) -> Self {
        let sum = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a + times * b).collect();
        let nodes = self.displacement.iter().zip(&other.displacement);
        Self {
            displacement: nodes
                .map(|(a, b)| std::array::from_fn(|d| a[d] + times * b[d]))
                .collect(),
            second: sum(&self.second, &other.second),
            axial: sum(&self.axial, &other.axial),
        }
    }
}

impl AsRef<[f64]> for TreeSolution {
    fn as_ref(&self) -> &[f64] {
        &self.axial
    }
}
