//! Nothing drawn lies exactly on something drawn in another look: which of the two would be seen
//! would depend on the order they happen to be drawn in, and the picture on the run.

use super::plugin::showing;
use bevy::prelude::*;
use standwell::viewer::scenery::ShowsWhen;
use standwell::viewer::vocab::Intent;

fn shipped(job: &str) -> standwell::review::Review {
    let text = standwell::cli::shipped::find(job).unwrap().text;
    let loaded = standwell::scene::read(text, std::path::Path::new(job)).unwrap();
    standwell::review::judge(loaded, &|_, _| true).unwrap()
}

/// The slab to come and the slab being cast are the same shape in the same place: one shows, body
/// and lines alike, before, while and after it is cast.
#[test]
fn a_slab_shows_as_concrete_or_as_to_come_and_never_as_both() {
    let review = shipped("stripped-floor");
    let pours: Vec<bool> = review.sequence.stages.iter().map(|s| !s.loads.is_empty()).collect();
    let cast = pours.iter().position(|p| *p).unwrap();
    let mut app = showing(review);
    for (stage, concrete) in [(cast - 1, false), (cast, true)] {
        app.world_mut().write_message(Intent::GoToStage(stage));
        app.update();
        let mut parts = app.world_mut().query::<(&ShowsWhen, &Visibility)>();
        let mut shown = |wanted: fn(&ShowsWhen) -> bool| {
            let mine = parts.iter(app.world()).filter(|p| wanted(p.0));
            mine.map(|p| *p.1 != Visibility::Hidden).collect::<Vec<_>>()
        };
        let solid = shown(|w| matches!(w, ShowsWhen::Pouring(_)));
        let ghost = shown(|w| matches!(w, ShowsWhen::NotPouring(_)));
        assert_eq!(solid, [concrete; 2], "body and lines of the concrete at stage {stage}");
        assert_eq!(ghost, [!concrete; 2], "body and lines of the slab to come at stage {stage}");
    }
}
