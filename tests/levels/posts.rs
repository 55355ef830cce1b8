//! What the levels find in a post is on the posts of the stage.
//!
//! Source: equal sharing (Grundy and Kabaila 1963), worked by hand: shores over reshores that stand on
//! the ground carry all that is cast over their area, whatever the slabs between; the area is the
//! scene's.

use standwell::assembly::{self, MemberId};
use standwell::loads::slab::pressing;
use standwell::scene::read;
use standwell::sequence;
use std::path::Path;

const PSF: f64 = 4.448_221_615_260_5 / (0.3048 * 0.3048);
const SQUARE_FOOT: f64 = 0.3048 * 0.3048;

#[test]
fn reshores_on_the_ground_have_what_is_cast_above_from_its_pour_on() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes/reshored-levels.ron");
    let text = std::fs::read_to_string(&path).unwrap();
    let loaded = read(&text, &path).unwrap_or_else(|p| panic!("{p}"));
    let built = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let stages = sequence::run(&built, &loaded.source).unwrap().stages;
    let on = |step: &str, post: &str| -> Option<f64> {
        let stage = stages.iter().find(|s| s.step.starts_with(step)).expect(step);
        let id: MemberId = built.find(post).unwrap();
        let found = pressing(&built, &loaded.pack, stage);
        found.iter().find(|p| p.0 == id).map(|p| p.1)
    };
    // Snugged up, with nothing cast yet: next to nothing.
    for step in ["low", "mid", "deck"] {
        assert_eq!(on(step, "low.post.B2"), None, "{step}");
    }
    // The pour: 100 psf of slab, 5 of forms and 50 of people on 36 ft² at each post, down to the
    // ground through both levels.
    let cast = 155.0 * PSF * 36.0 * SQUARE_FOOT;
    let low = on("pour", "low.post.B2").unwrap();
    assert!((low / cast - 1.0).abs() < 1e-6, "{low} is not {cast}");
    // Props that shorten leave some to the slabs; the greater of both methods counts.
    assert!(on("pour", "mid.post.B2").unwrap() >= cast * (1.0 - 1e-6));
    // Under the fresh slab the concrete is on the deck, and comes down from there.
    assert_eq!(on("pour", "top.post.B2"), None);
    // Evidence takes it off the deck. What the posts had, they keep until they are stripped around.
    let hard = on("test", "top.post.B2").unwrap();
    assert!(hard >= cast * (1.0 - 1e-6), "{hard}");
    let taken = stages.iter().find(|s| s.step == "test").unwrap();
    assert!(taken.loads.is_empty());
    // The lowest reshores gone, nothing is on them, and the middle ones have no more than before.
    assert_eq!(on("away", "low.post.B2"), None);
    assert!(on("away", "mid.post.B2").unwrap_or(0.0) <= cast * (1.0 + 1e-6));
}
