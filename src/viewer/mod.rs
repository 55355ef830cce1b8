//! The 3D window: a judged scene stage by stage, what would fall, and why.
//!
//! The model is only read here: `state` holds the review and what of it is shown, `vocab` the
//! words all parts share. Panels and keys send intents; `state` alone acts on them. Systems then
//! bring the entities in line (`members`, `scenery`) and paint them (`stage_paint` says with what,
//! `coats` hands it to the graphics card; no mesh changes from stage to stage).
//!
//! In a frame in which only the eye moves, panels are not laid out (`panel_pass`); what is written
//! over the scene is (`overlay_pass`), from facts found once a stage (`facts`). Shadows are drawn when
//! what casts them changes, not when the eye moves (`shade`). Edges are drawn more coarsely until
//! it rests (`thrift`).

pub mod adapter;
pub mod camera;
pub mod clear;
pub mod coats;
pub mod dimensions;
pub mod factor;
pub mod facts;
pub mod ground;
pub mod guide;
pub mod histories;
pub mod idle;
pub mod keys;
pub mod labels;
pub mod layout;
pub mod loading;
pub mod marks;
pub mod materials;
pub mod members;
pub mod motion;
pub mod overlay;
pub mod overlay_pass;
mod own_material;
pub mod panel_pass;
pub mod panels;
pub mod path_lines;
pub mod pick;
pub mod picture;
pub mod places;
pub mod play;
pub mod plugin;
pub mod pose;
pub mod rooms;
pub mod scenery;
pub mod shade;
pub mod shapes;
pub mod shown;
pub mod sight;
pub mod site_marks;
pub mod sky;
pub mod space;
pub mod stage_paint;
pub mod standing;
pub mod state;
pub mod strip_marks;
pub mod theme;
pub mod thrift;
pub mod title;
pub mod trial;
pub mod trying;
pub mod vocab;
pub mod watch;
mod window;

pub use adapter::CannotDraw;
pub use picture::{Options, picture};
pub use window::open;
