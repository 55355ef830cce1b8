//! One-bay towers of one and three lifts with crossed braces of falling area: Euler buckling of
//! the posts first, then sway. Closed form (Euler and leaning columns, with the forces of the
//! braces by statics) and an independent finite-element program, `data/analytic.json`.
//!
//! ```text
//!     o------o     4 posts, 72 in × 96 in × 120 in a lift, pinned feet; ledgers and crossed
//!     | \  / |     braces as axial bars in every side; eight elements a post in the files
//!     | /  \ |
//!     ^      ^
//! ```

use standwell::mechanics::frame::ElementForm;
use standwell::mechanics::model::Model;

use super::frame_files::{compare, frame, values};

#[test]
fn towers() {
    let entries = values("analytic.json");
    for file in ["1_0.5", "1_0.005", "1_0.0005", "3_0.5", "3_0.005"] {
        let model_file = format!("frames/chk_tower_{file}.json");
        let entry =
            entries.as_array().unwrap().iter().find(|e| e["model"] == model_file.as_str()).unwrap();
        let kept = frame(&format!("chk_tower_{file}"));
        let lowest = |form, k| {
            let model = Model::new(&kept.frame, form, &[]).unwrap();
            let axial = model.factor().unwrap().solve(&kept.cases["V"]).unwrap().axial;
            model.lowest(&axial, k).unwrap()
        };
        let cubic = lowest(ElementForm::Cubic, 3);
        for (mode, wanted) in cubic.iter().zip(entry["fe"]["hermite n=8"].as_array().unwrap()) {
            let wanted = wanted.as_f64().unwrap();
            compare(&format!("tower {file}, cubic n=8"), mode.factor, wanted, 1e-6);
        }
        if let Some(exact) = entry["exact"].as_f64() {
            let first = lowest(ElementForm::Exact, 1)[0].factor;
            // The closed form takes sway and bowing apart.
            compare(&format!("tower {file}, exact element"), first, exact, 1e-3);
        }
    }
}
