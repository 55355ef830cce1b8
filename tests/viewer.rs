//! The window's panels and systems.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "tests fail by panicking and may print what they measured"
)]

#[path = "viewer/basis.rs"]
mod basis;
#[path = "viewer/clear.rs"]
mod clear;
#[path = "viewer/coincide.rs"]
mod coincide;
#[path = "viewer/edits.rs"]
mod edits;
#[path = "viewer/eye.rs"]
mod eye;
#[path = "viewer/finder.rs"]
mod finder;
#[path = "permit/fixture.rs"]
#[allow(dead_code, reason = "the permit's own tests use the rest")]
mod fixture;
#[path = "viewer/guide.rs"]
mod guide;
#[path = "viewer/intents.rs"]
mod intents;
#[path = "viewer/keyboard.rs"]
mod keyboard;
#[path = "viewer/labels.rs"]
mod labels;
#[path = "viewer/lanes.rs"]
mod lanes;
#[path = "viewer/letters.rs"]
mod letters;
#[path = "viewer/look.rs"]
mod look;
#[path = "viewer/lookout.rs"]
mod lookout;
#[path = "viewer/looks.rs"]
mod looks;
#[path = "viewer/panels.rs"]
mod panels;
#[path = "viewer/passes.rs"]
mod passes;
#[path = "viewer/pictures.rs"]
mod pictures;
#[path = "viewer/plugin.rs"]
mod plugin;
#[path = "viewer/reading.rs"]
mod reading;
#[path = "viewer/robust.rs"]
mod robust;
#[path = "viewer/shade.rs"]
mod shade;
#[path = "viewer/shapes.rs"]
mod shapes;
#[path = "viewer/site.rs"]
mod site;
#[path = "viewer/thrift.rs"]
mod thrift;
