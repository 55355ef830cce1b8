//! A frame that is all but a mechanism: the lowest of its load factors is two millionths of the next.
//!
//! Source: `tests/reference/failing/random_202400172471434.json`, drawn by `tests/reference/frames.py`; load factors by
//! scipy 1.17.1 through `tests/reference/oracle.py` (cubic elements, generalized eigenproblem).
//!
//! ```text
//!   plan, heads of 3 × 3 posts, each some centimetres off its grid point; posts 2.8 to 3.4 m high, pinned at the foot
//!   5 ──── 12 ──── 20    braced line (5–12, 12–20)
//!   │       │       │
//!   3 ───── 9 ──── 18    braced line (3–9)
//!   │       │       │
//!   1 ───── 7 ──── 15    no brace along this line: ledgers across hold it by their crookedness alone
//!   y ^   x >
//! ```
//! The condition is 1e11: round-off hides the count within some 7e-5 on either side of the lowest factor. It is told all
//! the same, between two counts that are sure and no further apart than ten times the condition in round-off.

use standwell::mechanics::frame::ElementForm;
use standwell::mechanics::model::Model;
use standwell::mechanics::{mechanisms, neutral};

use super::frame_files::compare;

#[test]
fn the_lowest_factor_of_a_frame_that_nearly_moves_freely() {
    let path = "tests/reference/failing/random_202400172471434.json";
    let path = format!("{}/{path}", env!("CARGO_MANIFEST_DIR"));
    let neutral = neutral::read(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert_eq!(mechanisms::find(&neutral.frame).unwrap().count, Ok(0));
    let model = Model::new(&neutral.frame, ElementForm::Cubic, &[]).unwrap();
    let axial = model.factor().unwrap().solve(&neutral.cases["V"]).unwrap().axial;
    let modes = model.lowest(&axial, 4).unwrap();
    let wanted = [3.077_015_73e-6, 6.935_072_72, 6.935_072_72, 8.411_503_06];
    for (k, (mode, wanted)) in modes.iter().zip(wanted).enumerate() {
        compare(&format!("load factor {k}"), mode.factor, wanted, 0.023);
    }
    for (factor, below) in [(0.999, 0), (1.001, 1)] {
        let inertia = model.inertia(&axial, factor * wanted[0]).unwrap();
        assert_eq!(inertia.negative, below, "below {factor} of the lowest");
    }
}
