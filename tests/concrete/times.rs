//! The table of times against the rows seen in print (see `src/concrete/times.rs` for the source).

use standwell::concrete::times::{Formed, days};

const FOOT: f64 = 0.3048;

#[test]
fn the_table_row_by_row() {
    // Span in feet, days with live load less than dead load, and more.
    for (formed, span, less, more) in [
        (Formed::SlabSoffit, 9.9, 4.0, 3.0),
        (Formed::SlabSoffit, 10.0, 7.0, 4.0),
        (Formed::SlabSoffit, 20.0, 7.0, 4.0),
        (Formed::SlabSoffit, 20.1, 10.0, 7.0),
        (Formed::BeamSoffit, 9.0, 7.0, 4.0),
        (Formed::BeamSoffit, 15.0, 14.0, 7.0),
        (Formed::BeamSoffit, 25.0, 21.0, 14.0),
        (Formed::Arch, 15.0, 14.0, 7.0),
    ] {
        assert_eq!(days(formed, span * FOOT, false, false), Some(less), "{formed:?} {span}");
        assert_eq!(days(formed, span * FOOT, true, false), Some(more), "{formed:?} {span}");
        assert_eq!(days(formed, span * FOOT, false, true), Some(0.5 * less));
    }
    assert_eq!(days(Formed::NarrowPans, 3.0, false, true), Some(3.0));
    assert_eq!(days(Formed::WidePans, 3.0, false, false), Some(4.0));
    for span in [0.0, -1.0, f64::NAN] {
        assert_eq!(days(Formed::SlabSoffit, span, false, false), None);
    }
}
